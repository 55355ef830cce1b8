//! Laying a scene out: members, joints, and what cannot be made.

mod blocks;
mod edits;
mod names;
mod singles;

use standwell::assembly::{self, Assembly, Joint, JointKind};
use standwell::equipment::Library;
use standwell::scene::{Problems, Scene, SceneSource};

pub fn sample() -> Library {
    ron::from_str(include_str!("../../assets/equipment/sample.ron")).unwrap()
}

/// A scene of one slab floor at level 0 and the blocks given.
pub fn scene(rest: &str) -> Scene {
    let text = format!(
        r#"(format: 1, title: "t", equipment: ["sample"], criteria: "us",
            floors: [(name: "floor", level: "0 m", kind: Slab)], {rest})"#
    );
    ron::from_str(&text).unwrap_or_else(|e| panic!("{e}: {text}"))
}

/// A block `main` of x-lines and y-lines 6 ft apart, 10 ft high, with further fields.
pub fn block(x: &str, y: &str, more: &str) -> String {
    format!(
        r#"(name: "main", x: (lines: "{x}", every: Some("6 ft")), y: (lines: "{y}", every: Some("6 ft")),
            stands_on: "floor", head: "9 ft 6 in", post: "post-10",
            ledger: ["ledger-6"], joist: ["joist-6", "filler-6"], {more})"#
    )
}

pub fn try_build(scene: &Scene) -> Result<Assembly, Problems> {
    assembly::build(scene, &sample(), &SceneSource::default())
}

pub fn build(rest: &str) -> Assembly {
    try_build(&scene(rest)).unwrap()
}

/// The assembly of one block.
pub fn of_block(x: &str, y: &str, more: &str) -> Assembly {
    build(&format!("blocks: [{}]", block(x, y, more)))
}

pub fn joints<'a>(assembly: &'a Assembly, member: &str, kind: JointKind) -> Vec<&'a Joint> {
    let id = assembly.find(member).unwrap_or_else(|| panic!("no {member}"));
    assembly.joints.iter().filter(|j| j.member == id && j.kind == kind).collect()
}

/// Names of what carries a member's joints of a kind.
pub fn carriers<'a>(assembly: &'a Assembly, member: &str, kind: JointKind) -> Vec<&'a str> {
    joints(assembly, member, kind)
        .iter()
        .filter_map(|j| j.carrier)
        .map(|id| assembly.name(id))
        .collect()
}
