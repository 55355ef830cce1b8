//! What each member looks like at a stage, and the change from one stage to the next.

use crate::assembly::{MemberId, Role};
use crate::review::Review;
use crate::viewer::coats::Coats;
use crate::viewer::materials::{Coat, Stroke};
use crate::viewer::members::Bodies;
use crate::viewer::shown::{Drawn, Shown};
use crate::viewer::state::{ViewerState, stands_at};
use crate::viewer::theme::Grade;
use crate::viewer::vocab::Item;
use bevy::prelude::*;
use std::collections::BTreeSet;

/// How one member is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Paint {
    /// None: its body is not drawn.
    pub coat: Option<Coat>,
    /// None: its edges are not drawn.
    pub stroke: Option<Stroke>,
}

impl Paint {
    pub const NOTHING: Self = Self { coat: None, stroke: None };
}

/// The worst grade at a stage of every member a finding is about, from *watch* up.
#[must_use]
pub fn grades(review: &Review, stage: usize) -> Vec<Option<Grade>> {
    let mut out = vec![None; review.assembly.members.len()];
    for finding in review.findings.iter().filter(|f| stands_at(f, stage)) {
        let grade = Grade::of(finding.severity, finding.unknown);
        if grade == Grade::Note {
            continue;
        }
        // Of what follows from another finding only what moves is in danger itself: a whole frame "tips"
        // where a post that is hung on it goes over alone.
        let moving = finding.evidence.motion.iter().flat_map(|m| &m.members);
        let moving: BTreeSet<&str> = moving.map(|m| m.name.as_str()).collect();
        let follows = finding.root.is_some();
        let some_move = finding.subjects.iter().any(|s| moving.contains(s.as_str()));
        let apart = |name: &str| follows && some_move && !moving.contains(name);
        for name in finding.subjects.iter().filter(|name| !apart(name)) {
            if let Some(id) = review.assembly.find(name) {
                let there = &mut out[id.index()];
                *there = (*there).max(Some(grade));
            }
        }
    }
    out
}

/// Members a finding is about or shows: what stays in colour while it is looked at.
#[must_use]
pub fn in_focus(review: &Review, chosen: Option<Item>) -> Option<Vec<bool>> {
    let Some(Item::Finding(i)) = chosen else { return None };
    let finding = review.findings.get(i)?;
    let mut out = vec![false; review.assembly.members.len()];
    let moving = finding.evidence.motion.iter().flat_map(|m| &m.members).map(|m| &m.name);
    let named = finding.subjects.iter().chain(&finding.others).chain(&finding.evidence.path);
    for name in named.chain(moving) {
        if let Some(id) = review.assembly.find(name) {
            out[id.index()] = true;
        }
    }
    out.contains(&true).then_some(out)
}

/// How every member is drawn at a stage.
#[must_use]
pub fn paint(review: &Review, stage: usize, chosen: Option<Item>) -> Vec<Paint> {
    let assembly = &review.assembly;
    let Some(now) = review.sequence.stages.get(stage) else {
        return vec![Paint::NOTHING; assembly.members.len()];
    };
    let grades = grades(review, stage);
    let focus = in_focus(review, chosen);
    let mut this_step = vec![false; assembly.members.len()];
    for id in now.touched.iter().chain(&now.released) {
        this_step[id.index()] = true;
    }
    let look = |m: &crate::assembly::Member| {
        let i = m.id.index();
        if !now.members[i].is_there() {
            return Paint { coat: None, stroke: to_come(m.role).then_some(Stroke::Ghost) };
        }
        if focus.as_ref().is_some_and(|f| !f[i]) && grades[i].is_none_or(|g| g < Grade::Stop) {
            return Paint { coat: Some(Coat::Pale), stroke: Some(Stroke::Pale) };
        }
        let (coat, stroke) = if let Some(grade) = grades[i] {
            (Coat::Hazard(grade), Stroke::Hazard(grade))
        } else if now.members[i].is_held() {
            (Coat::Held, Stroke::Held)
        } else if this_step[i] && !review.sequence.finished_only {
            (Coat::Step, Stroke::Step)
        } else {
            (Coat::Own(m.role), Stroke::Edge)
        };
        Paint { coat: Some(coat), stroke: Some(stroke) }
    };
    assembly.members.iter().map(look).collect()
}

/// Takes out what is not to be drawn, and fades what is to be faded; what is about to fall stays
/// in its colour.
pub fn leave_out(review: &Review, shown: &Shown, paints: &mut [Paint]) {
    if shown.is_all() {
        return;
    }
    for (member, paint) in review.assembly.members.iter().zip(paints) {
        match shown.of(member) {
            Drawn::Full => {}
            Drawn::Not => *paint = Paint::NOTHING,
            Drawn::Faded => {
                if paint.coat.is_some_and(|c| !matches!(c, Coat::Hazard(Grade::Stop))) {
                    *paint = Paint { coat: Some(Coat::Pale), stroke: Some(Stroke::Pale) };
                }
            }
        }
    }
}

/// Roles whose members are outlined while still to come. Deck and fillers would hide the rest.
pub(super) fn to_come(role: Role) -> bool {
    matches!(role, Role::Post | Role::Prop | Role::Ledger | Role::Joist | Role::DropBeam)
}

/// Members that look different.
#[must_use]
pub fn changed(before: &[Paint], after: &[Paint]) -> Vec<MemberId> {
    (0..after.len())
        .filter(|&i| before.get(i) != Some(&after[i]))
        .map(|i| MemberId(i as u32))
        .collect()
}

/// What the colours depend on: review, stage, choice, veil while a question is open, what is drawn.
type Key = (u64, usize, Option<Item>, Option<Vec<String>>, Shown);

/// What is on the members now.
#[derive(Resource, Default)]
pub struct Painted {
    key: Option<Key>,
    pub paints: Vec<Paint>,
    /// How many members the last change touched.
    pub touched: usize,
}

/// Repaints the members that differ.
pub fn repaint(
    state: Res<'_, ViewerState>,
    bodies: Res<'_, Bodies>,
    mut coats: ResMut<'_, Coats>,
    mut painted: ResMut<'_, Painted>,
) {
    let Some(review) = state.review.as_ref().filter(|_| bodies.revision == state.revision) else {
        return;
    };
    let veil = state.guide.veil();
    let chosen = state.selection.chosen;
    let key = (state.revision, state.stage, chosen, veil.clone(), state.shown.clone());
    if painted.key.as_ref() == Some(&key) {
        return;
    }
    if painted.key.as_ref().is_none_or(|k| k.0 != key.0) {
        painted.paints = vec![Paint::NOTHING; review.assembly.members.len()];
    }
    let mut after = match &veil {
        Some(marks) => crate::viewer::guide::paint::veiled(review, state.stage, marks),
        None => paint(review, state.stage, state.selection.chosen),
    };
    leave_out(review, &state.shown, &mut after);
    let differ = changed(&painted.paints, &after);
    for id in &differ {
        coats.paint(id.index(), after[id.index()]);
    }
    painted.touched = differ.len();
    painted.paints = after;
    painted.key = Some(key);
}
