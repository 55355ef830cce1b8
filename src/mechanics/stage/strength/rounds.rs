//! Compressions and the answers made with them, found together.

use super::families::{Bows, Nodal};
use super::of_frame::OfFrame;
use super::side::{Side, times};
use super::{Subject, round_up};
use crate::mechanics::engine::stage_tree::{Answered, OnTree, TreeSolution};

/// Compressions are found anew at most so often.
pub(super) const ROUNDS: usize = 8;
/// Round-off by which a compression may pass what it was made with.
const ROUND_OFF: f64 = 1e-9;
/// Bands of compression: steps in newtons, and binary digits (by less than one part in 64 more). A step is a
/// few hundredths of what a post weighs that bears its own ledgers alone.
const STEP: f64 = 64.0;
const DIGITS: u32 = 6;

/// Answers that bring no more compression than they were made with.
pub(super) struct Settled {
    /// To the weight, and to the families of each direction.
    pub answered: Answered,
    /// By answer and foot: force by which the ground pushes up, newtons.
    pub up: Vec<Vec<f64>>,
    /// By frame member, positive: at the loads themselves, and with the factor on yield.
    pub compression: Vec<f64>,
    pub factored: Vec<f64>,
    /// From each of these to the next are a direction's answers.
    pub first_of: Vec<usize>,
}

/// Why there is none.
pub(super) enum Unsettled {
    Unstable,
    NotInTime,
}

/// Finds compressions and answers, from `compression` on. `before`: those of the stage before.
pub(super) fn settle(
    subject: &Subject<'_>,
    tree: &mut OnTree<'_>,
    sides: &[Side],
    of_frame: &OfFrame,
    bows: &mut Bows,
    mut compression: Vec<f64>,
    mut before: Option<Answered>,
) -> Result<Settled, Unsettled> {
    let factor = subject.pack.yield_factor.value;
    let elements = tree.elements();
    for _ in 0..ROUNDS {
        band(&mut compression);
        let factored: Vec<f64> = compression.iter().map(|c| c * factor).collect();
        let negative: Vec<f64> = factored.iter().map(|c| -c).collect();
        if !tree.stiffen_like(&negative, before.as_ref().map(Answered::stiffened)) {
            return Err(Unsettled::Unstable);
        }
        let mut loads: Vec<Nodal> = vec![times(&subject.weight.nodal, factor, &|_| true)];
        let mut first_of: Vec<usize> = Vec::with_capacity(sides.len() + 1);
        for side in sides {
            first_of.push(loads.len());
            let bows = (&of_frame.numbers[..], &mut *bows);
            let (offsets, factored) = (&of_frame.offsets, &factored);
            loads.extend(side.families(
                subject,
                &elements,
                offsets,
                factored,
                factor,
                bows,
                &|_| true,
            ));
        }
        first_of.push(loads.len());
        let Ok(answered) = tree.answer_stiffened(loads, before.take()) else { break };
        // What is as it was before was no larger than what it was made with.
        let otherwise = answered.otherwise();
        let members = (0..compression.len()).filter(|&k| otherwise[k]);
        if !grow(&mut compression, answered.solutions(), &first_of, factor, members) {
            let up = (answered.solutions().iter().zip(answered.cases()))
                .map(|(answer, nodal)| tree.reactions(&answer.axial, nodal))
                .collect();
            return Ok(Settled { answered, up, compression, factored, first_of });
        }
        before = Some(answered);
    }
    Err(Unsettled::NotInTime)
}

/// Rounds compressions up, so that small changes elsewhere leave a member's matrix as it is.
pub(super) fn band(compression: &mut [f64]) {
    for c in compression.iter_mut() {
        *c = round_up((*c / STEP).ceil() * STEP, STEP, DIGITS);
    }
}

/// Takes in what the answer brings to some members; whether anything is larger than it was made with. The
/// first is the weight's, from each of `first_of` to the next are a direction's.
pub(super) fn grow(
    compression: &mut [f64],
    answers: &[TreeSolution],
    first_of: &[usize],
    factor: f64,
    members: impl Iterator<Item = usize>,
) -> bool {
    let axial: Vec<&[f64]> = answers.iter().map(|answer| &answer.axial[..]).collect();
    let mut grown = false;
    for k in members {
        let c = &mut compression[k];
        for at in first_of.windows(2) {
            let sideways: f64 = axial[at[0]..at[1]].iter().map(|a| a[k].abs()).sum();
            let found = (sideways - axial[0][k]) / factor;
            if !(found <= *c * (1.0 + ROUND_OFF)) {
                *c = found;
                grown = true;
            }
        }
    }
    grown
}

#[cfg(test)]
mod tests {
    use super::{STEP, band};

    #[test]
    fn bands_are_no_less_than_what_is_there_and_no_further_than_a_step_and_one_part_in_64() {
        let before: Vec<f64> = (1..4000).map(|k| f64::from(k) * 17.3).collect();
        let mut after = before.clone();
        band(&mut after);
        for (n, banded) in before.iter().zip(&after) {
            assert!(banded >= n && *banded <= (n + STEP) * (1.0 + 1.0 / 64.0), "{n}: {banded}");
        }
        let bands = after.chunk_by(|a, b| a == b).count();
        assert!(bands < 350, "{bands} of 3999");
        // Once in a band it stays where it is.
        let again = after.clone();
        band(&mut after);
        assert_eq!(after, again);
    }

    #[test]
    fn nothing_stays_nothing_and_what_is_no_number_stays_none() {
        let mut some = [0.0, f64::NAN, f64::INFINITY];
        band(&mut some);
        assert_eq!(some[0], 0.0);
        assert!(some[1].is_nan() && some[2] == f64::INFINITY);
    }
}
