//! The least and the greatest load at a post's foot, and the paths its load comes down.
//!
//! Known to work when: a beam over three posts puts 1.25 w L on the middle one (handbook table, from
//! memory) where single spans put w L; people on a deck may be there or not; a weight on a way loads
//! each post with its worst place; and the paths to a post add up to its load, newton by newton.

use super::fixture::{BEARING, HOOKED, Site, empty_scene, pack};
use standwell::assembly::{Assembly, JointKind, Role};
use standwell::criteria::Pack;
use standwell::loads::path::report;
use standwell::loads::{LoadState, take_down};
use standwell::scene::model::{LoadKind, LoadPlace, LoadText, Slab};
use standwell::sequence::{JointState, Stage};
use standwell::units::{Force, Length, LineLoad, Pressure};

fn run(site: &Site, pack: &Pack) -> (Assembly, Stage, LoadState) {
    let (assembly, stage) = site.build();
    let loads = take_down(&assembly, pack, &stage);
    (assembly, stage, loads)
}

/// Least, now and greatest at a post's foot without the post's own 200 N.
fn foot(assembly: &Assembly, loads: &LoadState, post: &str) -> [f64; 3] {
    let i = assembly.find(post).unwrap().index();
    [loads.foot_least[i], loads.at_foot[i], loads.foot_greatest[i]].map(|f| f - 200.0)
}

fn near(found: [f64; 3], due: [f64; 3]) {
    for (a, b) in found.iter().zip(due) {
        assert!((a - b).abs() < 1e-6 * (1.0 + b.abs()), "{found:?} is not {due:?}");
    }
}

/// A beam of 4 m over three posts 2 m apart, without weight to speak of.
fn two_spans() -> Site {
    let mut site = Site::default();
    site.post("A", 0.0, 0.0).post("B", 2.0, 0.0).post("C", 4.0, 0.0);
    site.member("beam", Role::DropBeam, [0.0, 0.0, 3.0], [4.0, 0.0, 3.0], 1e-9);
    for (post, at) in [("A", 0.0), ("B", 2.0), ("C", 4.0)] {
        site.joint(JointKind::Head, "beam", at, Some((post, 3.0)), HOOKED, JointState::Locked);
    }
    site
}

#[test]
fn the_middle_post_of_two_spans_is_judged_with_a_quarter_more() {
    let mut site = two_spans();
    site.loads.push(LoadText {
        name: "w".into(),
        kind: LoadKind::Rebar,
        on: LoadPlace::Line { member: "beam".into(), load: LineLoad(1000.0) },
        stack: None,
    });
    let (assembly, _, loads) = run(&site, &pack());
    near(foot(&assembly, &loads, "B"), [2000.0, 2000.0, 2500.0]);
    near(foot(&assembly, &loads, "A"), [750.0, 1000.0, 1000.0]);
}

#[test]
fn one_span_loaded_alone_lifts_the_far_end_of_the_continuous_beam() {
    let mut site = two_spans();
    site.loads.push(LoadText {
        name: "one side".into(),
        kind: LoadKind::Concrete,
        on: LoadPlace::Point { member: "beam".into(), at: Length(1.0), weight: Force(1000.0) },
        stack: None,
    });
    let (assembly, _, loads) = run(&site, &pack());
    let lifts: Vec<f64> = loads.may_lift.iter().map(|&j| assembly.joint(j).member_at).collect();
    assert_eq!(lifts, [4.0]);
    assert!(loads.lifting.is_empty());
    // The middle post gets 11/16 where the single span gives it a half (handbook table, from memory).
    near(foot(&assembly, &loads, "B"), [500.0, 500.0, 687.5]);
}

/// One bay 2 m by 2 m: two joists, a sheet over both.
fn bay() -> Site {
    let mut site = Site::default();
    for (name, x, y) in [("A1", 0.0, 0.0), ("B1", 2.0, 0.0), ("A2", 0.0, 2.0), ("B2", 2.0, 2.0)] {
        site.post(name, x, y);
    }
    site.ledger("A1", "B1");
    site.ledger("A2", "B2");
    site.beam(Role::Joist, "A1", "A2");
    site.beam(Role::Joist, "B1", "B2");
    site.member("sheet", Role::Sheet, [0.0, 0.0, 3.0], [2.0, 2.0, 3.0], 200.0);
    for under in ["joist.A1-A2", "joist.B1-B2"] {
        site.joint(JointKind::Rest, "sheet", 0.0, Some((under, 1.0)), BEARING, JointState::Hung);
    }
    site
}

#[test]
fn people_may_be_on_the_deck_or_not() {
    let mut pack = pack();
    pack.access_load.value = Pressure(500.0);
    let (assembly, _, loads) = run(&bay(), &pack);
    // 600 N of sheet and beams over four posts; 500 Pa on 4 m², a quarter each.
    near(foot(&assembly, &loads, "A1"), [150.0, 150.0, 650.0]);
}

#[test]
fn live_load_and_combined_minimum_count_where_concrete_goes_in() {
    let mut site = bay();
    let mut scene = empty_scene();
    let corner = |x, y| (Length(x), Length(y));
    scene.slabs.push(Slab {
        name: "L2".into(),
        soffit: Length(3.0),
        thickness: Length(0.04),
        outline: vec![corner(0.0, 0.0), corner(2.0, 0.0), corner(2.0, 2.0), corner(0.0, 2.0)],
        strength: None,
        there: false,
        drop_beams: Vec::new(),
    });
    site.scene = Some(scene);
    site.loads.push(LoadText {
        name: "pour".into(),
        kind: LoadKind::Concrete,
        on: LoadPlace::Pour { slab: "L2".into(), from: corner(0.0, 0.0), to: corner(2.0, 2.0) },
        stack: None,
    });
    let (assembly, mut stage, loads) = run(&site, &pack());
    // 25 kN/m³ × 40 mm = 1 kPa; live 2.4 kPa gives 3.4, the combined minimum is 4.8.
    near(foot(&assembly, &loads, "A1"), [150.0 + 1000.0, 150.0 + 1000.0, 150.0 + 4800.0]);
    // One stage on, nobody is placing: access alone, which this pack has none of.
    stage.index = 1;
    let later = take_down(&assembly, &pack(), &stage);
    near(foot(&assembly, &later, "A1"), [1150.0, 1150.0, 1150.0]);
}

#[test]
fn a_weight_on_its_way_loads_each_post_with_its_worst_place() {
    let mut site = bay();
    site.loads.push(LoadText {
        name: "buggy".into(),
        kind: LoadKind::Equipment,
        on: LoadPlace::Along {
            from: (Length(0.2), Length(1.0)),
            to: (Length(1.8), Length(1.0)),
            weight: Force(1000.0),
        },
        stack: None,
    });
    let (assembly, _, loads) = run(&site, &pack());
    // Half of what its joist gets: at 0.2 m from joist A that has nine tenths, at 1.8 m a tenth.
    near(foot(&assembly, &loads, "A1"), [150.0 + 50.0, 150.0 + 250.0, 150.0 + 450.0]);
    near(foot(&assembly, &loads, "B2"), [150.0 + 50.0, 150.0 + 250.0, 150.0 + 450.0]);
    if let LoadPlace::Along { to, .. } = &mut site.loads[0].on {
        to.0 = Length(3.0);
    }
    let (_, _, loads) = run(&site, &pack());
    assert!(loads.unplaced.iter().any(|u| u.0.contains("leaves the deck")), "{:?}", loads.unplaced);
}

#[test]
fn a_heap_weighs_a_third_of_height_times_foot() {
    let mut site = bay();
    site.loads.push(LoadText {
        name: "heap".into(),
        kind: LoadKind::Concrete,
        on: LoadPlace::Heap {
            at: (Length(1.0), Length(1.0)),
            across: Length(1.0),
            height: Length(0.3),
        },
        stack: None,
    });
    let (assembly, _, loads) = run(&site, &pack());
    let weight = 25_000.0 * 0.3 * std::f64::consts::PI / 12.0;
    assert!((foot(&assembly, &loads, "A1")[1] - 150.0 - weight / 4.0).abs() < 1e-6);
}

#[test]
fn the_paths_to_a_post_add_up_to_its_load() {
    let mut site = bay();
    site.loads.push(LoadText {
        name: "stack".into(),
        kind: LoadKind::Bundle,
        on: LoadPlace::Area {
            from: (Length(0.3), Length(0.2)),
            to: (Length(1.1), Length(1.9)),
            load: Pressure(700.0),
        },
        stack: None,
    });
    site.loads.push(LoadText {
        name: "tool".into(),
        kind: LoadKind::Equipment,
        on: LoadPlace::Point {
            member: "ledger.A1-B1".into(),
            at: Length(0.5),
            weight: Force(80.0),
        },
        stack: None,
    });
    let (assembly, stage, loads) = run(&site, &pack());
    for post in ["A1", "A2", "B1", "B2"] {
        let post = assembly.find(post).unwrap();
        let found = report(&assembly, &pack(), &stage, &loads, post);
        assert!(found.rest.abs() < 1e-9 * found.force, "{found:?}");
        assert!(found.shares.iter().all(|s| s.path.last() == Some(&post)));
    }
    let a1 = assembly.find("A1").unwrap();
    let found = report(&assembly, &pack(), &stage, &loads, a1);
    let of = |what: &str, path: &[&str]| {
        let path: Vec<_> = path.iter().map(|m| assembly.find(m).unwrap()).collect();
        found.shares.iter().find(|s| s.what == what && s.path == path).map_or(0.0, |s| s.force)
    };
    // By hand: the tool at a quarter of the ledger; the stack, 952 N, its middle 0.7 m along x (65 %
    // on joist A) and 1.05 m along y (47.5 % of that on post A1).
    assert!((of("tool", &["ledger.A1-B1", "A1"]) - 60.0).abs() < 1e-9);
    let stack = of("stack", &["sheet", "joist.A1-A2", "A1"]);
    assert!((stack - 952.0 * 0.65 * 0.475).abs() < 1e-6, "{stack}");
}

#[test]
fn the_least_force_along_the_floors_edge_is_shared_by_the_heads() {
    let mut pack = pack();
    pack.lateral_edge.value = Some(LineLoad(1500.0));
    let mut site = bay();
    let (assembly, stage, loads) = run(&site, &pack);
    let lateral = |assembly: &Assembly, stage: &Stage, loads: &LoadState, way: [f64; 2]| -> f64 {
        let part = |post| {
            let id = assembly.find(post).unwrap();
            standwell::loads::head_lateral_along(assembly, &pack, stage, loads, id, way)
        };
        ["A1", "A2", "B1", "B2"].into_iter().map(part).sum()
    };
    let (x, y) = ([1.0, 0.0], [0.0, 1.0]);
    // An empty deck has no concrete to push it.
    assert!(lateral(&assembly, &stage, &loads, x) < 100.0);
    site.loads.push(LoadText {
        name: "fresh".into(),
        kind: LoadKind::Concrete,
        on: LoadPlace::Area {
            from: (Length(0.0), Length(0.0)),
            to: (Length(2.0), Length(1.0)),
            load: Pressure(5000.0),
        },
        stack: None,
    });
    let (assembly, stage, loads) = run(&site, &pack);
    // Concrete over 2 m along x and 1 m along y: 1.5 kN/m on 1 m of edge pushes along x, on 2 m along
    // y; both more than 2 % of some 11 kN.
    assert!((lateral(&assembly, &stage, &loads, x) - 1500.0).abs() < 1e-6);
    assert!((lateral(&assembly, &stage, &loads, y) - 3000.0).abs() < 1e-6);
}
