//! Timber in compression by the US specification: the column stability factor C_P, NDS 3.7.1.
//!
//! Known to work: five posts of `tests/capacity/timber.rs`, factor and load.

use super::work::{Kind, Value, Work};

/// Equation seen in print on a teaching page; the factor c from memory.
pub const SOURCE: &str = "NDS 3.7.1 (equation seen in print, c from memory)";

/// Allowable stress F_c* C_P, from F_c* (all factors but C_P), E_min', and length over side.
pub fn stress(w: &mut Work, fc: &Value, emin: &Value, length_over_side: &Value, c: f64) -> Value {
    let (f, em, s) = (&fc.symbol, &emin.symbol, &length_over_side.symbol);
    let c = w.given("c", "0.8 sawn, 0.85 round poles, 0.9 glued", c, Kind::Number, SOURCE);
    let euler = w.line(
        "F_cE",
        "critical buckling stress",
        &format!("0.822*{em}/{s}^2"),
        Kind::Stress,
        &[emin, length_over_side],
        SOURCE,
        |v| 0.822 * v[0] / (v[1] * v[1]),
    );
    let a = w.line(
        "a",
        "buckling over crushing",
        &format!("F_cE/{f}"),
        Kind::Number,
        &[&euler, fc],
        SOURCE,
        |v| v[0] / v[1],
    );
    let cp = w.line(
        "C_P",
        "column stability factor",
        "(1+a)/(2*c)-sqrt(((1+a)/(2*c))^2-a/c)",
        Kind::Number,
        &[&a, &c],
        SOURCE,
        |v| {
            let half = (1.0 + v[0]) / (2.0 * v[1]);
            half - (half * half - v[0] / v[1]).sqrt()
        },
    );
    let formula = format!("{f}*C_P");
    w.line("Fc_a", "allowable stress", &formula, Kind::Stress, &[fc, &cp], SOURCE, |v| v[0] * v[1])
}
