//! Loads taken down through small layouts. Source: statics worked by hand in each test.

use super::fixture::{BEARING, HOOKED, Site, empty_scene, holding, pack};
use standwell::assembly::{Assembly, JointKind, MemberId, Role};
use standwell::loads::{LoadState, head_lateral_parts, take_down};
use standwell::scene::model::{DropBeam, LoadKind, LoadPlace, LoadText, Slab};
use standwell::sequence::{JointState, MemberState, Stage};
use standwell::units::{Force, Length, Pressure};

fn run(site: &Site) -> (Assembly, Stage, LoadState) {
    let (assembly, stage) = site.build();
    let loads = take_down(&assembly, &pack(), &stage);
    (assembly, stage, loads)
}

fn id(assembly: &Assembly, name: &str) -> MemberId {
    assembly.find(name).expect(name)
}

fn foot(assembly: &Assembly, loads: &LoadState, post: &str) -> f64 {
    loads.at_foot[id(assembly, post).index()]
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6 * (1.0 + b.abs()), "{a} is not {b}");
}

/// Everything that stands on the ground weighs what is there.
fn balanced(assembly: &Assembly, stage: &Stage, loads: &LoadState, more: f64) {
    let weight: f64 =
        assembly.members.iter().filter(|m| stage.state(m.id).is_there()).map(|m| m.weight).sum();
    let down: f64 = assembly
        .joints
        .iter()
        .filter(|j| j.carrier.is_none())
        .map(|j| loads.passed[j.id.index()])
        .sum();
    near(down, weight + more);
}

/// One bay 2 m by 2 m: ledgers along x, two joists and one filler in the middle along y, a sheet.
fn bay() -> Site {
    let mut site = Site::default();
    for (name, x, y) in [("A1", 0.0, 0.0), ("B1", 2.0, 0.0), ("A2", 0.0, 2.0), ("B2", 2.0, 2.0)] {
        site.post(name, x, y);
    }
    site.ledger("A1", "B1");
    site.ledger("A2", "B2");
    site.beam(Role::Joist, "A1", "A2");
    site.beam(Role::Joist, "B1", "B2");
    site.member("filler", Role::Filler, [1.0, 0.0, 3.0], [1.0, 2.0, 3.0], 40.0);
    for (at, ledger) in [(0.0, "ledger.A1-B1"), (2.0, "ledger.A2-B2")] {
        site.joint(JointKind::Rest, "filler", at, Some((ledger, 1.0)), BEARING, JointState::Hung);
    }
    site.member("sheet", Role::Sheet, [0.0, 0.0, 3.0], [2.0, 2.0, 3.0], 200.0);
    for under in ["joist.A1-A2", "joist.B1-B2", "filler"] {
        site.joint(JointKind::Rest, "sheet", 0.0, Some((under, 1.0)), BEARING, JointState::Hung);
    }
    site
}

#[test]
fn a_bay_comes_down_in_quarters() {
    let (assembly, stage, loads) = run(&bay());
    balanced(&assembly, &stage, &loads, 0.0);
    // Sheet 200 N: the joists at its edges take a quarter each, the filler half.
    near(loads.imposed(id(&assembly, "joist.A1-A2")), 50.0);
    near(loads.imposed(id(&assembly, "filler")), 100.0);
    // Half the filler's 140 N on each ledger; each post a quarter of 200+40+400 and its own 200 N.
    near(loads.imposed(id(&assembly, "ledger.A1-B1")), 70.0);
    for post in ["A1", "B1", "A2", "B2"] {
        near(foot(&assembly, &loads, post), 360.0);
    }
    assert!(loads.no_path.is_empty() && loads.lifting.is_empty() && loads.unplaced.is_empty());
}

#[test]
fn fillers_may_not_be_there_yet() {
    let mut site = bay();
    site.state("filler", MemberState::Absent).set_joint("filler", "ledger.A1-B1", JointState::Open);
    let (assembly, stage, loads) = run(&site);
    balanced(&assembly, &stage, &loads, 0.0);
    near(loads.imposed(id(&assembly, "joist.A1-A2")), 100.0);
}

#[test]
fn area_load_and_pour_go_by_strips() {
    let mut site = bay();
    // 1 kPa on the strip x 0..1: 2 kN, its centre 0.5 m from the joist: half to joist A, half to
    // the filler.
    site.loads.push(LoadText {
        name: "stack".into(),
        kind: LoadKind::Bundle,
        on: LoadPlace::Area {
            from: (Length(0.0), Length(0.0)),
            to: (Length(1.0), Length(2.0)),
            load: Pressure(1000.0),
        },
        stack: None,
    });
    let (assembly, stage, loads) = run(&site);
    balanced(&assembly, &stage, &loads, 2000.0);
    near(loads.imposed(id(&assembly, "joist.A1-A2")), 50.0 + 1000.0);
    near(loads.imposed(id(&assembly, "joist.B1-B2")), 50.0);
    near(loads.imposed(id(&assembly, "filler")), 100.0 + 1000.0);

    let mut site = bay();
    let mut scene = empty_scene();
    let corner = |x, y| (Length(x), Length(y));
    scene.slabs.push(Slab {
        name: "L2".into(),
        soffit: Length(3.0),
        thickness: Length(0.2),
        outline: vec![corner(-9.0, -9.0), corner(9.0, -9.0), corner(9.0, 9.0), corner(-9.0, 9.0)],
        strength: None,
        there: false,
        drop_beams: vec![DropBeam {
            name: "DB".into(),
            from: corner(0.0, 1.0),
            to: corner(2.0, 1.0),
            width: Length(0.5),
            drop: Length(0.4),
        }],
    });
    site.scene = Some(scene);
    let pour = |x| LoadText {
        name: "pour".into(),
        kind: LoadKind::Concrete,
        on: LoadPlace::Pour { slab: "L2".into(), from: corner(0.0, 0.0), to: corner(x, 2.0) },
        stack: None,
    };
    site.loads.push(pour(2.0));
    let (assembly, stage, loads) = run(&site);
    // 25 kN/m³ × (0.2 m × 4 m² + 0.4 m × 0.5 m × 2 m).
    balanced(&assembly, &stage, &loads, 25_000.0 * (0.8 + 0.4));
    assert!(loads.unplaced.is_empty());

    // Twice as far as there is deck: half of it lies on nothing, and that is said.
    site.loads[0] = pour(4.0);
    let (assembly, stage, loads) = run(&site);
    balanced(&assembly, &stage, &loads, 25_000.0 * (0.8 + 0.4));
    near(loads.unplaced.iter().map(|u| u.1).sum(), 25_000.0 * 0.8);
}

#[test]
fn turned_blocks_carry_the_same() {
    let mut site = bay();
    let turned = 0.5_f64;
    let mut scene = empty_scene();
    let text = format!(
        r#"(name: "b", x: (lines: "A B", every: "2 m"), y: (lines: "1 2", every: "2 m"), turned: "{turned} rad",
        stands_on: "f", head: "3 m", post: "p", ledger: ["l"])"#
    );
    let ron =
        ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
    scene.blocks.push(ron.from_str(&text).unwrap());
    site.scene = Some(scene);
    let names = [
        "A1",
        "B1",
        "A2",
        "B2",
        "ledger.A1-B1",
        "ledger.A2-B2",
        "joist.A1-A2",
        "joist.B1-B2",
        "filler",
        "sheet",
    ];
    let turn = nalgebra::Rotation3::from_axis_angle(&nalgebra::Vector3::z_axis(), turned);
    for name in names {
        site.edit(name, |m| {
            m.block = Some("b".into());
            m.ends = m.ends.map(|p| turn * p);
        });
    }
    let (assembly, stage, loads) = run(&site);
    balanced(&assembly, &stage, &loads, 0.0);
    near(loads.imposed(id(&assembly, "filler")), 100.0);
    near(foot(&assembly, &loads, "B2"), 360.0);
}

#[test]
fn open_joints_carry_nothing() {
    let mut site = bay();
    site.set_joint("filler", "ledger.A1-B1", JointState::Open);
    let (assembly, _, loads) = run(&site);
    // On one ledger alone the filler is out of balance: no way down for it.
    assert_eq!(loads.no_path, vec![id(&assembly, "filler")]);
    let mut site = bay();
    site.set_joint("ledger.A1-B1", "A1", JointState::Open);
    site.set_joint("ledger.A1-B1", "B1", JointState::Open);
    let (assembly, _, loads) = run(&site);
    assert_eq!(loads.no_path, vec![id(&assembly, "ledger.A1-B1")]);
    // The same ledger in hand is carried by hands.
    site.state("ledger.A1-B1", MemberState::Held(2));
    assert!(run(&site).2.no_path.is_empty());
}

#[test]
fn a_ledger_in_hand_hangs_half_on_its_hook() {
    let mut site = Site::default();
    site.post("A1", 0.0, 0.0).post("B1", 2.0, 0.0);
    site.ledger("A1", "B1");
    site.set_joint("ledger.A1-B1", "B1", JointState::Open);
    site.state("ledger.A1-B1", MemberState::Held(1));
    let (assembly, _, loads) = run(&site);
    near(foot(&assembly, &loads, "A1"), 250.0);
    site.set_joint("ledger.A1-B1", "A1", JointState::Open);
    site.set_joint("ledger.A1-B1", "B1", JointState::Locked);
    let (assembly, _, loads) = run(&site);
    near(foot(&assembly, &loads, "B1"), 250.0);
    near(foot(&assembly, &loads, "A1"), 200.0);
}

#[test]
fn members_resting_in_a_circle_have_no_way_down() {
    let mut site = Site::default();
    site.post("A1", 0.0, 0.0);
    for name in ["p", "q", "r"] {
        site.member(name, Role::Filler, [0.0, 0.0, 3.0], [1.0, 0.0, 3.0], 10.0);
    }
    for (a, b) in [("p", "q"), ("q", "p"), ("r", "p")] {
        site.joint(JointKind::Rest, a, 0.5, Some((b, 0.5)), BEARING, JointState::Hung);
    }
    // One of them also lies on the post, which still gets its own weight.
    site.joint(JointKind::Head, "q", 0.5, Some(("A1", 3.0)), BEARING, JointState::Hung);
    let (assembly, _, loads) = run(&site);
    assert_eq!(loads.no_path, vec![id(&assembly, "p"), id(&assembly, "q")]);
    near(foot(&assembly, &loads, "A1"), 200.0);
}

fn overhanging(uplift: Option<f64>) -> Site {
    let mut site = Site::default();
    site.post("A1", 0.0, 0.0).post("B1", 2.0, 0.0);
    site.member("l", Role::Ledger, [0.0, 0.0, 3.0], [3.0, 0.0, 3.0], 30.0);
    let back = uplift.map_or(HOOKED, holding);
    site.joint(JointKind::Head, "l", 0.0, Some(("A1", 3.0)), back, JointState::Locked);
    site.joint(JointKind::Head, "l", 2.0, Some(("B1", 3.0)), HOOKED, JointState::Locked);
    site.loads.push(LoadText {
        name: "tip".into(),
        kind: LoadKind::Equipment,
        on: LoadPlace::Point { member: "l".into(), at: Length(3.0), weight: Force(100.0) },
        stack: None,
    });
    site
}

#[test]
fn uplift_is_passed_or_named() {
    // Self-weight 30 N at 1.5 m gives 7.5 N at the back; 100 N at the tip asks 50 N of pull there.
    let (assembly, stage, loads) = run(&overhanging(Some(60.0)));
    balanced(&assembly, &stage, &loads, 100.0);
    near(foot(&assembly, &loads, "A1"), 200.0 - 42.5);
    near(foot(&assembly, &loads, "B1"), 200.0 + 172.5);
    assert!(loads.lifting.is_empty() && loads.no_path.is_empty());

    let (assembly, _, loads) = run(&overhanging(None));
    let back = assembly.joints.iter().find(|j| j.kind == JointKind::Head && j.member_at == 0.0);
    let back = back.unwrap().id;
    assert_eq!(loads.lifting, vec![back]);
    near(loads.passed[back.index()], -42.5);
    near(foot(&assembly, &loads, "A1"), 200.0);
    near(foot(&assembly, &loads, "B1"), 330.0);
    assert_eq!(loads.no_path, vec![id(&assembly, "l")]);
}

#[test]
fn braces_hang_half_on_each_end_and_clips_on_their_post() {
    let mut site = Site::default();
    site.post("A1", 0.0, 0.0).post("B1", 2.0, 0.0);
    site.ledger("A1", "B1");
    site.wall("A1", "B1");
    site.member("clip", Role::Clip, [0.0, 0.0, 3.0], [0.0, 0.0, 3.0], 8.0);
    let passes = holding(500.0);
    site.joint(JointKind::Clip, "ledger.A1-B1", 0.0, Some(("A1", 3.0)), passes, JointState::Locked);
    site.with_clip("clip");
    let (assembly, stage, loads) = run(&site);
    balanced(&assembly, &stage, &loads, 0.0);
    near(foot(&assembly, &loads, "A1"), 200.0 + 50.0 + 30.0 + 8.0);
    near(foot(&assembly, &loads, "B1"), 200.0 + 50.0 + 30.0);
}

#[test]
fn a_member_without_weight_is_unknown() {
    let mut site = bay();
    site.edit("filler", |m| m.weight = f64::NAN);
    let (assembly, _, loads) = run(&site);
    assert_eq!(loads.unknown.len(), 1);
    assert_eq!(loads.unknown[0].0, id(&assembly, "filler"));
}

#[test]
fn loads_on_what_is_not_there_are_named() {
    let mut site = overhanging(None);
    for (name, member, at) in [("a", "nobody", 0.0), ("b", "l", 9.0)] {
        site.loads.push(LoadText {
            name: name.into(),
            kind: LoadKind::Bundle,
            on: LoadPlace::Point { member: member.into(), at: Length(at), weight: Force(7.0) },
            stack: None,
        });
    }
    assert_eq!(run(&site).2.unplaced.len(), 2);
}

#[test]
fn the_greatest_of_three_acts_at_a_head() {
    let (assembly, stage, loads) = run(&bay());
    let parts = head_lateral_parts(&assembly, &pack(), &stage, &loads, id(&assembly, "A1"));
    // 360 N at the foot less half the post's 200 N.
    near(parts.vertical, 260.0);
    near(parts.notional, 5.2);
    near(parts.push, 50.0 * super::fixture::LB);
    // No sizes in the library of this layout: no area, no wind.
    near(parts.wind, 0.0);
    assert_eq!(parts.governs(), "a worker's push");
    near(parts.greatest(), parts.push);
}
