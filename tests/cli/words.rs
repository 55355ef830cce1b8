//! Numbers as a person reads them.

use standwell::findings::{Dimension, Measure};
use standwell::report::words::{measure, wrap};
use standwell::units::UnitSystem::{Feet, Metres};

#[test]
fn lengths_in_feet_and_inches() {
    for (inches, words) in [
        (0.0, "0 in"),
        (0.01, "0 in"),
        (-0.01, "0 in"),
        (6.0, "6 in"),
        (0.125, "1/8 in"),
        (12.0, "1 ft"),
        (126.5, "10 ft 6 1/2 in"),
        (11.999, "1 ft"),
        (-18.25, "-1 ft 6 1/4 in"),
    ] {
        assert_eq!(Feet.length(inches * 0.0254), words, "{inches} in");
    }
}

#[test]
fn lengths_in_metres() {
    assert_eq!(Metres.length(3.2131), "3.213 m");
    assert_eq!(Metres.length(0.04), "40 mm");
    assert_eq!(Metres.length(-0.0001), "0 mm");
    assert_eq!(Metres.length(0.9999), "1.000 m");
}

#[test]
fn forces_and_the_rest() {
    assert_eq!(Feet.force(200.0 * 4.448_221_615_260_5), "200 lb");
    assert_eq!(Feet.force(12_500.0 * 4.448_221_615_260_5), "12.5 kip");
    assert_eq!(Metres.force(450.0), "450 N");
    assert_eq!(Metres.force(12_340.0), "12.34 kN");
    assert_eq!(Metres.mass(23.46), "23.5 kg");
    assert_eq!(Feet.pressure(50.0 * 47.880_258_980_335_8), "50 psf");
    assert_eq!(Metres.moment(2500.0), "2.500 kN m");
    assert_eq!(Feet.line_load(100.0 * 14.593_902_937_206_4), "100 plf");
    assert_eq!(Metres.angle(std::f64::consts::PI / 120.0), "1.50 deg");
}

#[test]
fn what_is_not_finite_is_never_a_number() {
    assert_eq!(Metres.ratio(f64::INFINITY), "without limit");
    assert_eq!(Feet.length(f64::NAN), "not a number");
}

#[test]
fn rounding_does_not_make_a_broken_limit_look_kept() {
    let of = |measured, limit, at_least| {
        measure(
            Metres,
            &Measure {
                what: "reserve".to_owned(),
                measured,
                limit: Some(limit),
                at_least,
                dimension: Dimension::Ratio,
            },
        )
    };
    assert_eq!(of(1.499, 1.5, true), "reserve: 1.50, must be at least 1.50 (just below it)");
    assert_eq!(of(1.501, 1.5, false), "reserve: 1.50, may be at most 1.50 (just above it)");
    assert_eq!(of(1.5, 1.5, true), "reserve: 1.50, must be at least 1.50");
}

#[test]
fn wrapped_lines_keep_to_the_width_and_lose_no_word() {
    let text = "one two three four five six seven eight nine ten";
    let lines = wrap(text, 12);
    assert!(lines.iter().all(|line| line.chars().count() <= 12), "{lines:?}");
    assert_eq!(lines.join(" "), text);
    assert_eq!(wrap("", 12), [""]);
}
