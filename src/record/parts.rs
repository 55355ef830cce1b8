//! What the record says of each part that is in place, and what it fails to say.

use super::model::{Inspection, Record};
use crate::assembly::model::Member;
use crate::assembly::{Assembly, MemberId, Role};
use crate::criteria::Pack;
use crate::sequence::Stage;
use crate::sequence::names::resolve;
use crate::units::UnitSystem;

/// How far a jack may differ from the scene before the scene is not what was built, in metres.
/// Common practice, no published source.
pub const JACK_TOLERANCE: f64 = 0.010;

/// One part that is in place.
#[derive(Clone, Debug, PartialEq)]
pub struct PartState {
    pub member: MemberId,
    /// The entry that counts, by its place in the record; none: nobody looked at it.
    pub entry: Option<usize>,
    /// What keeps it from being relied on, in words. Empty: inspected and in order.
    pub wants: Vec<String>,
}

/// Every part in place at a stage, by name.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Parts {
    pub parts: Vec<PartState>,
}

impl Parts {
    /// Inspected and in order.
    #[must_use]
    pub fn in_order(&self) -> usize {
        self.parts.iter().filter(|p| p.wants.is_empty()).count()
    }

    /// What is wanting, each reason with the parts it is about, in the order in which reasons appear.
    #[must_use]
    pub fn wanting(&self, assembly: &Assembly) -> Vec<(String, Vec<String>)> {
        let mut reasons: Vec<(String, Vec<String>)> = Vec::new();
        for part in &self.parts {
            for want in &part.wants {
                let name = assembly.name(part.member).to_owned();
                match reasons.iter_mut().find(|(reason, _)| reason == want) {
                    Some((_, names)) => names.push(name),
                    None => reasons.push((want.clone(), vec![name])),
                }
            }
        }
        reasons
    }
}

/// What is known of every part that is there at the stage.
#[must_use]
pub fn parts_at(
    assembly: &Assembly,
    stage: &Stage,
    record: &Record,
    pack: &Pack,
    units: UnitSystem,
) -> Parts {
    let mut entry: Vec<Option<usize>> = vec![None; assembly.members.len()];
    for (index, inspection) in record.inspections.iter().enumerate() {
        for name in &inspection.parts {
            for id in resolve(assembly, name).unwrap_or_default() {
                entry[id.index()] = Some(index);
            }
        }
    }
    let parts = assembly
        .members
        .iter()
        .filter(|m| stage.state(m.id).is_there())
        .map(|member| {
            let entry = entry[member.id.index()];
            let wants = match entry.and_then(|i| record.inspections.get(i)) {
                None => vec!["nobody has looked at it".to_owned()],
                Some(inspection) => wants(member, inspection, record, pack, units),
            };
            PartState { member: member.id, entry, wants }
        })
        .collect();
    Parts { parts }
}

fn wants(
    member: &Member,
    seen: &Inspection,
    record: &Record,
    pack: &Pack,
    units: UnitSystem,
) -> Vec<String> {
    let mut wants = Vec::new();
    if !seen.damage.trim().is_empty() {
        wants.push(format!("damage: {}", seen.damage.trim()));
    } else if !seen.sound {
        wants.push("found not sound".to_owned());
    }
    match &record.drawing {
        Some(drawing) if drawing.revision != seen.drawing => wants.push(format!(
            "looked at against revision {} of the drawing, and {} is in force",
            seen.drawing, drawing.revision
        )),
        // That no drawing is in force is said once, for the whole record.
        _ => {}
    }
    if member.is_post() {
        yes(seen.pin_home, "the pin", &mut wants);
        yes(seen.collar_home, "the collar", &mut wants);
        plumb(member, seen, pack, units, &mut wants);
        jack(member, seen, units, &mut wants);
    } else if is_fixed(member.role) {
        match seen.fixed {
            None => wants.push("nobody says whether its ends are fixed".to_owned()),
            Some(false) => wants.push("its ends are not fixed".to_owned()),
            Some(true) => {}
        }
    }
    wants
}

/// Parts whose ends are coupled, wedged, locked or nailed.
fn is_fixed(role: Role) -> bool {
    match role {
        Role::Ledger
        | Role::Joist
        | Role::DropBeam
        | Role::Brace
        | Role::PlanBrace
        | Role::TieIn
        | Role::Clip => true,
        Role::Post | Role::Prop | Role::Filler | Role::Sill | Role::Sheet => false,
    }
}

fn yes(answer: Option<bool>, what: &str, wants: &mut Vec<String>) {
    match answer {
        None => wants.push(format!("nobody says whether {what} is home")),
        Some(false) => wants.push(format!("{what} is not home")),
        Some(true) => {}
    }
}

fn plumb(
    member: &Member,
    seen: &Inspection,
    pack: &Pack,
    units: UnitSystem,
    wants: &mut Vec<String>,
) {
    let limit = pack.out_of_plumb.value.si().tan() * member.length();
    match seen.out_of_plumb {
        None => wants.push("nobody measured whether it is plumb".to_owned()),
        Some(out) if out.si() > limit => wants.push(format!(
            "{} out of plumb over its height, and {} is allowed",
            units.length(out.si()),
            units.length(limit)
        )),
        Some(_) => {}
    }
}

fn jack(member: &Member, seen: &Inspection, units: UnitSystem, wants: &mut Vec<String>) {
    let due = member.jack.as_ref().map(|(_, extension)| *extension);
    match (due, seen.jack) {
        (None, None) => {}
        (None, Some(out)) if out.si() <= JACK_TOLERANCE => {}
        (None, Some(out)) => wants.push(format!(
            "its jack is run out by {}, and the scene has none under it",
            units.length(out.si())
        )),
        (Some(_), None) => wants.push("nobody measured how far its jack is run out".to_owned()),
        (Some(due), Some(out)) if (due - out.si()).abs() > JACK_TOLERANCE => wants.push(format!(
            "its jack is run out by {}, and the scene says {}",
            units.length(out.si()),
            units.length(due)
        )),
        (Some(_), Some(_)) => {}
    }
}
