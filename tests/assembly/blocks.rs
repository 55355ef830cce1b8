//! What a block expands into.

use super::{block, build, carriers, joints, of_block, scene, try_build};
use proptest::prelude::*;
use standwell::assembly::model::Point;
use standwell::assembly::{JointKind, Role};
use standwell::equipment::GRAVITY;
use std::collections::BTreeMap;

const FT: f64 = 0.3048;

fn count(assembly: &standwell::assembly::Assembly) -> BTreeMap<Role, usize> {
    let mut count = BTreeMap::new();
    for member in &assembly.members {
        *count.entry(member.role).or_default() += 1;
    }
    count
}

#[test]
fn a_small_block_has_the_members_its_grid_asks_for() {
    // 4 x 3 lines: 12 posts; ledgers along x 3 x 3, joists along y 4 x 2, bays 3 x 2.
    let a = of_block(
        "A..D",
        "1..3",
        r#"fillers: 2, sheet: Some("sheet-6"), brace: Some("brace"), sill: Some("sill-12"),
           braced: ["A1-B1", "A1-A3"], plan_braced: ["B2-C3"]"#,
    );
    let due = [
        (Role::Post, 12),
        (Role::Ledger, 9),
        (Role::Joist, 8),
        (Role::Filler, 12),
        (Role::Brace, 2 + 4),
        (Role::PlanBrace, 1),
        (Role::Sill, 12),
        // Bays of 6 ft with joists 2 ft apart and sheets 2 ft wide: three to a bay.
        (Role::Sheet, 18),
    ];
    assert_eq!(count(&a), BTreeMap::from(due));
    assert!(a.problems.is_empty(), "{:?}", a.problems);
    for (i, member) in a.members.iter().enumerate() {
        assert_eq!(member.id.index(), i);
        assert_eq!(a.find(&member.name), Some(member.id));
    }
    for name in [
        "main.post.C2",
        "main.ledger.C2-D2",
        "main.joist.C2-C3",
        "main.filler.C2-D3.1",
        "main.brace.A2-A3.b",
        "main.plan.B2-C3",
        "main.sill.C2",
        "main.sheet.C2-D3.3",
    ] {
        assert!(a.find(name).is_some(), "{name}");
    }
    let names: Vec<_> = a.names().collect();
    let mut sorted = names.clone();
    sorted.sort_by(|a, b| standwell::assembly::names::natural(a, b));
    assert_eq!(names, sorted);
}

#[test]
fn ledgers_can_run_the_other_way() {
    let a = of_block("A..C", "1..2", "ledgers_run: y");
    assert!(a.find("main.ledger.A1-A2").is_some());
    assert!(a.find("main.joist.A1-B1").is_some());
    assert!(a.find("main.ledger.A1-B1").is_none());
}

#[test]
fn joints_are_where_members_meet() {
    let a = of_block(
        "A..B",
        "1..2",
        r#"fillers: 1, sheet: Some("sheet-8"), brace: Some("brace"), sill: Some("sill-12"),
           braced: ["A1-B1"], plan_braced: ["A1-B2"]"#,
    );
    assert_eq!(
        carriers(&a, "main.ledger.A1-B1", JointKind::Head),
        ["main.post.A1", "main.post.B1"]
    );
    assert_eq!(carriers(&a, "main.joist.A1-A2", JointKind::Head), ["main.post.A1", "main.post.A2"]);
    assert_eq!(
        carriers(&a, "main.filler.A1-B2.1", JointKind::Rest),
        ["main.ledger.A1-B1", "main.ledger.A2-B2"]
    );
    assert_eq!(
        carriers(&a, "main.sheet.A1-B2.1", JointKind::Rest),
        ["main.joist.A1-A2", "main.filler.A1-B2.1"],
        "4 ft of sheet reach over one spacing of 3 ft"
    );
    assert_eq!(carriers(&a, "main.post.A1", JointKind::Foot), ["main.sill.A1"]);
    assert_eq!(joints(&a, "main.sill.A1", JointKind::Ground).len(), 1);
    assert_eq!(joints(&a, "main.post.A1", JointKind::Ground).len(), 0);
    assert_eq!(
        carriers(&a, "main.plan.A1-B2", JointKind::Coupler),
        ["main.post.A1", "main.post.B2"]
    );
    for half in ["a", "b"] {
        let name = format!("main.brace.A1-B1.{half}");
        assert_eq!(carriers(&a, &name, JointKind::Coupler), ["main.post.A1", "main.post.B1"]);
    }
    // Both points of every joint are the same place.
    for joint in a.joints.iter().filter(|j| a.member(j.member).role != Role::Sheet) {
        let at = a.member(joint.member).at(joint.member_at);
        if !matches!(joint.kind, JointKind::Ground) {
            assert!((at - joint.at).norm() < 1e-9, "{joint:?}");
        }
        if let Some(carrier) = joint.carrier {
            let at = a.member(carrier).at(joint.carrier_at);
            let gap = at - joint.at;
            assert!(gap.norm() < 1e-9, "{}: {joint:?}", a.name(joint.member));
        }
    }
}

#[test]
fn cross_braces_run_from_coupler_to_coupler() {
    let a = of_block("A..B", "1", r#"brace: Some("brace"), braced: ["A1-B1"]"#);
    // Couplers 0.3 m above the foot and 0.3 m below the seat at 9 ft 6 in.
    let top = 9.5 * FT - 0.3;
    for (half, due) in [("a", [0.3, top]), ("b", [top, 0.3])] {
        let ends = a.member(a.find(&format!("main.brace.A1-B1.{half}")).unwrap()).ends;
        for (end, (x, z)) in ends.iter().zip([(0.0, due[0]), (6.0 * FT, due[1])]) {
            assert!((end - Point::new(x, 0.0, z)).norm() < 1e-12, "{half}: {ends:?}");
        }
    }
    let length = a.member(a.find("main.brace.A1-B1.a").unwrap()).length();
    assert!((length - (6.0 * FT).hypot(top - 0.3)).abs() < 1e-12);
}

#[test]
fn what_joints_pass_is_the_equipment_data() {
    let a = of_block(
        "A..B",
        "1..2",
        r#"brace: Some("brace"), braced: ["A1-B1"], plan_braced: ["A1-B2"],
           overrides: [(members: "post.B1", part: Some("post-plate"))]"#,
    );
    let ledger = joints(&a, "main.ledger.A1-B1", JointKind::Head);
    let (drop, plate) = (ledger[0], ledger[1]);
    assert!(drop.hung.bearing && drop.hung.along && !drop.hung.across);
    assert!(drop.locked.across && drop.locked.uplift.is_some());
    assert!(plate.hung.bearing && !plate.hung.along, "a plain plate only bears");
    let coupler = joints(&a, "main.brace.A1-B1.a", JointKind::Coupler)[0];
    assert!(!coupler.hung.along && !coupler.hung.bearing && coupler.locked.along);
    let plan = joints(&a, "main.plan.A1-B2", JointKind::Coupler)[0];
    assert!(!plan.hung.along && plan.locked.along);
    let ground = joints(&a, "main.post.A1", JointKind::Ground)[0];
    assert!(ground.locked.bearing && !ground.locked.along && ground.locked.uplift.is_none());
}

#[test]
fn sills_slopes_offsets_and_jacks_make_up_the_height() {
    // Ground at 1 ft falling 2 % along x; sills 2 in thick; heads at 11 ft 6 in, C 6 in lower.
    let mut scene = scene(
        r#"blocks: [(name: "main", x: (lines: "A..C", every: Some("6 ft")), y: (lines: "1"),
            stands_on: "yard", head: "11 ft 6 in", post: "post-10", ledger: ["ledger-6"],
            sill: Some("sill-12"), jack: Some("jack-18"),
            offsets: [(posts: "C1", head: "-6 in")])]"#,
    );
    scene.floors = ron::from_str(
        r#"[(name: "yard", level: "1 ft", kind: Ground(bearing: None), slope: (-0.02, 0.0))]"#,
    )
    .unwrap();
    let a = try_build(&scene).unwrap();
    assert!(a.problems.is_empty(), "{:?}", a.problems);
    let inch = FT / 12.0;
    for (post, x, head) in [("A1", 0.0, 11.5), ("B1", 6.0, 11.5), ("C1", 12.0, 11.0)] {
        let member = a.member(a.find(&format!("main.post.{post}")).unwrap());
        let foot = FT - 0.02 * x * FT + 2.0 * inch;
        assert!((member.ends[0].z - foot).abs() < 1e-12, "{post}");
        assert!((member.ends[1].z - head * FT).abs() < 1e-12, "{post}");
        // The post reaches 10 ft; the jack takes up the rest, 2 in at least.
        let jack = member.jack.clone().unwrap().1;
        let due = (head * FT - foot - 10.0 * FT).max(2.0 * inch);
        assert!((jack - due).abs() < 1e-12, "{post}: {jack} {due}");
    }
    // B and C lie 6 in apart: no ledger between them, and the break is told.
    assert!(a.find("main.ledger.A1-B1").is_some());
    assert!(a.find("main.ledger.B1-C1").is_none());
    let [(from, to, step)] = a.broken_planes[..] else { panic!("{:?}", a.broken_planes) };
    assert_eq!((a.name(from), a.name(to)), ("main.post.B1", "main.post.C1"));
    assert!((step + 6.0 * inch).abs() < 1e-12);
}

#[test]
fn a_post_beside_its_floor_stands_on_nothing() {
    let mut scene = scene(&format!("blocks: [{}]", block("A..B", "1", "")));
    scene.floors[0].outline =
        ron::from_str(r#"[("-1 m", "-1 m"), ("1 m", "-1 m"), ("1 m", "1 m"), ("-1 m", "1 m")]"#)
            .unwrap();
    let a = try_build(&scene).unwrap();
    assert_eq!(joints(&a, "main.post.A1", JointKind::Ground).len(), 1);
    assert_eq!(joints(&a, "main.post.B1", JointKind::Ground).len(), 0);
}

#[test]
fn a_bracing_rule_braces_every_line_both_ways() {
    let a = of_block("A..F", "1..3", r#"brace: Some("brace"), brace_every: Some(4)"#);
    let braces: Vec<_> = a.names().filter(|n| n.contains(".brace.") && n.ends_with(".a")).collect();
    // Three lines of five bays: bays 1 and 5; six lines of two bays: bay 1.
    assert_eq!(braces.len(), 3 * 2 + 6);
    for name in ["main.brace.A2-B2.a", "main.brace.E2-F2.a", "main.brace.D1-D2.a"] {
        assert!(braces.contains(&name), "{name}");
    }
}

#[test]
fn overhanging_ledgers_run_on_and_are_clipped_at_the_post_behind() {
    let a = of_block(
        "A..C",
        "1..2",
        r#"overhangs: [(along: "C", by: "2 ft", clip: Some("clip")), (along: "A1-A2", by: "1 ft")]"#,
    );
    assert!(a.problems.is_empty(), "{:?}", a.problems);
    let ledger = a.member(a.find("main.ledger.B1-C1").unwrap());
    assert!((ledger.length() - 8.0 * FT).abs() < 1e-12);
    assert!((ledger.ends[1].x - 14.0 * FT).abs() < 1e-12);
    // Uniform: 21 kg over 6 ft, so 28 kg over 8 ft.
    assert!((ledger.weight - 28.0 * GRAVITY).abs() < 1e-9);
    let heads: Vec<f64> =
        joints(&a, "main.ledger.B1-C1", JointKind::Head).iter().map(|j| j.member_at).collect();
    assert!(heads[0].abs() < 1e-12 && (heads[1] - 6.0 * FT).abs() < 1e-12);
    let clip = joints(&a, "main.ledger.B1-C1", JointKind::Clip)[0];
    assert_eq!(clip.clip.map(|id| a.name(id)), Some("main.clip.C1"));
    // About C the ledger tips; it would lift at B.
    assert_eq!(clip.carrier.map(|id| a.name(id)), Some("main.post.B1"));
    assert_eq!(clip.locked.uplift.map(standwell::units::Force::si), Some(5e3));
    assert!(clip.hung.uplift.is_none() && !clip.locked.bearing);
    // The other edge runs on backwards, unclipped.
    let back = a.member(a.find("main.ledger.A1-B1").unwrap());
    assert!((back.ends[0].x + FT).abs() < 1e-12);
    let heads: Vec<f64> =
        joints(&a, "main.ledger.A1-B1", JointKind::Head).iter().map(|j| j.member_at).collect();
    assert!((heads[0] - FT).abs() < 1e-12 && (heads[1] - 7.0 * FT).abs() < 1e-12);
    assert!(joints(&a, "main.ledger.A1-B1", JointKind::Clip).is_empty());
}

#[test]
fn what_cannot_be_made_is_told_and_left_out() {
    let a = build(
        r#"units: feet, blocks: [(name: "main", x: (lines: "A..C", bays: ["6 ft", "5 ft 6 in"]), y: (lines: "1..2", every: Some("6 ft")),
            stands_on: "floor", head: "9 ft", post: "post-12", ledger: ["ledger-4", "ledger-6"], joist: ["joist-6"],
            brace: Some("brace"), braced: ["A1-B1"],
            overrides: [(members: "post.B2", head: Some("7 ft"))],
            overhangs: [(along: "2", by: "4 ft")])]"#,
    );
    let told: Vec<&str> = a.problems.iter().map(|p| p.what.as_str()).collect();
    assert!(
        told.contains(&"no ledger of ledger-4, ledger-6 fits bay B-C of 5 ft 6 in"),
        "{told:#?}"
    );
    assert!(
        told.contains(&"post B2 cannot stand at 7 ft: post-12 needs at least 8 ft"),
        "{told:#?}"
    );
    let long = "main.joist.A1-A2 runs on by 4 ft: its part joist-6 may run on 3 ft at most";
    assert!(told.contains(&long), "{told:#?}");
    assert!(a.find("main.ledger.B1-C1").is_none() && a.find("main.ledger.A1-B1").is_some());
    let post = a.problems.iter().find(|p| p.what.starts_with("post B2")).unwrap();
    assert_eq!(post.members, [a.find("main.post.B2").unwrap()]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn adding_a_line_or_a_bay_renames_and_moves_nothing(
        nx in 1usize..5, ny in 1usize..5, more_x in 0usize..3, more_y in 0usize..3, fillers in 0u32..3,
    ) {
        let lines = |n: usize| if n == 1 { "1".to_owned() } else { format!("1..{n}") };
        let letters = |n: usize| match n {
            1 => "A".to_owned(),
            n => format!("A..{}", char::from(b'A' + n as u8 - 1)),
        };
        let more = format!(
            r#"fillers: {fillers}, sheet: Some("sheet-8"), brace: Some("brace"), brace_every: Some(2),
               sill: Some("sill-12")"#
        );
        let small = of_block(&letters(nx), &lines(ny), &more);
        let large = of_block(&letters(nx + more_x), &lines(ny + more_y), &more);
        for member in &small.members {
            let same = large.find(&member.name);
            prop_assert!(same.is_some(), "{} is gone", member.name);
            let same = large.member(same.unwrap());
            prop_assert_eq!((&same.part, same.ends, same.role), (&member.part, member.ends, member.role));
        }
        prop_assert_eq!(small.members.len() == large.members.len(), more_x == 0 && more_y == 0);
    }

    #[test]
    fn turning_a_block_turns_every_joint_with_it(degrees in -180.0f64..180.0) {
        let more = r#"fillers: 1, sheet: Some("sheet-8"), sill: Some("sill-12")"#;
        let straight = of_block("A..C", "1..2", more);
        let turned = of_block("A..C", "1..2", &format!(r#"{more}, turned: "{degrees:.6} deg""#));
        let (sin, cos) = degrees.to_radians().sin_cos();
        for (a, b) in straight.joints.iter().zip(&turned.joints) {
            let due = (a.at.x * cos - a.at.y * sin, a.at.x * sin + a.at.y * cos);
            prop_assert!((b.at.x - due.0).hypot(b.at.y - due.1) < 1e-6);
            prop_assert_eq!((a.member, a.carrier, a.kind), (b.member, b.carrier, b.kind));
        }
        prop_assert_eq!(straight.joints.len(), turned.joints.len());
    }
}

#[test]
fn weights_are_masses_times_gravity() {
    let a = of_block(
        "A..B",
        "1..2",
        r#"jack: Some("jack-18"), overrides: [(members: "post.B*", jack: Some("jack-18-pinned"))]"#,
    );
    let weight = |name: &str| a.member(a.find(name).unwrap()).weight;
    assert!((weight("main.post.A1") - (32.0 + 6.0) * GRAVITY).abs() < 1e-9);
    assert!((weight("main.post.B1") - (32.0 + 7.0) * GRAVITY).abs() < 1e-9);
    assert!((weight("main.ledger.A1-B1") - 21.0 * GRAVITY).abs() < 1e-9);
}
