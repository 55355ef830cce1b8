//! Evidence releases what the drawings' shares allow, and nothing without them.
//!
//! 29 CFR 1926.703(e)(1): specification or test. Times alone release nothing unless the pack says so.

use standwell::concrete::Log;
use standwell::concrete::evidence::{Basis, Criterion, Released, determine};

const DRAWING: Criterion = Criterion { specified: 28e6, strip: 0.5, clear: 0.75 };

#[test]
fn a_test_releases_by_its_strength() {
    for (strength, released) in [
        (13.9e6, Released::No),
        (14e6, Released::Strip),
        (20.9e6, Released::Strip),
        (21e6, Released::Clear),
        (f64::NAN, Released::No),
    ] {
        let found = determine(Some(DRAWING), &Basis::Test { strength });
        assert_eq!(found.released, released, "{strength}");
    }
    let nothing_asked = determine(None, &Basis::Test { strength: 60e6 });
    assert_eq!(nothing_asked.released, Released::No);
    assert!(nothing_asked.notes[0].contains("states no strength"));
}

#[test]
fn maturity_goes_by_the_mix_s_own_curve() {
    let log = Log::read("hours,temperature C\n0,20\n24,20\n48,20\n72,20\n", Some(24.0)).unwrap();
    let curve = [(720.0, 10e6), (1440.0, 16e6), (2880.0, 22e6)];
    let basis = |datum| Basis::Maturity { log: &log, curve: &curve, datum };
    // 1440 °C·h: 16 MPa; with a datum of −10 °C 2160 °C·h: 19 MPa.
    let found = determine(Some(DRAWING), &basis(0.0));
    assert_eq!((found.released, found.strength), (Released::Strip, Some(16e6)));
    assert!(found.notes[0].contains("1440 °C·h in 72.0 h"), "{:?}", found.notes);
    assert_eq!(determine(Some(DRAWING), &basis(-10.0)).strength, Some(19e6));
    // Before the curve's first point nothing is known.
    let early =
        determine(Some(DRAWING), &Basis::Maturity { log: &log, curve: &curve[2..], datum: 0.0 });
    assert_eq!((early.released, early.strength), (Released::No, None));
}

#[test]
fn times_release_only_where_the_pack_lets_them() {
    let basis =
        |days, allowed| Basis::Age { days, due_strip: Some(3.5), due_clear: Some(7.0), allowed };
    let released = |days, allowed| determine(Some(DRAWING), &basis(days, allowed)).released;
    assert_eq!(released(28.0, false), Released::No);
    assert_eq!(
        [released(3.0, true), released(3.5, true), released(7.0, true)],
        [Released::No, Released::Strip, Released::Clear]
    );
    let none = Basis::Age { days: 28.0, due_strip: None, due_clear: None, allowed: true };
    assert_eq!(determine(Some(DRAWING), &none).released, Released::No);
}

#[test]
fn a_signed_condition_releases_what_it_names() {
    for releases in [Released::No, Released::Strip, Released::Clear] {
        assert_eq!(determine(None, &Basis::Specification { releases }).released, releases);
    }
}
