//! Weights that may stand anywhere on a way over the deck: each place on it is taken down.

use super::LoadState;
use crate::assembly::Assembly;
use crate::criteria::Pack;
use crate::scene::model::{LoadPlace, LoadText};
use crate::sequence::Stage;
use crate::sequence::model::StageLoad;
use crate::units::{Length, Pressure};

/// Side of the square on which such a weight stands, metres: a wheel or two, a hose's saddle.
/// Choice of this project.
const PATCH: f64 = 0.2;
/// Places are no farther apart than this, metres, up to [`MOST`] of them.
const APART: f64 = 0.5;
const MOST: usize = 41;

type Point = (Length, Length);

/// A weight as a small area at a share of its way.
pub(super) fn at(from: Point, to: Point, weight: f64, share: f64) -> LoadPlace {
    let x = from.0.si() + share * (to.0.si() - from.0.si());
    let y = from.1.si() + share * (to.1.si() - from.1.si());
    let half = 0.5 * PATCH;
    LoadPlace::Area {
        from: (Length(x - half), Length(y - half)),
        to: (Length(x + half), Length(y + half)),
        load: Pressure(weight / (PATCH * PATCH)),
    }
}

/// Widens the range at each foot by what every other place on the way gives; the state itself has
/// each weight in the middle of its way. Says of a way that leaves the deck.
pub(super) fn widen(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &[&StageLoad],
    state: &mut LoadState,
) {
    let (least, greatest) = (state.foot_least.clone(), state.foot_greatest.clone());
    for (k, load) in loads.iter().enumerate() {
        let LoadPlace::Along { from, to, weight } = &load.text.on else { continue };
        let run = (to.0.si() - from.0.si()).hypot(to.1.si() - from.1.si());
        #[allow(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "cut off at a few tens"
        )]
        let count = ((run / APART).ceil().clamp(1.0, (MOST - 1) as f64)) as usize;
        let mut low = least.clone();
        let mut high = greatest.clone();
        let mut off = 0.0_f64;
        for i in 0..=count {
            let here = StageLoad {
                text: LoadText {
                    on: at(*from, *to, weight.si(), i as f64 / count as f64),
                    ..load.text.clone()
                },
                since_step: load.since_step,
            };
            let mut all = loads.to_vec();
            all[k] = &here;
            let found = super::take_down::take_down_still(assembly, pack, stage, &all);
            let before = state.unplaced.iter().map(|u| u.1).sum::<f64>();
            off = off.max(found.unplaced.iter().map(|u| u.1).sum::<f64>() - before);
            for m in 0..low.len() {
                low[m] = low[m].min(found.foot_least[m]);
                high[m] = high[m].max(found.foot_greatest[m]);
            }
        }
        for m in 0..low.len() {
            state.foot_least[m] += low[m] - least[m];
            state.foot_greatest[m] += high[m] - greatest[m];
        }
        if off > 1.0 {
            let why = format!("{}: its way leaves the deck", load.text.name);
            state.unplaced.push((why, off));
        }
    }
}
