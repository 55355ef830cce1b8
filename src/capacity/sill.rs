//! A post on a sill on the ground: spread through the sill, bearing on the soil, bending and bearing
//! of the sill.
//!
//! The load spreads from the plate through the thickness by the pack's run per rise, never past the
//! sill's edge on the nearer side, so that what is assumed pressed is centred under the post. Known
//! to work: plate 6 in on 6 in of timber: 18 in at 45 degrees, 12.9 in at 60 degrees with the
//! horizontal; 6 kip needs 4, 3, 2 square feet at 1500, 2000, 3000 psf
//! (`tests/capacity/sill.rs`, recomputed values of a survey).

use super::rectangle;
use super::work::{Kind, Value, Work};

/// Where the spread comes from is the pack's own source; the rest is statics.
pub const SOURCE: &str = "statics, pressure even under what is pressed";

/// One direction of a foot on its sill, metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    pub plate: f64,
    pub sill: f64,
    /// Of the post from the middle of the sill.
    pub off: f64,
}

/// Pressed length in one direction.
pub fn pressed(
    w: &mut Work,
    letters: [&'static str; 3],
    side: Side,
    thickness: &Value,
    spread: &Value,
) -> Value {
    let [plate, room, pressed] = letters;
    let p = w.given(plate, "side of the plate", side.plate, Kind::Length, "part data");
    let free = 0.5 * side.sill - side.off.abs() - 0.5 * side.plate;
    let r = w.given(
        room,
        "from the plate to the nearer edge of the sill",
        free,
        Kind::Length,
        "part data",
    );
    let formula = format!("{plate}+2*min(s*t,{room})");
    w.line(
        pressed,
        "pressed length",
        &formula,
        Kind::Length,
        &[&p, spread, thickness, &r],
        SOURCE,
        |v| v[0] + 2.0 * (v[1] * v[2]).min(v[3]),
    )
}

/// Pressure from a load over two pressed lengths.
pub fn pressure(w: &mut Work, load: &Value, x: &Value, y: &Value) -> Value {
    let formula = format!("{}/({}*{})", load.symbol, x.symbol, y.symbol);
    w.line("q", "pressure on the ground", &formula, Kind::Stress, &[load, x, y], SOURCE, |v| {
        v[0] / (v[1] * v[2])
    })
}

/// Bending stress of the sill at the edge of the plate, the pressed part as a cantilever.
pub fn bending(
    w: &mut Work,
    q: &Value,
    pressed: &Value,
    plate: &Value,
    width: &Value,
    t: &Value,
) -> Value {
    let formula = format!("q*{}*(({}-{})/2)^2/2", width.symbol, pressed.symbol, plate.symbol);
    let m = w.line(
        "M",
        "moment at the edge of the plate",
        &formula,
        Kind::Moment,
        &[q, width, pressed, plate],
        SOURCE,
        |v| v[0] * v[1] * (0.5 * (v[2] - v[3])).powi(2) / 2.0,
    );
    rectangle::bending(w, &m, width, t)
}
