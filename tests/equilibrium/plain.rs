//! The see-saw of a ledger with uniform weight and one weight at its tip.
//!
//! Source: moments about the outer support, FS = (wL²/2) / (wa²/2 + Pa), back end free to lift
//! (any textbook of statics); the table's numbers are that formula worked out by hand.

use crate::loads::fixture::{FT, LB, PLF};
use standwell::equilibrium::tipping::plain;
use standwell::equilibrium::tipping_factor;

/// Back span ft, overhang ft, weight plf, tip lb; factor, hold-down lb at the back post for 1.0 and
/// 1.5.
pub const TABLE: [([f64; 4], f64, f64, f64); 4] = [
    ([8.0, 3.0, 10.0, 250.0], 0.403, 59.0, 109.0),
    ([8.0, 2.0, 10.0, 250.0], 0.615, 25.0, 58.0),
    ([10.0, 1.5, 12.0, 250.0], 1.544, 0.0, 0.0),
    ([6.0, 2.0, 8.0, 200.0], 0.346, 45.0, 80.0),
];

#[test]
fn four_rows_worked_by_hand() {
    for ([back, over, weight, tip], factor, balance, required) in TABLE {
        let found = tipping_factor(back * FT, over * FT, weight * PLF, tip * LB);
        assert!((found - factor).abs() < 0.0006, "{found} is not {factor}");
        let moments = plain(back * FT, over * FT, weight * PLF, tip * LB);
        // The table rounds to whole pounds.
        assert!((moments.hold_down(back * FT, 1.0) / LB - balance).abs() < 0.51);
        assert!((moments.hold_down(back * FT, 1.5) / LB - required).abs() < 0.51);
    }
}

#[test]
fn longest_overhang_without_a_hold_down() {
    // 8 ft back span, 10 plf, 250 lb at the tip: 0.84 ft (256 mm) has factor 1.5.
    let factor = |a: f64| tipping_factor(8.0 * FT, a, 10.0 * PLF, 250.0 * LB);
    let (mut low, mut high) = (0.0, 8.0 * FT);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if factor(middle) >= 1.5 { low = middle } else { high = middle }
    }
    assert!((low / FT - 0.84).abs() < 0.005, "{}", low / FT);
    assert!((low - 0.256).abs() < 0.0005);
}

#[test]
fn uniform_load_balances_at_equal_lengths() {
    assert!((tipping_factor(3.0, 3.0, 100.0, 0.0) - 1.0).abs() < 1e-12);
    // 1.5 at a = L · √(2/3) = 0.816 L.
    assert!((tipping_factor(3.0, 3.0 * (2.0_f64 / 3.0).sqrt(), 100.0, 0.0) - 1.5).abs() < 1e-12);
    assert!((tipping_factor(1.0, 0.816, 100.0, 0.0) - 1.5).abs() < 0.003);
}

#[test]
fn nothing_turns_what_does_not_overhang() {
    assert!(tipping_factor(3.0, 0.0, 100.0, 500.0).is_infinite());
    assert!(plain(0.0, 1.0, 100.0, 0.0).hold_down(0.0, 1.0).is_infinite());
}
