//! Free motions sorted into groups of posts that move together.
//!
//! The basis of free motions that the mechanics gives may mix faults that have nothing to do with
//! one another; what belongs together must not depend on it.

use standwell::assembly::{Assembly, MemberId};
use standwell::checks::support::{LooseGroup, loose_groups};
use standwell::findings::{Motion, MovingMember};
use standwell::mechanics::StageMechanics;
use standwell::mechanics::stage_model::Mechanism;
use standwell::restraint::Restraint;
use standwell::sequence::{self, Stage};
use std::path::Path;

/// Two by two posts with ledgers along x and joists along y.
fn square() -> (Assembly, Stage) {
    let text = r#"(format: 1, title: "square", equipment: ["sample"], criteria: "us",
        floors: [(name: "slab", level: "0 m", kind: Slab)],
        blocks: [(name: "main", x: (lines: "A..B", every: "6 ft"), y: (lines: "1..2", every: "6 ft"),
            stands_on: "slab", head: "8 ft", post: "post-10", ledger: ["ledger-6"],
            joist: ["joist-6"])])"#;
    let loaded = standwell::scene::read(text, Path::new("square.ron")).unwrap();
    let assembly =
        standwell::assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let sequence = sequence::run(&assembly, &loaded.source).unwrap();
    let stage = sequence.stages[0].clone();
    (assembly, stage)
}

/// Posts with the plan movement of their heads.
fn motion(assembly: &Assembly, heads: &[(&str, [f64; 2])]) -> Mechanism {
    let name = |post: &str| format!("main.post.{post}");
    let mut members: Vec<MemberId> =
        heads.iter().map(|(post, _)| assembly.find(&name(post)).unwrap()).collect();
    members.sort_unstable();
    let moving = |&(post, [x, y]): &(&str, [f64; 2])| MovingMember {
        name: name(post),
        first_end: [0.0; 3],
        second_end: [x, y, 0.0],
    };
    Mechanism {
        members,
        direction: [1.0, 0.0],
        motion: Motion { members: heads.iter().map(moving).collect() },
    }
}

fn groups(motions: &[&[(&str, [f64; 2])]]) -> (Assembly, Vec<LooseGroup>) {
    let (assembly, stage) = square();
    let mut mechanics = StageMechanics::unknown("test", assembly.members.len(), 3.0, 200.0);
    mechanics.mechanisms = motions.iter().map(|m| motion(&assembly, m)).collect();
    let groups = loose_groups(&assembly, &stage, &Restraint::default(), &mechanics);
    (assembly, groups)
}

fn words(assembly: &Assembly, groups: &[LooseGroup]) -> Vec<String> {
    groups
        .iter()
        .map(|g| {
            let posts: Vec<&str> = g
                .posts
                .iter()
                .map(|&p| assembly.name(p).trim_start_matches("main.post."))
                .collect();
            format!("{} {}", posts.join(" "), g.along())
        })
        .collect()
}

#[test]
fn two_lines_mixed_in_both_motions_are_two_groups() {
    let (assembly, groups) = groups(&[
        &[("A1", [0.0, 1.0]), ("A2", [0.0, 1.0]), ("B1", [0.0, 0.6]), ("B2", [0.0, 0.6])],
        &[("A1", [0.0, 0.5]), ("A2", [0.0, 0.5]), ("B1", [0.0, -1.0]), ("B2", [0.0, -1.0])],
    ]);
    assert_eq!(words(&assembly, &groups), ["A1 A2 along line A", "B1 B2 along line B"]);
    assert_eq!(groups[0].cause(&assembly), "line:main:A:y");
}

#[test]
fn lines_that_can_only_move_with_one_another_are_one_group() {
    // All four sides turn about the middle, as one.
    let (assembly, groups) = groups(&[&[
        ("A1", [0.7, -0.7]),
        ("A2", [-0.7, -0.7]),
        ("B1", [0.7, 0.7]),
        ("B2", [-0.7, 0.7]),
    ]]);
    assert_eq!(groups.len(), 1, "{:?}", words(&assembly, &groups));
    assert_eq!(groups[0].lines.len(), 4);
    assert_eq!(groups[0].posts.len(), 4);
    assert_eq!(groups[0].axes(), "x+y");
}

#[test]
fn a_post_loose_both_ways_is_in_a_group_of_each_way() {
    let (assembly, groups) = groups(&[
        &[("B2", [1.0, 0.4]), ("A2", [1.0, 0.0]), ("B1", [0.0, 0.4])],
        &[("B2", [0.0, 1.0]), ("B1", [0.0, 1.0])],
    ]);
    let mut found = words(&assembly, &groups);
    found.sort();
    assert_eq!(found, ["A2 B2 along line 2", "B1 B2 along line B"]);
}

#[test]
fn without_free_motions_there_are_no_groups() {
    assert!(groups(&[]).1.is_empty());
}
