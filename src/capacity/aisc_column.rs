//! Steel in compression: AISC 360 section E3, flexural buckling of members without slender elements.
//!
//! Known to work: the table of stresses of `tests/capacity/columns.rs`, Fy 35, 46, 50 ksi.

use super::work::{Kind, Value, Work};
use std::f64::consts::PI;

/// Document and equations (from memory).
pub const SOURCE: &str = "AISC 360 E3 (from memory)";

/// Nominal compression stress F_cr from yield stress, modulus and slenderness KL/r.
pub fn stress(w: &mut Work, fy: &Value, e: &Value, slenderness: &Value) -> Value {
    let euler = w.line(
        "F_e",
        "elastic buckling stress",
        &format!("pi^2*{}/{}^2", e.symbol, slenderness.symbol),
        Kind::Stress,
        &[e, slenderness],
        SOURCE,
        |v| PI * PI * v[0] / (v[1] * v[1]),
    );
    // Equations E3-2 and E3-3.
    if fy.si / euler.si <= 2.25 {
        w.line(
            "F_cr",
            "nominal compression stress, inelastic buckling",
            &format!("0.658^({}/F_e)*{}", fy.symbol, fy.symbol),
            Kind::Stress,
            &[fy, &euler],
            "AISC 360 E3-2 (from memory)",
            |v| 0.658_f64.powf(v[0] / v[1]) * v[0],
        )
    } else {
        w.line(
            "F_cr",
            "nominal compression stress, elastic buckling",
            "0.877*F_e",
            Kind::Stress,
            &[&euler],
            "AISC 360 E3-3 (from memory)",
            |v| 0.877 * v[0],
        )
    }
}
