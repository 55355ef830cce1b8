//! Who is held, by what path, and what is loose.

use crate::loads::fixture::{BEARING, HOOKED, Site};
use standwell::assembly::{Assembly, JointKind, MemberId, Role};
use standwell::restraint::{Restraint, of_stage};
use standwell::sequence::{JointState, MemberState};

const X: [f64; 2] = [1.0, 0.0];
const Y: [f64; 2] = [0.0, 1.0];

fn run(site: &Site) -> (Assembly, Restraint) {
    let (assembly, stage) = site.build();
    let restraint = of_stage(&assembly, &stage);
    (assembly, restraint)
}

fn names(assembly: &Assembly, ids: &[MemberId]) -> Vec<String> {
    ids.iter().map(|&m| assembly.name(m).to_owned()).collect()
}

fn path(site: &Site, post: &str, direction: [f64; 2]) -> Vec<String> {
    let (assembly, restraint) = run(site);
    let hold = restraint.hold(assembly.find(post).unwrap(), direction).unwrap();
    assert_eq!(hold.path.is_empty(), !hold.loose_line.is_empty());
    names(&assembly, &hold.path)
}

fn loose(site: &Site, post: &str, direction: [f64; 2]) -> Vec<String> {
    let (assembly, restraint) = run(site);
    let hold = restraint.hold(assembly.find(post).unwrap(), direction).unwrap();
    names(&assembly, &hold.loose_line)
}

/// A row of four posts along x, braced between the first two.
fn row() -> Site {
    let mut site = Site::default();
    for (i, name) in ["A1", "B1", "C1", "D1"].into_iter().enumerate() {
        site.post(name, 2.0 * i as f64, 0.0);
    }
    site.ledger("A1", "B1");
    site.ledger("B1", "C1");
    site.ledger("C1", "D1");
    site.wall("A1", "B1");
    site
}

#[test]
fn path_runs_along_the_line_to_the_diagonal() {
    let site = row();
    assert_eq!(path(&site, "D1", X), ["ledger.C1-D1", "ledger.B1-C1", "brace.A1-B1"]);
    assert_eq!(path(&site, "A1", X), ["ledger.A1-B1", "brace.A1-B1"]);
    assert_eq!(path(&site, "B1", X), ["brace.A1-B1"]);
    // Nothing across.
    assert_eq!(loose(&site, "B1", Y), ["B1"]);
}

#[test]
fn a_hung_ledger_passes_nothing_along() {
    let mut site = row();
    site.set_joint("ledger.B1-C1", "C1", JointState::Hung);
    assert!(path(&site, "C1", X).is_empty());
    assert_eq!(loose(&site, "D1", X), ["C1", "D1", "ledger.C1-D1"]);
    assert_eq!(path(&site, "A1", X), ["ledger.A1-B1", "brace.A1-B1"]);
}

#[test]
fn what_is_in_hand_gives_nothing() {
    let mut site = row();
    site.state("C1", MemberState::Held(1));
    let (assembly, restraint) = run(&site);
    assert!(restraint.hold(assembly.find("C1").unwrap(), X).is_none());
    assert_eq!(loose(&site, "D1", X), ["D1"]);
    let mut site = row();
    site.state("A1", MemberState::Held(1));
    assert!(path(&site, "B1", X).is_empty(), "a diagonal on a post in hand");
    let mut site = row();
    site.state("ledger.B1-C1", MemberState::Held(1));
    assert!(path(&site, "C1", X).is_empty());
}

#[test]
fn a_diagonal_needs_both_couplers_and_no_damage() {
    let mut site = row();
    site.set_joint("brace.A1-B1", "A1", JointState::Open);
    assert!(path(&site, "B1", X).is_empty());
    let mut site = row();
    site.edit("brace.A1-B1", |m| m.damaged = true);
    assert!(path(&site, "B1", X).is_empty());
}

#[test]
fn tension_only_diagonals_count_as_a_crossed_pair() {
    let mut site = row();
    site.edit("brace.A1-B1", |m| m.tension_only = true);
    assert!(path(&site, "D1", X).is_empty());
    let other = site.wall("B1", "A1");
    site.edit(&other, |m| m.tension_only = true);
    let held = path(&site, "D1", X);
    assert_eq!(held, ["ledger.C1-D1", "ledger.B1-C1", "brace.A1-B1", "brace.B1-A1"]);
    // Two that lean the same way hold one way only.
    let mut site = row();
    site.edit("brace.A1-B1", |m| m.tension_only = true);
    let other = site.wall("C1", "D1");
    site.edit(&other, |m| m.tension_only = true);
    assert!(path(&site, "D1", X).is_empty());
    // Crossed, but the posts are not joined: each may fall towards the other.
    let mut site = Site::default();
    site.post("A1", 0.0, 0.0).post("B1", 2.0, 0.0);
    for (a, b) in [("A1", "B1"), ("B1", "A1")] {
        let brace = site.wall(a, b);
        site.edit(&brace, |m| m.tension_only = true);
    }
    assert!(path(&site, "A1", X).is_empty());
}

#[test]
fn a_ledger_square_to_the_direction_passes_nothing() {
    let mut site = row();
    site.post("C2", 4.0, 2.0);
    site.ledger("C1", "C2");
    assert!(path(&site, "C2", X).is_empty());
    assert_eq!(loose(&site, "C2", Y), ["C1", "C2", "ledger.C1-C2"]);
}

#[test]
fn a_plan_brace_hands_on_to_a_braced_line() {
    // Tower A1–B2, a bay B–C beside it; its outer line C racks until the plan brace is in.
    let mut site = Site::default();
    for (i, column) in ["A", "B", "C"].into_iter().enumerate() {
        for row in 1..=2 {
            site.post(&format!("{column}{row}"), 2.0 * i as f64, 2.0 * f64::from(row));
        }
        site.ledger(&format!("{column}1"), &format!("{column}2"));
    }
    for (a, b) in [("A1", "B1"), ("B1", "C1"), ("A2", "B2"), ("B2", "C2")] {
        site.ledger(a, b);
    }
    for (a, b) in [("A1", "B1"), ("A2", "B2"), ("A1", "A2"), ("B1", "B2")] {
        site.wall(a, b);
    }
    assert_eq!(loose(&site, "C1", Y), ["C1", "C2", "ledger.C1-C2"]);
    site.plan("B1", "C2");
    assert_eq!(
        path(&site, "C1", Y),
        ["ledger.C1-C2", "planbrace.B1-C2", "ledger.B1-B2", "brace.B1-B2"]
    );
    assert_eq!(run(&site).1.freedoms, 0);
}

#[test]
fn a_tie_holds_in_its_direction_only() {
    let mut site = row();
    site.edit("brace.A1-B1", |m| m.damaged = true);
    site.member("tie", Role::TieIn, [6.0, 0.0, 3.0], [7.0, 0.0, 3.0], 20.0);
    site.joint(JointKind::Head, "tie", 0.0, Some(("D1", 3.0)), HOOKED, JointState::Locked);
    site.joint(JointKind::Tie, "tie", 1.0, None, HOOKED, JointState::Locked);
    assert_eq!(path(&site, "B1", X), ["ledger.B1-C1", "ledger.C1-D1", "tie"]);
    assert!(path(&site, "D1", Y).is_empty());
    let mut open = Site::default();
    open.post("A1", 0.0, 0.0);
    open.member("tie", Role::TieIn, [0.0, 0.0, 3.0], [1.0, 0.0, 3.0], 20.0);
    open.joint(JointKind::Head, "tie", 0.0, Some(("A1", 3.0)), HOOKED, JointState::Locked);
    open.joint(JointKind::Tie, "tie", 1.0, None, HOOKED, JointState::Open);
    assert!(path(&open, "A1", X).is_empty());
}

#[test]
fn turned_layouts_answer_the_same() {
    for turned in [0.3_f64, 1.2, std::f64::consts::FRAC_PI_2, 2.5] {
        let mut site = row();
        let turn = nalgebra::Rotation3::from_axis_angle(&nalgebra::Vector3::z_axis(), turned);
        for name in
            ["A1", "B1", "C1", "D1", "ledger.A1-B1", "ledger.B1-C1", "ledger.C1-D1", "brace.A1-B1"]
        {
            site.edit(name, |m| m.ends = m.ends.map(|p| turn * p));
        }
        let along = [turned.cos(), turned.sin()];
        let held = path(&site, "D1", along);
        assert_eq!(held, ["ledger.C1-D1", "ledger.B1-C1", "brace.A1-B1"], "turned {turned}");
        assert!(path(&site, "D1", [-along[1], along[0]]).is_empty());
    }
}

/// A lower pair of posts with a braced pair standing on it.
fn tiers() -> Site {
    let mut site = Site::default();
    site.post("A1", 0.0, 0.0).post("B1", 2.0, 0.0);
    site.ledger("A1", "B1");
    for (name, lower, x) in [("U1", "A1", 0.0), ("V1", "B1", 2.0)] {
        site.member(name, Role::Post, [x, 0.0, 3.0], [x, 0.0, 6.0], 200.0);
        site.joint(JointKind::Splice, name, 0.0, Some((lower, 3.0)), BEARING, JointState::Hung);
    }
    site.ledger("U1", "V1");
    site.wall("U1", "V1");
    site
}

#[test]
fn an_upper_tier_is_held_only_where_the_lower_is() {
    let mut site = tiers();
    assert!(path(&site, "U1", X).is_empty(), "braced on something that is itself loose");
    site.wall("A1", "B1");
    assert_eq!(path(&site, "B1", X), ["brace.A1-B1"]);
    let held = path(&site, "U1", X);
    // The upper diagonal stands on the head of A1, which the lower ledger ties to its diagonal.
    assert_eq!(held, ["ledger.U1-V1", "brace.U1-V1", "ledger.A1-B1", "brace.A1-B1"]);
}

#[test]
fn load_paths_and_pieces() {
    let mut site = row();
    site.post("Z9", 20.0, 20.0);
    site.member("filler", Role::Filler, [1.0, 0.0, 3.0], [1.0, 2.0, 3.0], 10.0);
    site.joint(
        JointKind::Rest,
        "filler",
        0.0,
        Some(("ledger.A1-B1", 1.0)),
        BEARING,
        JointState::Hung,
    );
    let (assembly, restraint) = run(&site);
    let a1 = assembly.find("A1").unwrap();
    let carries = &restraint.carries.iter().find(|c| c.0 == a1).unwrap().1;
    assert_eq!(names(&assembly, carries), ["filler", "ledger.A1-B1", "A1"]);
    assert_eq!(restraint.pieces().len(), 2);
    assert_eq!(restraint.pieces().iter().map(Vec::len).sum::<usize>(), assembly.members.len());
}

/// A braced tower with one bay beside it whose outer line is held by its nailed deck alone.
fn decked() -> Site {
    let mut site = Site::default();
    let names = ["b.post.A1", "b.post.A2", "b.post.B1", "b.post.B2", "b.post.C1", "b.post.C2"];
    for (i, name) in names.into_iter().enumerate() {
        site.post(name, 2.0 * (i / 2) as f64, 2.0 * (i % 2) as f64);
    }
    let [a1, a2, b1, b2, c1, c2] = names;
    for (a, b) in [(a1, b1), (a2, b2), (a1, a2), (b1, b2)] {
        site.ledger(a, b);
        site.wall(a, b);
    }
    site.ledger(b1, c1);
    site.ledger(b2, c2);
    let outer = site.ledger(c1, c2);
    let inner = format!("ledger.{b1}-{b2}");
    site.member("sheet", Role::Sheet, [2.0, 0.0, 3.0], [4.0, 2.0, 3.0], 200.0);
    site.edit("sheet", |m| {
        m.block = Some("b".into());
        m.grid = Some(("B1".into(), "C2".into()));
        m.part = "ply".into();
    });
    for under in [&inner, &outer] {
        site.joint(JointKind::Rest, "sheet", 0.0, Some((under, 1.0)), BEARING, JointState::Hung);
    }
    site.library.sheets.insert(
        "ply".into(),
        standwell::equipment::model::Sheet {
            mass: standwell::units::Mass(20.0),
            size: Default::default(),
            diaphragm: Some(standwell::equipment::model::Diaphragm {
                nailing: "8d at 150 mm".into(),
                stiffness: standwell::units::Stiffness(1e6),
                shear: standwell::units::LineLoad(2500.0),
            }),
            basis: None,
            bending: None,
            shear: None,
            e: None,
        },
    );
    site.nail("sheet");
    site
}

#[test]
fn a_nailed_deck_holds_and_one_that_lies_does_not() {
    let site = decked();
    let held = path(&site, "b.post.C1", Y);
    assert!(held.contains(&"sheet".to_owned()), "{held:?}");
    assert_eq!(run(&site).1.freedoms, 0);
    // The ledger under it merely hangs in one head.
    let mut site = decked();
    let outer = "ledger.b.post.C1-b.post.C2";
    site.set_joint(outer, "b.post.C1", JointState::Hung);
    assert!(path(&site, "b.post.C1", Y).is_empty());
    // A part with no stated nailing.
    let mut site = decked();
    site.library.sheets.clear();
    assert!(path(&site, "b.post.C1", Y).is_empty());
}
