//! A change in words: what it does, and how to write it into the scene by hand.

use crate::scene::model::{ChangeKind, LoadPlace, LoadText};
use crate::units::UnitSystem;

/// What a change does, in one sentence without a full stop.
#[must_use]
pub fn of(change: &ChangeKind, units: UnitSystem) -> String {
    let when = |step: &Option<String>| match step {
        Some(step) => format!("in step {step}"),
        None => "as soon as what it meets is there".to_owned(),
    };
    let until = |step: &Option<String>| match step {
        Some(step) => format!("to the end of step {step}"),
        None => "to the end".to_owned(),
    };
    match change {
        ChangeKind::AddMember { member, in_step } => {
            let (name, part) = (&member.name, &member.part);
            format!("adds {name} ({part}), {}", when(in_step))
        }
        ChangeKind::AddBraces { block, bay, part, in_step } => {
            let part = part.as_ref().map_or(String::new(), |p| format!(" ({p})"));
            format!("braces {bay} of {block}{part}, {}", when(in_step))
        }
        ChangeKind::PutIn { member, in_step } => {
            format!("puts in {}, in step {in_step}", named(member))
        }
        ChangeKind::TakeOut(member) => format!("leaves {} out from the start", named(member)),
        ChangeKind::TakeAway { member, in_step } => {
            format!("takes {member} away at the end of step {in_step}")
        }
        ChangeKind::MoveStep { step, before: Some(before) } => {
            format!("does step {step} before step {before}")
        }
        ChangeKind::MoveStep { step, before: None } => format!("does step {step} last"),
        ChangeKind::SetPart { member, part } => format!("makes {member} a {part}"),
        ChangeKind::SetHead { post, level } => {
            format!("sets the head of {post} at level {}", units.length(level.si()))
        }
        ChangeKind::SetSill { post, sill } => format!("puts a {sill} under {post}"),
        ChangeKind::Hold { member, hands, from, until: end } => {
            let hands = if *hands == 1 { "1 hand".to_owned() } else { format!("{hands} hands") };
            format!("holds {member} with {hands} from the end of step {from} {}", until(end))
        }
        ChangeKind::Release { member, in_step } => {
            format!("takes hands off {member} in step {in_step}")
        }
        ChangeKind::SetLoad { load, from, until: end } => {
            let what = load_words(load, units);
            format!("puts {what} on from the end of step {from} {}", until(end))
        }
        ChangeKind::TakeOffLoad(name) => format!("never puts the load {name} on"),
    }
}

/// A member's name; a pair of diagonals by its bay.
fn named(member: &str) -> String {
    match member
        .split_once(".brace.")
        .and_then(|(block, rest)| Some((block, rest.strip_suffix(".*")?)))
    {
        Some((block, bay)) => format!("the diagonals {bay} of {block}"),
        None => member.to_owned(),
    }
}

/// A load with how much it is and where it lies.
fn load_words(load: &LoadText, units: UnitSystem) -> String {
    let name = &load.name;
    match &load.on {
        LoadPlace::Point { member, weight, .. } => {
            format!("{name}, {} on {member},", units.force(weight.si()))
        }
        LoadPlace::Lump { member, mass, .. } => {
            format!("{name}, {} on {member},", units.force(mass.si() * crate::equipment::GRAVITY))
        }
        LoadPlace::Line { member, load } => {
            format!("{name}, {} along {member},", units.line_load(load.si()))
        }
        LoadPlace::Area { load, .. } => {
            format!("{name}, {} on the deck,", units.pressure(load.si()))
        }
        LoadPlace::Pour { slab, .. } => format!("{name}, fresh concrete of {slab},"),
        LoadPlace::Layer { beam, .. } => format!("{name}, a layer of fresh concrete of {beam},"),
        LoadPlace::Heap { across, height, .. } => {
            let (across, height) = (units.length(across.si()), units.length(height.si()));
            format!("{name}, fresh concrete heaped {height} high and {across} across,")
        }
        LoadPlace::Along { weight, .. } => {
            format!("{name}, {} anywhere on a line over the deck,", units.force(weight.si()))
        }
    }
}

/// How a person writes the change into the body of the scene; the entry is then taken out of
/// `changes`.
#[must_use]
pub fn by_hand(change: &ChangeKind) -> String {
    const STEPS: &str =
        "put the steps that `standwell expand` prints for this job in place of `sequence`";
    let split = |name: &str| match name.split_once('.') {
        Some((block, rest)) => (block.to_owned(), rest.to_owned()),
        None => (String::new(), name.to_owned()),
    };
    match change {
        ChangeKind::AddMember { .. } => {
            format!("move its `member` to `members`, and {STEPS}")
        }
        ChangeKind::AddBraces { block, bay, .. } => {
            format!("add \"{bay}\" to `braced` of block {block}, and {STEPS}")
        }
        ChangeKind::TakeOut(name) => {
            let (block, rest) = split(name);
            format!(
                "add \"{rest}\" to `omit` of block {block} (a single member: take it out of \
                 `members`), and {STEPS}"
            )
        }
        ChangeKind::SetPart { member, part } => {
            let (block, rest) = split(member);
            format!(
                "add (members: \"{rest}\", part: \"{part}\") to `overrides` of block {block} (a \
                 single member: change its `part`)"
            )
        }
        ChangeKind::SetHead { post, level } => {
            let (block, rest) = split(post);
            let level = level.si();
            format!(
                "add (members: \"{rest}\", head: \"{level} m\") to `overrides` of block {block} \
                 (a single member: change the level in its `to`)"
            )
        }
        ChangeKind::SetSill { post, sill } => {
            let (block, rest) = split(post);
            format!(
                "add (members: \"{rest}\", sill: \"{sill}\") to `overrides` of block {block} (a \
                 single member: its `sill`), and {STEPS}"
            )
        }
        ChangeKind::PutIn { .. }
        | ChangeKind::TakeAway { .. }
        | ChangeKind::MoveStep { .. }
        | ChangeKind::Hold { .. }
        | ChangeKind::Release { .. }
        | ChangeKind::SetLoad { .. }
        | ChangeKind::TakeOffLoad(_) => STEPS.to_owned(),
    }
}
