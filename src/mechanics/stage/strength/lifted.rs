//! The check in a direction in which feet lift: they are released, and the rest is asked.
//!
//! Feet that lift stay up for good, so the set only grows and this ends. A foot that gives nothing
//! is a foot that pushes with nothing: what stands without it stands.

use super::recover::{self, Data, Family, State, Worst};
use super::{CROOKED, ROUNDS, Side, band, case_words, fall, times};
use crate::assembly::MemberId;
use crate::mechanics::answers::{Solution, Unknown};
use crate::mechanics::frame::{ElementForm, LoadCase};
use crate::mechanics::model::Model;
use crate::mechanics::stage::contact::{self, NewMotion, Settled};
use crate::mechanics::strength_model::LeanFall;
use std::collections::BTreeSet;

/// One direction and sense.
pub(super) struct Ask<'a> {
    pub data: &'a Data<'a>,
    pub which: usize,
    pub side: &'a Side,
    pub sense: f64,
    pub factor: f64,
}

/// How it came out.
pub(super) enum Answer {
    /// The worst places, and posts that could not be worked out.
    Stands(Vec<Worst>, Vec<(MemberId, String)>),
    Falls(LeanFall),
    Unstable,
    Unknown(String),
}

/// `start` are the compressions at the loads themselves, positive.
pub(super) fn judge(ask: &Ask<'_>, start: &[f64]) -> Answer {
    match attempt(ask, start) {
        Ok(answer) => answer,
        Err(Unknown::Unstable { .. }) => Answer::Unstable,
        Err(unknown) => Answer::Unknown(unknown.to_string()),
    }
}

fn attempt(ask: &Ask<'_>, start: &[f64]) -> Result<Answer, Unknown> {
    let subject = ask.data.subject;
    let frame = subject.frame;
    let falls = |motion: &[[f64; 6]]| {
        let words = case_words(ask.side.axis, ask.sense);
        Ok(Answer::Falls(fall(subject, words, motion)))
    };
    let mut case =
        LoadCase { nodal: times(&subject.weight.nodal, ask.factor), uniform: Vec::new() };
    case.nodal.extend(times(&ask.side.lateral, ask.factor * ask.sense));
    let mut lifted: BTreeSet<usize> = match contact::settle(frame, subject.pins, &case)? {
        Settled::Stands { lifted, .. } => lifted.into_iter().collect(),
        Settled::GoesOver { motion, .. } => return falls(&motion),
    };
    let mut compression = start.to_vec();
    let most = ROUNDS + frame.feet.len();
    for _ in 0..most {
        band(&mut compression);
        let factored: Vec<f64> = compression.iter().map(|c| c * ask.factor).collect();
        let released = contact::without_feet(frame, &lifted);
        let pins = match contact::new_motion(&released, subject.pins, &case)? {
            NewMotion::None => subject.pins.to_vec(),
            NewMotion::Unloaded(pins) => pins,
            NewMotion::Loaded(motion) => return falls(&motion),
        };
        let (elements, offsets) = (ask.data.elements, ask.data.offsets);
        let mut families = ask.side.families(subject, elements, offsets, &factored, ask.factor);
        families[0].clone_from(&case.nodal);
        let model = Model::new(&released, ElementForm::Exact, &pins)?;
        let negative: Vec<f64> = factored.iter().map(|c| -c).collect();
        let mut solved: Vec<Solution> = Vec::with_capacity(families.len());
        for nodal in families {
            let loads = LoadCase { nodal, uniform: Vec::new() };
            solved.push(model.second_order(&loads, &negative, 1.0)?);
        }
        let more = pulls(ask, &solved, &mut lifted);
        if grows(&solved, ask.factor, &mut compression) || more {
            continue;
        }
        let family = |(i, s)| {
            let s: &Solution = s;
            Family { moved: &s.displacement, axial: &s.axial, bow: i == CROOKED }
        };
        let state = State {
            which: u8::try_from(ask.which).unwrap_or(u8::MAX),
            axis: ask.side.axis,
            families: solved.iter().enumerate().map(family).collect(),
        };
        let data = Data { compression: &factored, ..*ask.data };
        let (worst, unknown) = recover::posts(&data, &[state]);
        return Ok(Answer::Stands(worst, unknown));
    }
    Ok(Answer::Unknown("which feet lift and how much they carry did not settle".to_owned()))
}

/// Adds the feet that pull; whether there are any.
fn pulls(ask: &Ask<'_>, solved: &[Solution], lifted: &mut BTreeSet<usize>) -> bool {
    let frame = ask.data.subject.frame;
    let up: Vec<Vec<f64>> = solved.iter().map(|s| contact::foot_reactions(frame, s)).collect();
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

fn grows(solved: &[Solution], factor: f64, compression: &mut [f64]) -> bool {
    let mut grown = false;
    for (k, c) in compression.iter_mut().enumerate() {
        let beside: f64 = solved[1..].iter().map(|s| s.axial[k].abs()).sum();
        let found = (beside - solved[0].axial[k]) / factor;
        if !(found <= *c * (1.0 + 1e-9)) {
            *c = found;
            grown = true;
        }
    }
    grown
}
