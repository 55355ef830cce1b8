//! Bars on supports against handbook tables (coefficients of equal spans from memory of any
//! structural handbook), closed forms, and sums that must hold for any load.

use proptest::prelude::*;
use standwell::capacity::statics::Bar;
use standwell::loads::beam::Piece;

fn even(from: f64, to: f64, force: f64) -> Piece {
    Piece { from, to, force, centre: 0.5 * (from + to) }
}

fn point(at: f64, force: f64) -> Piece {
    Piece { from: at, to: at, force, centre: at }
}

/// Equal spans of 1, load 1 per length: reactions, then moments over inner supports.
#[test]
fn equal_spans_under_an_even_load() {
    for (spans, reactions, over) in [
        (2, &[0.375, 1.25, 0.375][..], &[-0.125][..]),
        (3, &[0.4, 1.1, 1.1, 0.4][..], &[-0.1, -0.1][..]),
        (
            4,
            &[11.0 / 28.0, 32.0 / 28.0, 26.0 / 28.0, 32.0 / 28.0, 11.0 / 28.0][..],
            &[-0.107_14, -0.071_43, -0.107_14][..],
        ),
    ] {
        let supports: Vec<f64> = (0..=spans).map(f64::from).collect();
        let loads = [even(0.0, f64::from(spans), f64::from(spans))];
        let bar = Bar { length: f64::from(spans), supports: &supports, loads: &loads };
        let solved = bar.continuous().unwrap();
        for (found, due) in solved.reactions.iter().zip(reactions) {
            assert!((found - due).abs() < 1e-9, "{spans} spans: {:?}", solved.reactions);
        }
        for (found, due) in solved.over_supports[1..].iter().zip(over) {
            assert!((found - due).abs() < 1e-5, "{spans} spans: {:?}", solved.over_supports);
        }
        // Cut at the supports the middle of a span has 1/8, above all continuous moments but that of
        // two spans, which is the same; the greater shear of both is kept.
        let worst = bar.worst().unwrap();
        assert!((worst.moment.1.abs() - 0.125).abs() < 1e-6, "{worst:?}");
        assert!((worst.reaction.1 - reactions[1]).abs() < 1e-9);
    }
}

/// Point load in the middle of the first of two spans: 13/32, 22/32, -3/32 of it.
#[test]
fn a_point_load_on_one_of_two_spans() {
    let loads = [point(0.5, 1.0)];
    let bar = Bar { length: 2.0, supports: &[0.0, 1.0, 2.0], loads: &loads };
    let solved = bar.continuous().unwrap();
    for (found, due) in solved.reactions.iter().zip([13.0 / 32.0, 22.0 / 32.0, -3.0 / 32.0]) {
        assert!((found - due).abs() < 1e-9, "{:?}", solved.reactions);
    }
    assert!((solved.over_supports[1] + 3.0 / 32.0).abs() < 1e-9);
}

#[test]
fn simple_spans_overhangs_and_their_sag() {
    // wL²/8 and 5wL⁴/384; PL/4 and PL³/48.
    let (l, w) = (3.0, 2.0);
    let loads = [even(0.0, l, w * l)];
    let bar = Bar { length: l, supports: &[0.0, l], loads: &loads };
    let worst = bar.worst().unwrap();
    assert!((worst.moment.1 - w * l * l / 8.0).abs() < 1e-9 && (worst.moment.0 - 1.5).abs() < 1e-5);
    assert!((worst.shear.1.abs() - w * l / 2.0).abs() < 1e-5);
    assert!((bar.sags()[0].times_ei - 5.0 * w * l.powi(4) / 384.0).abs() < 1e-9);
    let loads = [point(1.5, 7.0)];
    let bar = Bar { length: l, supports: &[0.0, l], loads: &loads };
    assert!((bar.worst().unwrap().moment.1 - 7.0 * l / 4.0).abs() < 1e-9);
    assert!((bar.sags()[0].times_ei - 7.0 * l.powi(3) / 48.0).abs() < 1e-9);
    // Overhang a with P at its tip: -Pa over the support, tip sags Pa²(L + a)/3EI.
    let (a, p) = (0.9, 4.0);
    let loads = [point(l + a, p)];
    let bar = Bar { length: l + a, supports: &[0.0, l], loads: &loads };
    let worst = bar.worst().unwrap();
    assert!((worst.moment.1 + p * a).abs() < 1e-9 && (worst.moment.0 - l).abs() < 1e-9);
    assert!((worst.reaction.1 - p * (l + a) / l).abs() < 1e-9);
    let tip = bar.sags().into_iter().find(|s| s.from >= l - 1e-9).unwrap();
    assert!((tip.times_ei - p * a * a * (l + a) / 3.0).abs() < 1e-9, "{tip:?}");
    assert!((tip.against - 2.0 * a).abs() < 1e-12);
    // A triangle that grows from nothing to w: wL²/(9 sqrt 3).
    let loads = [Piece { from: 0.0, to: l, force: w * l / 2.0, centre: 2.0 * l / 3.0 }];
    let bar = Bar { length: l, supports: &[0.0, l], loads: &loads };
    let worst = bar.worst().unwrap();
    assert!((worst.moment.1 - w * l * l / (9.0 * 3f64.sqrt())).abs() < 1e-9, "{worst:?}");
    assert!((worst.moment.0 - l / 3f64.sqrt()).abs() < 1e-5);
}

#[test]
fn what_is_no_beam_is_none() {
    let loads = [point(0.5, 1.0)];
    for supports in [&[][..], &[0.5][..], &[0.5, 0.5][..]] {
        assert_eq!(Bar { length: 1.0, supports, loads: &loads }.worst(), None, "{supports:?}");
    }
}

proptest! {
    /// Whatever lies on it: reactions add up in force and moment, the moment at the free ends is
    /// nothing, and no point of a fine walk along the bar has more than the worst.
    #[test]
    fn sums_hold_and_nothing_beats_the_worst(
        spans in prop::collection::vec(0.6f64..3.0, 1..4),
        overhangs in (0.0f64..1.0, 0.0f64..1.0),
        pieces in prop::collection::vec((0.0f64..1.0, 0.0f64..1.0, 0.1f64..5.0, 0.0f64..=1.0), 1..6),
    ) {
        let mut supports = vec![overhangs.0];
        for span in &spans {
            supports.push(supports[supports.len() - 1] + span);
        }
        let length = supports[supports.len() - 1] + overhangs.1;
        let loads: Vec<Piece> = pieces
            .iter()
            .map(|&(a, b, force, lean)| {
                let (from, to) = (a.min(b) * length, a.max(b) * length);
                Piece { from, to, force, centre: from + (to - from) * (0.2 + 0.6 * lean) }
            })
            .collect();
        let bar = Bar { length, supports: &supports, loads: &loads };
        let worst = bar.worst().unwrap();
        let total: f64 = loads.iter().map(|l| l.force).sum();
        let about: f64 = loads.iter().map(|l| l.force * l.centre).sum();
        for solved in [bar.continuous().unwrap(), bar.cut().unwrap()] {
            let up: f64 = solved.reactions.iter().sum();
            let lever: f64 = supports.iter().zip(&solved.reactions).map(|(s, r)| s * r).sum();
            prop_assert!((up - total).abs() < 1e-9 * (1.0 + total));
            prop_assert!((lever - about).abs() < 1e-7 * (1.0 + about), "{} {}", lever, about);
            prop_assert!(bar.moment_at(&solved, length + 1e-9).abs() < 1e-6 * (1.0 + about));
            for (s, m) in supports.iter().zip(&solved.over_supports) {
                prop_assert!((bar.moment_at(&solved, *s) - m).abs() < 1e-7 * (1.0 + about));
            }
            for k in 0..=200 {
                let m = bar.moment_at(&solved, length * f64::from(k) / 200.0);
                prop_assert!(m.abs() <= worst.moment.1.abs() + 1e-6 * (1.0 + about));
            }
        }
    }
}
