//! The hand-calculation sheet of a member: every calculation that concerns it, written out.

use super::{At, bar, brace, clip, deck, foot, head, jack, post, sag, sheet, turning};
use crate::assembly::{Member, MemberId};
use crate::capacity::Missing;
use crate::capacity::work::{Section, Work};
use crate::units::UnitSystem;
use schemars::JsonSchema;
use serde::Serialize;

/// A sheet: of one member at one stage.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CalcSheet {
    pub member: String,
    pub part: String,
    /// Step that leads to the stage.
    pub step: String,
    pub stage: usize,
    /// The part's numbers are invented samples.
    pub sample_data: bool,
    pub sections: Vec<Section>,
}

/// Everything that is calculated of a member at a stage. What cannot be is said in the notes.
#[must_use]
pub fn of_member(at: &At<'_>, id: MemberId, units: UnitSystem) -> CalcSheet {
    let member = at.assembly.member(id);
    let mut w = Work::written(units);
    if at.stage.state(id).is_there() {
        write(&mut w, at, member);
    }
    w.sections.retain(|s| !s.lines.is_empty() || !s.notes.is_empty());
    if w.sections.is_empty() {
        let why = if at.stage.state(id).is_there() {
            "Nothing is calculated of it at this stage: it carries nothing that has a capacity."
        } else {
            "It is not there at this stage."
        };
        let notes = vec![why.to_owned()];
        w.sections.push(Section { title: member.name.clone(), lines: Vec::new(), notes });
    }
    CalcSheet {
        member: member.name.clone(),
        part: member.part.clone(),
        step: at.stage.step.clone(),
        stage: at.stage.index,
        sample_data: at.assembly.library.is_sample(&member.part),
        sections: w.sections,
    }
}

fn say<T>(w: &mut Work, result: Result<T, Missing>) {
    if let Err(missing) = result {
        w.note(|| format!("Unknown, which is not safe: {missing}."));
    }
}

fn write(w: &mut Work, at: &At<'_>, member: &Member) {
    if member.is_post() {
        let found = post(w, at, member);
        say(w, found);
        if let Some(found) = head(w, at, member) {
            say(w, found);
        }
        if let Some(found) = jack(w, at, member) {
            say(w, found);
        }
        match foot(w, at, member) {
            Err(missing) => say::<()>(w, Err(missing)),
            Ok(Some(found)) => {
                for part in [found.bearing, found.soil, found.bending].into_iter().flatten() {
                    say(w, part);
                }
            }
            Ok(None) => {}
        }
    }
    let found = bar(w, at, member, 0.0);
    say(w, found);
    let found = turning(w, at, member);
    say(w, found);
    drop(sag(w, at, member));
    match sheet(w, at, member) {
        Ok(Some(found)) => {
            if let Some(found) = found.sag {
                say(w, found);
            }
        }
        Ok(None) => {}
        Err(missing) => say::<()>(w, Err(missing)),
    }
    let found = brace(w, at, member);
    say(w, found);
    let found = deck(w, at, member);
    say(w, found);
    let found = clip(w, at, member);
    say(w, found);
}
