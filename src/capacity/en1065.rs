//! Telescopic steel props by class: EN 1065, nominal characteristic strength by extension. It holds
//! no margin for the site.
//!
//! Known to work: both tables of `tests/capacity/columns.rs`: fully out, and where the cap begins.

use super::work::{Kind, Value, Work};
use crate::equipment::model::PropClass;

/// Document; classes and that there is no margin seen in print, the formulas from memory.
pub const SOURCE: &str = "EN 1065:1998, nominal characteristic strength (from memory)";

/// Nominal characteristic strength R_y,k from the extension and the greatest extension.
pub fn strength(w: &mut Work, class: PropClass, extension: &Value, greatest: &Value) -> Value {
    let (l, most) = (&extension.symbol, &greatest.symbol);
    // kN m and kN: R = a lmax / l², never above the cap.
    let (a, cap) = match class {
        PropClass::A => (51.0, 44.0),
        PropClass::B => (68.0, 51.0),
        PropClass::C => (102.0, 59.5),
        PropClass::D => return flat(w, 34.0),
        PropClass::E => return flat(w, 51.0),
    };
    let a = w.given("a", "constant of the class, kN m", a * 1e3, Kind::Moment, SOURCE);
    let cap = w.given("R_0", "cap of the class", cap * 1e3, Kind::Force, SOURCE);
    w.line(
        "R_yk",
        "characteristic strength",
        &format!("min(a*{most}/{l}^2,R_0)"),
        Kind::Force,
        &[&a, greatest, extension, &cap],
        SOURCE,
        |v| (v[0] * v[1] / (v[2] * v[2])).min(v[3]),
    )
}

fn flat(w: &mut Work, kilonewtons: f64) -> Value {
    let meaning = "characteristic strength at every extension";
    w.given("R_yk", meaning, kilonewtons * 1e3, Kind::Force, SOURCE)
}
