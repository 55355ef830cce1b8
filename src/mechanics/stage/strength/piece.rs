//! Moments along a piece of a post, of all families of loads together.

use super::families::bow_load;
use super::recover::{Data, State, Worst};
use super::relief::Lacking;
use super::resist::Resistance;
use crate::mechanics::beam_column::{Along, SAMPLES};
use crate::mechanics::bent::Bent;

/// One piece: the most that presses it, by how much less it may be pressed, and the sum of the families' moments
/// without signs at each place with what they may bulge by in between.
pub(super) struct Piece {
    pressed: f64,
    pub less: f64,
    moment: Along,
    /// What crooked posts bend it by along the axis of the state.
    crooked: Along,
}

/// None where the moments cannot be worked out.
pub(super) fn along(
    data: &Data<'_>,
    state: &State<'_>,
    (k, bent): (usize, &Bent),
) -> Option<Piece> {
    let mut sum = [[0.0; SAMPLES]; 2];
    let mut bulge = [0.0; 2];
    let mut crooked = [0.0; SAMPLES];
    for family in &state.families {
        let load =
            family.bow.then(|| bow_load(&data.of_frame.offsets, data.compression, k, state.axis));
        let moments = bent.moments(&data.elements[k], &family.of.displacement, load)?;
        for plane in 0..2 {
            bulge[plane] += moments.bulge[plane];
            for (sum, m) in sum[plane].iter_mut().zip(&moments.along[plane]) {
                *sum += m.abs();
            }
            if family.bow {
                let axes = &data.elements[k].axes;
                let share: f64 = (0..2).map(|d| axes[(1 + plane, d)] * state.axis[d]).sum();
                for (crooked, m) in crooked.iter_mut().zip(&moments.along[plane]) {
                    *crooked += share * m;
                }
            }
        }
    }
    let sideways: f64 = state.families[1..].iter().map(|f| f.of.axial[k].abs()).sum();
    let pressed = sideways - state.families[0].of.axial[k];
    let moment = std::array::from_fn(|i| sum[0][i].hypot(sum[1][i]) + bulge[0].hypot(bulge[1]));
    let less = if state.with_feet_up() {
        data.compression[k] - (pressed - 2.0 * sideways)
    } else {
        2.0 * sideways
    };
    Some(Piece { pressed: pressed.max(data.compression[k]), less, moment, crooked })
}

impl Piece {
    /// Takes in where it is used most.
    pub(super) fn take(
        &self,
        resist: &Resistance,
        span: [f64; 2],
        (extra, lacking): (f64, &Lacking),
        worst: &mut Worst,
    ) {
        for (i, moment) in self.moment.iter().enumerate() {
            let (same, against) = if self.crooked[i] < 0.0 {
                (lacking.less[i], lacking.more[i])
            } else {
                (lacking.more[i], lacking.less[i])
            };
            // What turns a moment round counts from where it is as large again.
            let round = against - 2.0 * self.crooked[i].abs();
            let more = if round <= same { same } else { round };
            let moment = moment + extra + more;
            let usage = self.pressed / resist.axial + moment / resist.moment;
            if !(usage <= worst.usage) && !worst.usage.is_nan() {
                let share = i as f64 / (SAMPLES - 1) as f64;
                *worst = Worst {
                    compression: self.pressed,
                    moment,
                    usage,
                    at: span[0] + share * (span[1] - span[0]),
                    ..*worst
                };
            }
        }
    }
}
