//! The check in a direction in which feet lift: they are released, and the rest is asked.
//!
//! Only lines in which something is otherwise than with all feet down are asked: what has nothing to
//! do with them is as it was there. It begins with the feet that pull when all are down. Feet that lift
//! stay up for good, so the set only grows and this ends. A foot that gives nothing is a foot that pushes
//! with nothing: what stands without it stands.

use super::recover::{self, Data, Family, Places, State, Worst};
use super::{CROOKED, ROUNDS, Side, band, case_words, fall, grow, times};
use crate::assembly::MemberId;
use crate::mechanics::answers::Unknown;
use crate::mechanics::engine::stage_tree::{Beside, OnTree, Stiffened, TreeSolution};
use crate::mechanics::frame::LoadCase;
use crate::mechanics::stage::contact::{self, NewMotion};
use crate::mechanics::stage::swing::Forces;
use crate::mechanics::strength_model::LeanFall;
use std::collections::BTreeSet;

/// One direction and sense.
pub(super) struct Ask<'a> {
    pub data: &'a Data<'a>,
    pub which: usize,
    pub side: &'a Side,
    pub sense: f64,
    /// Feet that pull with all feet down, every family counted.
    pub pulling: BTreeSet<usize>,
    pub factor: f64,
    /// With all feet down: compressions at the loads themselves, positive, what they stiffen, and the
    /// answers: to the weight with the lateral forces, to heads loaded off their axis, and so on.
    pub compression: &'a [f64],
    pub stiffened: &'a Stiffened,
    pub known: &'a [TreeSolution],
    /// Force by which the ground pushes up on each foot then.
    pub up: &'a [Vec<f64>],
}

/// Senses of a direction in which some feet pull, and which: what pushes them up under the weight, and
/// under what acts sideways. The push at one head is the push test's affair.
pub(super) fn feet_that_pull(up: &[f64], side: &[Vec<f64>]) -> Vec<(f64, BTreeSet<usize>)> {
    let largest = up.iter().map(|r| r.abs()).fold(0.0, f64::max);
    let pulling = |sense: f64| {
        let least = |foot: usize| {
            up[foot] + sense * side[0][foot] - side[1][foot].abs() - side[2][foot].abs()
        };
        (0..up.len()).filter(|&foot| contact::lifts(least(foot), largest)).collect()
    };
    let both = [1.0, -1.0].map(|sense| (sense, pulling(sense)));
    both.into_iter().filter(|(_, feet): &(f64, BTreeSet<usize>)| !feet.is_empty()).collect()
}

/// How it came out.
pub(super) enum Answer {
    /// The worst places of the posts that are concerned, and those that could not be worked out. Others are
    /// as with all feet down.
    Stands(Vec<Worst>, Vec<(MemberId, String)>),
    Falls(LeanFall),
    Unstable,
    Unknown(String),
}

pub(super) fn judge(ask: &Ask<'_>, tree: &mut OnTree<'_>, places: &mut Places) -> Answer {
    match attempt(ask, tree, places) {
        Ok(answer) => answer,
        Err(Unknown::Unstable { .. }) => Answer::Unstable,
        Err(unknown) => Answer::Unknown(unknown.to_string()),
    }
}

fn attempt(ask: &Ask<'_>, tree: &mut OnTree<'_>, places: &mut Places) -> Result<Answer, Unknown> {
    let subject = ask.data.subject;
    let frame = subject.frame;
    let falls = |motion: &[[f64; 6]]| {
        let words = case_words(ask.side.axis, ask.sense);
        Ok(Answer::Falls(fall(subject, words, motion)))
    };
    let everywhere = |_: usize| true;
    let mut case = LoadCase::default();
    case.nodal.extend(times(&subject.weight.nodal, ask.factor, &everywhere));
    case.nodal.extend(times(&ask.side.lateral, ask.factor * ask.sense, &everywhere));
    let mut answers = Beside::new(ask.known);
    let forces = Forces::new(frame, &case);
    let mut lifted = ask.pulling.clone();
    let mut compression = ask.compression.to_vec();
    // Of the round before.
    let mut last: Option<Stiffened> = None;
    let most = ROUNDS + frame.feet.len();
    for _ in 0..most {
        band(&mut compression);
        let factored: Vec<f64> = compression.iter().map(|c| c * ask.factor).collect();
        let supports = contact::supports_without(frame, &lifted);
        let of = (&lifted, &supports[..]);
        let pins =
            if let Some(pins) = contact::pins_on(tree, frame, of, subject.pins, Some(&forces))? {
                pins
            } else {
                let released = contact::without_feet(frame, &lifted);
                match contact::new_motion(&released, subject.pins, &case)? {
                    NewMotion::None => subject.pins.to_vec(),
                    NewMotion::Unloaded(pins) => pins,
                    NewMotion::Loaded(motion) => return falls(&motion),
                }
            };
        let mut on = tree.on_supports(&supports, &pins)?;
        let negative: Vec<f64> = factored.iter().map(|c| -c).collect();
        if !on.stiffen_like(&negative, Some(last.as_ref().unwrap_or(ask.stiffened))) {
            return Ok(Answer::Unstable);
        }
        // The same cases but for what is unlike: its lateral forces and its compressions.
        let unlike =
            on.unlike(ask.stiffened).ok_or(Unknown::NotConverged("not stiffened".into()))?;
        last = on.stiffened().cloned();
        let there = |node: usize| unlike.nodes[node];
        let bows = (ask.data.numbers, &mut places.bows);
        let (elements, offsets) = (ask.data.elements, ask.data.offsets);
        let mut families =
            ask.side.families(subject, elements, offsets, &factored, ask.factor, bows, &there);
        families[0] = times(&case.nodal, 1.0, &there);
        on.solve_unlike(&families, &unlike, &mut answers)?;
        let solved: Vec<Solved<'_>> = (answers.answers().iter())
            .zip(&families)
            .zip(ask.up)
            .map(|((solution, nodal), known)| {
                let up = on.reactions_at(&unlike.nodes, &solution.axial, nodal, known);
                Solved { solution, up }
            })
            .collect();
        let more = pulls(&solved, &mut lifted);
        if grow(&mut compression, &solved, &[1, solved.len()], ask.factor) || more {
            continue;
        }
        let family = |(i, s)| {
            let s: &Solved<'_> = s;
            Family { of: s.solution, bow: i == CROOKED }
        };
        let state = State {
            which: u8::try_from(ask.which).unwrap_or(u8::MAX),
            sense: if ask.sense > 0.0 { 1 } else { 2 },
            axis: ask.side.axis,
            families: solved.iter().enumerate().map(family).collect(),
        };
        let concerned: BTreeSet<MemberId> = unlike.members.iter().map(|&k| frame.of[k]).collect();
        let left_out = |post| (ask.data.left_out)(post) || !concerned.contains(&post);
        let data = Data { compression: &factored, left_out: &left_out, ..*ask.data };
        let (worst, unknown) = recover::posts(&data, &[state], places);
        return Ok(Answer::Stands(worst, unknown));
    }
    Ok(Answer::Unknown("which feet lift and how much they carry did not settle".to_owned()))
}

/// One family's answer.
struct Solved<'a> {
    solution: &'a TreeSolution,
    /// Force by which the ground pushes up on each foot.
    up: Vec<f64>,
}

impl AsRef<[f64]> for Solved<'_> {
    fn as_ref(&self) -> &[f64] {
        &self.solution.axial
    }
}

/// Adds the feet that pull; whether there are any.
fn pulls(solved: &[Solved<'_>], lifted: &mut BTreeSet<usize>) -> bool {
    let up: Vec<&[f64]> = solved.iter().map(|s| &s.up[..]).collect();
    let largest = up[0].iter().map(|r| r.abs()).fold(0.0, f64::max);
    let before = lifted.len();
    for (foot, at_rest) in up[0].iter().enumerate() {
        let least = at_rest - up[1][foot].abs() - up[2][foot].abs();
        if !lifted.contains(&foot) && contact::lifts(least, largest) {
            lifted.insert(foot);
        }
    }
    lifted.len() > before
}
