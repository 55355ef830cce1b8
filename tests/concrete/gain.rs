//! Strength by age and maturity against hand values.
//!
//! ACI 209 and EN 1992-1-1 3.1.2 formulas from memory, worked out by hand: ACI 3, 7, 14 days 0.458,
//! 0.704, 0.881; EN with s = 0.25: 3 days 0.598, 7 days 0.779; s = 0.20: 3 days 0.663; s = 0.38: 3
//! days 0.458. Sadgrove: 0.3, 0.5, 0.7 give 0.486, 0.660, 0.807. Maturity: 72 h at 20 °C are 1440
//! °C·h with a datum of 0 °C and 2160 with −10 °C; 24 h each at 10, 15 and 20 °C are 1080 and 1800,
//! which is 54 and 60 h at 20 °C. Three digits are given, so half a unit of the third is allowed.

use proptest::prelude::*;
use standwell::concrete::Gain;
use standwell::concrete::gain::sadgrove;
use standwell::concrete::maturity::{equivalent_age, hours_at, nurse_saul, strength_at};

fn near(a: f64, b: f64) {
    assert!((a - b).abs() <= 0.000_5, "{a} is not {b}");
}

#[test]
fn strength_by_age() {
    for (days, share) in [(3.0, 0.458), (7.0, 0.704), (14.0, 0.881)] {
        near(Gain::Aci209.share(days), share);
    }
    for (s, days, share) in
        [(0.25, 3.0, 0.598), (0.25, 7.0, 0.779), (0.20, 3.0, 0.663), (0.38, 3.0, 0.458)]
    {
        near(Gain::En1992 { s }.share(days), share);
    }
    assert_eq!(Gain::En1992 { s: 0.25 }.share(28.0), 1.0);
    // 28 / (4 + 23.8) is above 1 in ACI 209; what is gained late is not counted on.
    assert!(Gain::Aci209.uncapped(28.0) > 1.0);
    assert_eq!(Gain::Aci209.share(28.0), 1.0);
    for days in [0.0, -1.0, f64::NAN] {
        assert_eq!(Gain::Aci209.share(days), 0.0);
    }
}

#[test]
fn a_curve_is_straight_between_its_points_and_goes_no_further() {
    let curve = Gain::Points(vec![(1.0, 0.2), (3.0, 0.5), (7.0, 0.8)]);
    near(curve.share(2.0), 0.35);
    near(curve.share(5.0), 0.65);
    assert_eq!((curve.share(0.9), curve.share(60.0)), (0.0, 0.8));
    assert!(curve.fault().is_none());
    for bad in [
        vec![],
        vec![(3.0, 0.5), (2.0, 0.6)],
        vec![(3.0, 0.5), (4.0, 0.4)],
        vec![(3.0, 50.0)],
        vec![(0.0, 0.1)],
    ] {
        assert!(Gain::Points(bad.clone()).fault().is_some(), "{bad:?}");
    }
    assert!(Gain::En1992 { s: 25.0 }.fault().is_some());
}

#[test]
fn young_slabs_after_sadgrove() {
    for (share, load) in [(0.3, 0.486), (0.5, 0.660), (0.7, 0.807), (1.0, 1.0)] {
        near(sadgrove(share), load);
    }
    assert_eq!(
        (sadgrove(0.0), sadgrove(-1.0), sadgrove(f64::NAN), sadgrove(2.0)),
        (0.0, 0.0, 0.0, 1.0)
    );
}

#[test]
fn maturity_by_hand() {
    assert_eq!(nurse_saul([(20.0, 72.0)], 0.0), 1440.0);
    assert_eq!(nurse_saul([(20.0, 72.0)], -10.0), 2160.0);
    let cool = [(10.0, 24.0), (15.0, 24.0), (20.0, 24.0)];
    assert_eq!(nurse_saul(cool, 0.0), 1080.0);
    assert_eq!(nurse_saul(cool, -10.0), 1800.0);
    assert_eq!(hours_at(1080.0, 0.0, 20.0), Some(54.0));
    assert_eq!(hours_at(1800.0, -10.0, 20.0), Some(60.0));
    assert_eq!(hours_at(1800.0, 20.0, 20.0), None);
    // Below the datum nothing is gained, and nothing lost.
    assert_eq!(nurse_saul([(-5.0, 24.0), (20.0, 24.0)], 0.0), 480.0);
}

/// At the reference temperature the age is the age. exp[−5000 (1/283.15 − 1/293.15)] = 0.5475 by
/// hand: a day at 10 °C is about 13.1 h at 20 °C.
#[test]
fn equivalent_age_by_hand() {
    near(equivalent_age([(20.0, 48.0)], 5000.0, 20.0), 48.0);
    assert!((equivalent_age([(10.0, 24.0)], 5000.0, 20.0) - 13.14).abs() < 0.01);
    assert!(equivalent_age([(30.0, 24.0)], 5000.0, 20.0) > 24.0);
}

#[test]
fn a_mix_s_curve_gives_nothing_before_its_first_point_and_no_more_after_its_last() {
    let curve = [(500.0, 8e6), (1500.0, 20e6), (3000.0, 27e6)];
    assert_eq!(strength_at(&curve, 1000.0), Some(14e6));
    assert_eq!(strength_at(&curve, 499.0), None);
    assert_eq!(strength_at(&curve, 9000.0), Some(27e6));
    assert_eq!(strength_at(&[], 9000.0), None);
    assert_eq!(strength_at(&curve, f64::NAN), None);
}

proptest! {
    #[test]
    fn warmer_and_longer_is_never_weaker(
        stretches in prop::collection::vec((-20.0..60.0f64, 0.1..24.0f64), 1..20),
        warmer in 0.0..20.0f64,
        datum in -10.0..0.0f64,
    ) {
        let factor = nurse_saul(stretches.iter().copied(), datum);
        let warm = nurse_saul(stretches.iter().map(|s| (s.0 + warmer, s.1)), datum);
        let short = nurse_saul(stretches.iter().skip(1).copied(), datum);
        prop_assert!(warm >= factor && factor >= short && factor >= 0.0);
        // The lower datum counts more of the same log.
        prop_assert!(nurse_saul(stretches.iter().copied(), datum - 1.0) >= factor);
    }
}
