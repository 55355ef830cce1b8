//! A rectangular section of timber or board: stress in bending, shear and bearing.
//!
//! Known to work: by hand in `tests/capacity/section.rs` (4 x 4 timber), and NDS 3.3 and 3.4, which
//! have the same formulas (from memory).

use super::work::{Kind, Value, Work};

/// NDS 3.3.2, 3.4.2, and EN 1995-1-1 6.1.6, 6.1.7 (from memory): the same elementary formulas.
pub const SOURCE: &str = "elementary bending of a rectangle, as NDS 3.3 and 3.4";

/// Greatest bending stress from a moment, breadth and depth.
pub fn bending(w: &mut Work, m: &Value, b: &Value, t: &Value) -> Value {
    let formula = format!("6*{}/({}*{}^2)", m.symbol, b.symbol, t.symbol);
    w.line("f_b", "bending stress", &formula, Kind::Stress, &[m, b, t], SOURCE, |v| {
        6.0 * v[0] / (v[1] * v[2] * v[2])
    })
}

/// Greatest shear stress from a shear force, breadth and depth.
pub fn shear(w: &mut Work, force: &Value, b: &Value, t: &Value) -> Value {
    let formula = format!("1.5*{}/({}*{})", force.symbol, b.symbol, t.symbol);
    w.line("f_v", "shear stress", &formula, Kind::Stress, &[force, b, t], SOURCE, |v| {
        1.5 * v[0] / (v[1] * v[2])
    })
}
