//! Quantities with their units.
//!
//! Factors are held against the definitions of the international yard and pound of 1959 and of
//! standard gravity (1 ft = 0.3048 m, 1 lb = 0.453 592 37 kg, g = 9.806 65 m/s²; NIST SP 811,
//! Appendix B, from memory).

use proptest::prelude::*;
use standwell::findings::Dimension;
use standwell::units::*;

const FT: f64 = 0.3048;
const IN: f64 = 0.0254;
const LB: f64 = 0.453_592_37 * 9.806_65;

fn length(text: &str) -> f64 {
    text.parse::<Length>().unwrap_or_else(|e| panic!("{e}")).si()
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-12 * b.abs().max(1e-300), "{a} is not {b}");
}

#[test]
fn lengths_in_many_ways() {
    let cases = [
        ("1.8 m", 1.8),
        ("1.8m", 1.8),
        ("40 mm", 0.04),
        ("1 m 50 cm", 1.5),
        ("10 ft 6 in", 10.0 * FT + 6.0 * IN),
        ("10ft6in", 10.0 * FT + 6.0 * IN),
        ("6 ft 2 1/2 in", 6.0 * FT + 2.5 * IN),
        ("2 1/2 in", 2.5 * IN),
        ("1/2 in", 0.5 * IN),
        ("3/8 in", 0.375 * IN),
        ("6'-2\"", 6.0 * FT + 2.0 * IN),
        ("6' 2 1/2\"", 6.0 * FT + 2.5 * IN),
        ("6'2''", 6.0 * FT + 2.0 * IN),
        ("6'", 6.0 * FT),
        ("-2 ft 6 in", -2.5 * FT),
        ("−2 ft", -2.0 * FT),
        ("+3 m", 3.0),
        ("1_000 mm", 1.0),
        ("2.5e-3 m", 0.0025),
        ("1e3 mm", 1.0),
        (".5 m", 0.5),
        ("0 m", 0.0),
    ];
    for (text, metres) in cases {
        near(length(text), metres);
    }
}

#[test]
fn factors_follow_from_the_definitions() {
    near("1 lb".parse::<Force>().unwrap().si(), LB);
    near("1 kip".parse::<Force>().unwrap().si(), 1000.0 * LB);
    near("1 lb".parse::<Mass>().unwrap().si(), 0.453_592_37);
    near("1 psf".parse::<Pressure>().unwrap().si(), LB / (FT * FT));
    near("1 ksi".parse::<Pressure>().unwrap().si(), 1000.0 * LB / (IN * IN));
    near("1 plf".parse::<LineLoad>().unwrap().si(), LB / FT);
    near("1 pcf".parse::<Density>().unwrap().si(), LB / (FT * FT * FT));
    near("1 lb ft".parse::<Moment>().unwrap().si(), LB * FT);
    near("1 kip/in".parse::<Stiffness>().unwrap().si(), 1000.0 * LB / IN);
    near("1 in2".parse::<Area>().unwrap().si(), IN * IN);
    near("1 in4".parse::<SecondMoment>().unwrap().si(), IN.powi(4));
    near("1 mph".parse::<Speed>().unwrap().si(), 5280.0 * FT / 3600.0);
    near("180 deg".parse::<Angle>().unwrap().si(), std::f64::consts::PI);
    near("24 kN/m³".parse::<Density>().unwrap().si(), 24_000.0);
    near("2.5 kN·m".parse::<Moment>().unwrap().si(), 2500.0);
}

#[test]
fn what_is_not_a_length_says_why() {
    let error = |text: &str| text.parse::<Length>().unwrap_err().to_string();
    let units = "m, mm, cm, ft, in";
    assert_eq!(
        error("12"),
        format!(
            "a bare number where a length is due: write it with its unit ({units}), such as \
             \"1.8 m\" or \"6 ft 2 in\""
        )
    );
    for text in ["", "m", "12 kN", "6 ft 2", "6 in 2 ft", "6 ft 7 ft", "10 ft -6 in", "1.2.3 m"] {
        let message = error(text);
        let fits = message == format!("\"{text}\" is not a length: units that fit are {units}");
        assert!(fits, "{text}: {message}");
    }
    assert_eq!(error("NaN m"), "\"NaN m\" is not a finite length");
    assert_eq!(error("-inf m"), "\"-inf m\" is not a finite length");
    assert_eq!(error("1e999 m"), "\"1e999 m\" is not a finite length");
    assert!(error("1,8 m").contains("has a comma in it"));
    assert!(error("1/0 m").contains("is not a length"));
    // Marks for feet and inches mean nothing for a force.
    assert!("6'".parse::<Force>().is_err());
}

#[test]
fn shown_for_people() {
    let feet = |value, dimension| show(value, dimension, UnitSystem::Feet);
    let metres = |value, dimension| show(value, dimension, UnitSystem::Metres);
    assert_eq!(feet(length("10 ft 6 1/2 in"), Dimension::Length), "10 ft 6 1/2 in");
    // To the nearest eighth: 3.2 m is 10 ft 5.984 in.
    assert_eq!(feet(3.2, Dimension::Length), "10 ft 6 in");
    assert_eq!(metres(3.2, Dimension::Length), "3.200 m");
    assert_eq!(feet(1000.0 * LB, Dimension::Force), "1000 lb");
    assert_eq!(metres(12_345.0, Dimension::Force), "12.35 kN");
    assert_eq!(feet(50.0 * LB / (FT * FT), Dimension::Pressure), "50 psf");
    assert_eq!(metres(2400.0, Dimension::Pressure), "2.40 kPa");
    assert_eq!(metres(f64::NAN, Dimension::Ratio), "not a number");
}

/// What is shown in feet and inches can be typed back, and is the same to a sixteenth.
#[test]
fn shown_lengths_can_be_typed_back() {
    for i in 0..2000 {
        let metres = f64::from(i) * 0.007_31;
        for system in [UnitSystem::Feet, UnitSystem::Metres] {
            let shown = show(metres, Dimension::Length, system);
            let back = length(&shown);
            assert!((back - metres).abs() <= IN / 16.0 + 1e-9, "{metres}: {shown}");
        }
    }
}

proptest! {
    #[test]
    fn written_quantities_read_back_to_the_same_number(bits in any::<u64>()) {
        let value = f64::from_bits(bits);
        prop_assume!(value.is_finite());
        let back: Length = Length(value).to_string().parse().unwrap();
        prop_assert_eq!(back.si().to_bits(), value.to_bits());
        let back: Moment = Moment(value).to_string().parse().unwrap();
        prop_assert_eq!(back.si().to_bits(), value.to_bits());
        let back: Density = Density(value).to_string().parse().unwrap();
        prop_assert_eq!(back.si().to_bits(), value.to_bits());
    }

    #[test]
    fn any_text_is_a_quantity_or_an_error(text in ".{0,20}") {
        let _ = text.parse::<Length>();
        let _ = text.parse::<Moment>();
    }

    #[test]
    fn near_quantities_are_quantities_or_errors(text in "[-+]?[0-9]{0,3}[./ '\"-]{0,2}[0-9]{0,2}(e[0-9]{1,3})?[ ]?(ft|in|m|kN|'|\")? ?[0-9/]{0,4} ?(in|mm)?") {
        if let Ok(length) = text.parse::<Length>() {
            prop_assert!(length.si().is_finite());
        }
    }
}
