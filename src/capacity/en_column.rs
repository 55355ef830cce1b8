//! Metal in compression by European buckling curves: steel EN 1993-1-1 6.3.1, aluminium EN 1999-1-1
//! 6.3.1. Both have one form; the imperfection and the plateau differ.
//!
//! Known to work: the factors of both tables in `tests/capacity/columns.rs`, and a tube by hand.

use super::work::{Kind, Value, Work};
use crate::equipment::model::{AluminiumClass, SteelCurve};
use std::f64::consts::PI;

/// Steel (from memory).
pub const STEEL: &str = "EN 1993-1-1 6.3.1 (from memory)";
/// Aluminium (from memory).
pub const ALUMINIUM: &str = "EN 1999-1-1 6.3.1 (from memory)";

/// Imperfection factor and plateau of a buckling curve, and where they stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    pub alpha: f64,
    pub plateau: f64,
    pub source: &'static str,
}

impl From<SteelCurve> for Curve {
    /// EN 1993-1-1 Table 6.1; the plateau is 0.2 for all.
    fn from(curve: SteelCurve) -> Self {
        let alpha = match curve {
            SteelCurve::A0 => 0.13,
            SteelCurve::A => 0.21,
            SteelCurve::B => 0.34,
            SteelCurve::C => 0.49,
            SteelCurve::D => 0.76,
        };
        Self { alpha, plateau: 0.2, source: STEEL }
    }
}

impl From<AluminiumClass> for Curve {
    /// EN 1999-1-1 Table 6.6.
    fn from(class: AluminiumClass) -> Self {
        let (alpha, plateau) = match class {
            AluminiumClass::A => (0.20, 0.10),
            AluminiumClass::B => (0.32, 0.00),
        };
        Self { alpha, plateau, source: ALUMINIUM }
    }
}

/// Reduction factor chi at a relative slenderness.
pub fn reduction(w: &mut Work, curve: Curve, lambda: &Value) -> Value {
    let (l, source) = (&lambda.symbol, curve.source);
    let alpha = w.given("alpha", "imperfection factor", curve.alpha, Kind::Number, source);
    let plateau = w.given("lam_0", "plateau of the curve", curve.plateau, Kind::Number, source);
    let phi = w.line(
        "phi",
        "helping number",
        &format!("0.5*(1+alpha*({l}-lam_0)+{l}^2)"),
        Kind::Number,
        &[&alpha, &plateau, lambda],
        source,
        |v| 0.5 * (1.0 + v[0] * (v[2] - v[1]) + v[2] * v[2]),
    );
    w.line(
        "chi",
        "reduction for buckling, at most 1",
        &format!("min(1/(phi+sqrt(phi^2-{l}^2)),1)"),
        Kind::Number,
        &[&phi, lambda],
        source,
        // Below the plateau phi may be less than lambda by a hair at most; there chi is 1.
        |v| (1.0 / (v[0] + (v[0] * v[0] - v[1] * v[1]).max(0.0).sqrt())).min(1.0),
    )
}

/// Characteristic compression stress chi * f from strength, modulus and slenderness L/i.
pub fn stress(w: &mut Work, curve: Curve, f: &Value, e: &Value, slenderness: &Value) -> Value {
    let (fs, em, s) = (&f.symbol, &e.symbol, &slenderness.symbol);
    let lambda = w.line(
        "lam",
        "relative slenderness",
        &format!("{s}/pi*sqrt({fs}/{em})"),
        Kind::Number,
        &[slenderness, f, e],
        curve.source,
        |v| v[0] / PI * (v[1] / v[2]).sqrt(),
    );
    let chi = reduction(w, curve, &lambda);
    let formula = format!("chi*{fs}");
    w.line(
        "f_b",
        "stress at which it buckles",
        &formula,
        Kind::Stress,
        &[&chi, f],
        curve.source,
        |v| v[0] * v[1],
    )
}
