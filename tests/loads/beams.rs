//! Lever rule and what lifts. Source: statics, sums of forces and moments worked by hand.

use standwell::loads::beam::{Piece, reactions, settle};

fn spread(from: f64, to: f64, force: f64) -> Piece {
    Piece { from, to, force, centre: 0.5 * (from + to) }
}

fn point(at: f64, force: f64) -> Piece {
    Piece { from: at, to: at, force, centre: at }
}

fn close(a: &[f64], b: &[f64]) {
    assert_eq!(a.len(), b.len());
    for (x, y) in a.iter().zip(b) {
        assert!((x - y).abs() < 1e-9, "{a:?} is not {b:?}");
    }
}

#[test]
fn simple_span_halves_and_point_goes_by_lever() {
    close(&reactions(&[0.0, 4.0], &[spread(0.0, 4.0, 800.0)]), &[400.0, 400.0]);
    close(&reactions(&[0.0, 4.0], &[point(1.0, 100.0)]), &[75.0, 25.0]);
}

#[test]
fn overhang_relieves_the_far_support() {
    // 10 kN 1 m past the outer of two supports 4 m apart: 12.5 kN there, 2.5 kN of pull behind.
    close(&reactions(&[0.0, 4.0], &[point(5.0, 10.0)]), &[-2.5, 12.5]);
}

#[test]
fn three_supports_are_two_simple_spans() {
    close(&reactions(&[0.0, 2.0, 6.0], &[spread(0.0, 6.0, 600.0)]), &[100.0, 300.0, 200.0]);
    close(&reactions(&[0.0, 2.0, 6.0], &[point(3.0, 100.0)]), &[0.0, 75.0, 25.0]);
}

#[test]
fn pull_passes_only_where_it_is_held_down() {
    let tip = [point(5.0, 10.0)];
    let free = settle(&[0.0, 4.0], &[0.0, 0.0], &tip);
    close(&free.taken, &[0.0, 10.0]);
    assert_eq!(free.lifting.len(), 1);
    assert!((free.lifting[0].1 + 2.5).abs() < 1e-9);
    assert!(free.tips);
    let held = settle(&[0.0, 4.0], &[2.5, 0.0], &tip);
    close(&held.taken, &[-2.5, 12.5]);
    assert!(held.lifting.is_empty() && !held.tips);
    assert!(settle(&[0.0, 4.0], &[2.4, 0.0], &tip).tips);
}

#[test]
fn one_support_balances_only_under_the_centre_of_gravity() {
    assert!(!settle(&[2.0], &[0.0], &[spread(0.0, 4.0, 8.0)]).tips);
    assert!(settle(&[1.9], &[0.0], &[spread(0.0, 4.0, 8.0)]).tips);
}
