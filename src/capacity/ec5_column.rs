//! Timber in compression by EN 1995-1-1 6.3.2: the instability factor k_c.
//!
//! Known to work: three posts of C24 in `tests/capacity/timber.rs`.

use super::work::{Kind, Value, Work};
use std::f64::consts::PI;

/// Document and clause (from memory).
pub const SOURCE: &str = "EN 1995-1-1 6.3.2 (from memory)";

/// Characteristic compression stress k_c f_c0k, from f_c0k, E_0.05 and slenderness L/i. `straight`
/// is beta_c: 0.2 for solid timber, 0.1 for glued.
pub fn stress(w: &mut Work, fc: &Value, e05: &Value, slenderness: &Value, straight: f64) -> Value {
    let (f, em, s) = (&fc.symbol, &e05.symbol, &slenderness.symbol);
    let beta = w.given("beta_c", "0.2 solid, 0.1 glued timber", straight, Kind::Number, SOURCE);
    let lambda = w.line(
        "lam",
        "relative slenderness",
        &format!("{s}/pi*sqrt({f}/{em})"),
        Kind::Number,
        &[slenderness, fc, e05],
        SOURCE,
        |v| v[0] / PI * (v[1] / v[2]).sqrt(),
    );
    let k = w.line(
        "k",
        "helping number",
        "0.5*(1+beta_c*(lam-0.3)+lam^2)",
        Kind::Number,
        &[&beta, &lambda],
        SOURCE,
        |v| 0.5 * (1.0 + v[0] * (v[1] - 0.3) + v[1] * v[1]),
    );
    let kc = w.line(
        "k_c",
        "instability factor, at most 1",
        "min(1/(k+sqrt(k^2-lam^2)),1)",
        Kind::Number,
        &[&k, &lambda],
        SOURCE,
        |v| (1.0 / (v[0] + (v[0] * v[0] - v[1] * v[1]).max(0.0).sqrt())).min(1.0),
    );
    let formula = format!("k_c*{f}");
    w.line("f_b", "stress at which it buckles", &formula, Kind::Stress, &[&kc, fc], SOURCE, |v| {
        v[0] * v[1]
    })
}
