//! The hand-calculation sheet of a member: every calculation that concerns it, written out.

use super::{At, BarUse, bar, brace, clip, deck, foot, head, jack, post, sag, sheet, turning};
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

/// What is in reserve of a member at a stage: capacity over demand of all that is calculated of it, the
/// least. None: nothing is, for it is not there or carries nothing. How far it sags is left out.
///
/// # Errors
/// With what is missing, where anything of it cannot be worked out and nothing is past its limit.
#[must_use]
pub fn reserve(at: &At<'_>, id: MemberId) -> Option<Result<f64, Missing>> {
    if !at.stage.state(id).is_there() {
        return None;
    }
    let member = at.assembly.member(id);
    let mut w = Work::silent();
    let missing = write(&mut w, at, member);
    let most = w.most();
    match (most, missing) {
        // Past a limit it is whatever else is not known.
        (Some(most), _) if most > 1.0 => Some(Ok(1.0 / most)),
        (_, Some(missing)) => Some(Err(missing)),
        (Some(most), None) if most.is_nan() => {
            Some(Err(Missing::new(&member.part, "use as a number")))
        }
        (Some(most), None) => Some(Ok(if most > 0.0 { 1.0 / most } else { f64::INFINITY })),
        (None, None) => None,
    }
}

/// Says what is missing, and keeps the first.
fn say(w: &mut Work, first: &mut Option<Missing>, missing: Option<Missing>) {
    if let Some(missing) = missing {
        w.note(|| format!("Unknown, which is not safe: {missing}."));
        first.get_or_insert(missing);
    }
}

/// Writes all of it; gives back the first thing that is missing.
fn write(w: &mut Work, at: &At<'_>, member: &Member) -> Option<Missing> {
    let first = &mut None;
    if member.is_post() {
        let found = post(w, at, member);
        say(w, first, found.err());
        if let Some(found) = head(w, at, member) {
            say(w, first, found.err());
        }
        if let Some(found) = jack(w, at, member) {
            say(w, first, found.err());
        }
        match foot(w, at, member) {
            Err(missing) => say(w, first, Some(missing)),
            Ok(Some(found)) => {
                for part in [found.bearing, found.soil, found.bending].into_iter().flatten() {
                    say(w, first, part.err());
                }
            }
            Ok(None) => {}
        }
    }
    match bar(w, at, member, 0.0) {
        Err(missing) => say(w, first, Some(missing)),
        // That is written where it is worked out.
        Ok(Some(BarUse { bearing: Err(missing), .. })) => drop(first.get_or_insert(missing)),
        Ok(_) => {}
    }
    let found = turning(w, at, member);
    say(w, first, found.err());
    drop(sag(w, at, member));
    match sheet(w, at, member) {
        Ok(Some(found)) => say(w, first, found.sag.and_then(Result::err)),
        Ok(None) => {}
        Err(missing) => say(w, first, Some(missing)),
    }
    let found = brace(w, at, member);
    say(w, first, found.err());
    let found = deck(w, at, member);
    say(w, first, found.err());
    let found = clip(w, at, member);
    say(w, first, found.err());
    first.take()
}
