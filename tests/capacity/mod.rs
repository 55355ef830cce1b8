//! What parts carry: every formula against published or independently computed numbers.

mod columns;
mod post;
mod section;
mod sill;
mod statics;
mod timber;
mod turning_over;

use standwell::capacity::{Kind, Value, Work};

pub const KSI: f64 = 6_894_757.293_168_36;
pub const PSI: f64 = KSI / 1e3;
pub const LB: f64 = 4.448_221_615_260_5;
pub const INCH: f64 = 0.0254;

pub fn given(w: &mut Work, symbol: &'static str, si: f64, kind: Kind) -> Value {
    w.given(symbol, symbol, si, kind, "test")
}

/// Within half a unit of the last figure a source prints.
pub fn prints(value: f64, due: f64, last: f64, what: &str) {
    assert!((value - due).abs() <= 0.5001 * last, "{what}: {value} for {due}");
}
