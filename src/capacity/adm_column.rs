//! Aluminium in compression: Aluminum Design Manual 2010, member buckling (E.3), tempers T5 to T9.
//!
//! Known to work: constants and stresses of 6061-T6 in `tests/capacity/columns.rs`.

use super::work::{Kind, Value, Work};
use std::f64::consts::PI;

/// Document and section (from memory).
pub const SOURCE: &str = "Aluminum Design Manual 2010 E.3 and Table B.4.2 (from memory)";

/// 2250 ksi, the constant of Table B.4.2, in pascals.
const KAPPA: f64 = 2250.0 * 6_894_757.293_168_36;

/// Nominal compression stress F_n from yield stress, modulus and slenderness kL/r.
pub fn stress(w: &mut Work, fcy: &Value, e: &Value, slenderness: &Value) -> Value {
    let (fy, em, s) = (&fcy.symbol, &e.symbol, &slenderness.symbol);
    let kappa = w.given("k_1", "2250 ksi", KAPPA, Kind::Stress, SOURCE);
    let b = w.line(
        "B_c",
        "buckling constant, intercept",
        &format!("{fy}*(1+sqrt({fy}/k_1))"),
        Kind::Stress,
        &[fcy, &kappa],
        SOURCE,
        |v| v[0] * (1.0 + (v[0] / v[1]).sqrt()),
    );
    let d = w.line(
        "D_c",
        "buckling constant, slope",
        &format!("B_c/10*sqrt(B_c/{em})"),
        Kind::Stress,
        &[&b, e],
        SOURCE,
        |v| v[0] / 10.0 * (v[0] / v[1]).sqrt(),
    );
    let c = w.line(
        "C_c",
        "slenderness at which elastic buckling begins",
        "0.41*B_c/D_c",
        Kind::Number,
        &[&b, &d],
        SOURCE,
        |v| 0.41 * v[0] / v[1],
    );
    if slenderness.si < c.si {
        w.line(
            "F_n",
            "nominal compression stress, inelastic, never above yield",
            &format!("min((B_c-D_c*{s})*(0.85+0.15*(C_c-{s})/C_c),{fy})"),
            Kind::Stress,
            &[&b, &d, &c, slenderness, fcy],
            SOURCE,
            |v| ((v[0] - v[1] * v[3]) * (0.85 + 0.15 * (v[2] - v[3]) / v[2])).min(v[4]),
        )
    } else {
        w.line(
            "F_n",
            "nominal compression stress, elastic",
            &format!("0.85*pi^2*{em}/{s}^2"),
            Kind::Stress,
            &[e, slenderness],
            SOURCE,
            |v| 0.85 * PI * PI * v[0] / (v[1] * v[1]),
        )
    }
}
