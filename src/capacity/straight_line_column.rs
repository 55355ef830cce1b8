//! Aluminium 6061-T6 in compression by the straight line of a public manual, to hold the others
//! against: US Air Force Stress Analysis Manual 1986, Table 2-3 (seen in print).
//!
//! Known to work: the manual's own values at slenderness 20, 40, 60.

use super::work::{Kind, Value, Work};
use std::f64::consts::PI;

/// Document and table.
pub const SOURCE: &str = "US Air Force Stress Analysis Manual 1986, Table 2-3, 6061-T6";

const KSI: f64 = 6_894_757.293_168_36;
/// Slenderness up to which the line counts; Euler's curve beyond.
pub const LIMIT: f64 = 63.0;

/// Failing stress of a 6061-T6 column from its modulus and slenderness.
pub fn stress(w: &mut Work, e: &Value, slenderness: &Value) -> Value {
    if slenderness.si <= LIMIT {
        let a = w.given("a", "38.3 ksi", 38.3 * KSI, Kind::Stress, SOURCE);
        let b = w.given("b", "0.202 ksi", 0.202 * KSI, Kind::Stress, SOURCE);
        let formula = format!("a-b*{}", slenderness.symbol);
        w.line(
            "F_c",
            "failing stress, straight line",
            &formula,
            Kind::Stress,
            &[&a, &b, slenderness],
            SOURCE,
            |v| v[0] - v[1] * v[2],
        )
    } else {
        let formula = format!("pi^2*{}/{}^2", e.symbol, slenderness.symbol);
        w.line(
            "F_c",
            "failing stress, Euler",
            &formula,
            Kind::Stress,
            &[e, slenderness],
            SOURCE,
            |v| PI * PI * v[0] / (v[1] * v[1]),
        )
    }
}
