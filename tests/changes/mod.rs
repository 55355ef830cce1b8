//! Changes tried in a scene: what they come to, and what is said where they cannot be made.

mod by_hand;
mod offers;
mod one_by_one;
mod order;
mod problems;

use standwell::changes::{LaidOut, lay_out};
use standwell::scene::{self, Problems};
use standwell::sequence::MemberState;
use std::collections::BTreeMap;
use std::path::Path;

pub fn shipped(name: &str) -> String {
    standwell::cli::shipped::find(name).unwrap().text.to_owned()
}

/// The text with these changes, each `(kind)` as RON, in a section at its end.
pub fn with(text: &str, changes: &[&str]) -> String {
    let end = text.trim_end().strip_suffix(')').unwrap();
    let list: String = changes
        .iter()
        .enumerate()
        .map(|(i, change)| format!("        (name: \"change {i}\", change: {change}),\n"))
        .collect();
    format!("{end}    changes: [\n{list}    ],\n)\n")
}

pub fn try_out(text: &str) -> Result<LaidOut, Problems> {
    lay_out(scene::read(text, Path::new("tried.ron"))?)
}

pub fn laid_out(text: &str) -> LaidOut {
    try_out(text).unwrap_or_else(|problems| panic!("{problems}"))
}

/// What is there after each step, and the joints that are made, by name.
pub fn stages(laid_out: &LaidOut) -> BTreeMap<String, Vec<String>> {
    let assembly = &laid_out.assembly;
    let one = |stage: &standwell::sequence::Stage| {
        let members = assembly.members.iter().filter_map(|m| match stage.state(m.id) {
            MemberState::Absent => None,
            state => Some(format!("{} {state:?}", m.name)),
        });
        let joints = assembly.joints.iter().map(|j| {
            let carrier = j.carrier.map_or("ground", |c| assembly.name(c));
            let kind = j.kind;
            format!("{} on {carrier} {kind:?} {:?}", assembly.name(j.member), stage.joint(j.id))
        });
        let mut all: Vec<String> = members.chain(joints).collect();
        all.sort();
        all
    };
    laid_out.sequence.stages.iter().map(|s| (s.step.clone(), one(s))).collect()
}
