//! A deck sheet over joists: bending, shear and sag of a strip one metre wide.
//!
//! A simple span over the widest gap between two supports, which a continuous sheet only betters.
//! Known to work: the closed forms wL²/8, wL/2, 5wL⁴/384EI, PL/4 (`tests/capacity/section.rs`).

use super::work::{Kind, Value, Work};

/// Beam formulas of any handbook.
pub const SOURCE: &str = "simple span, handbook formulas";

/// Moment and shear of a strip of width `b` under pressure `q` and a point load `p` at the worst place.
pub fn forces(w: &mut Work, q: &Value, p: &Value, b: &Value, l: &Value) -> (Value, Value) {
    let m = w.line(
        "M",
        "moment of the strip",
        "q*b*L^2/8+P*L/4",
        Kind::Moment,
        &[q, b, l, p],
        SOURCE,
        |v| v[0] * v[1] * v[2] * v[2] / 8.0 + v[3] * v[2] / 4.0,
    );
    let v =
        w.line("V", "shear of the strip", "q*b*L/2+P", Kind::Force, &[q, b, l, p], SOURCE, |v| {
            v[0] * v[1] * v[2] / 2.0 + v[3]
        });
    (m, v)
}

/// Sag of the strip under the pressure and the point load, from its modulus and thickness.
pub fn sag(
    w: &mut Work,
    q: &Value,
    p: &Value,
    b: &Value,
    l: &Value,
    e: &Value,
    t: &Value,
) -> Value {
    let i = w.line(
        "I",
        "second moment of the strip",
        "b*t^3/12",
        Kind::SecondMoment,
        &[b, t],
        SOURCE,
        |v| v[0] * v[1].powi(3) / 12.0,
    );
    w.line(
        "d",
        "sag at the middle",
        "5*q*b*L^4/(384*E*I)+P*L^3/(48*E*I)",
        Kind::Length,
        &[q, b, l, e, &i, p],
        SOURCE,
        |v| {
            5.0 * v[0] * v[1] * v[2].powi(4) / (384.0 * v[3] * v[4])
                + v[5] * v[2].powi(3) / (48.0 * v[3] * v[4])
        },
    )
}
