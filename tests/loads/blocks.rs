//! Real blocks, laid out from a scene, taken down and judged as they stand finished.
//!
//! Source: sums of weights; moments about a support worked by hand.

use super::fixture::{finished, pack};
use crate::assembly::{block, build, of_block};
use standwell::assembly::{Assembly, JointKind, Role};
use standwell::equilibrium::judge_stage;
use standwell::loads::{LoadState, take_down};
use standwell::restraint::of_stage;
use standwell::scene::model::{LoadKind, LoadPlace, LoadText};
use standwell::sequence::Stage;
use standwell::sequence::model::StageLoad;
use standwell::units::Length;

const FT: f64 = 0.3048;

fn on_the_ground(assembly: &Assembly, loads: &LoadState) -> f64 {
    assembly
        .joints
        .iter()
        .filter(|j| j.kind == JointKind::Ground)
        .map(|j| loads.passed[j.id.index()])
        .sum()
}

fn weight(assembly: &Assembly) -> f64 {
    assembly.members.iter().map(|m| m.weight).sum()
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6 * b.abs().max(1.0), "{a} is not {b}");
}

const DECK: &str = r#"fillers: 2, sheet: Some("sheet-6"), brace: Some("brace"),
    sill: Some("sill-12"), brace_every: Some(2)"#;

#[test]
fn a_decked_block_stands_on_the_ground_with_all_its_weight() {
    for turned in ["0 deg", "30 deg", "90 deg", "200 deg"] {
        let a = of_block("A..E", "1..4", &format!(r#"{DECK}, turned: "{turned}""#));
        let stage = finished(&a);
        let loads = take_down(&a, &pack(), &stage);
        near(on_the_ground(&a, &loads), weight(&a));
        assert!(loads.no_path.is_empty(), "{:?}", names(&a, &loads.no_path));
        assert!(loads.lifting.is_empty() && loads.unknown.is_empty());
        let restraint = of_stage(&a, &stage);
        assert_eq!(restraint.freedoms, 0, "turned {turned}");
        assert!(restraint.holds.iter().all(|h| !h.path.is_empty()));
        assert_eq!(restraint.holds.len(), 2 * 20);
        assert_eq!(restraint.pieces().len(), 1);
        assert!(judge_stage(&a, &pack(), &stage, &loads).tipping.is_empty());
    }
}

fn names(assembly: &Assembly, ids: &[standwell::assembly::MemberId]) -> Vec<String> {
    ids.iter().map(|&m| assembly.name(m).to_owned()).collect()
}

fn loaded(stage: &mut Stage, on: LoadPlace) {
    let text = LoadText { name: "pour".into(), kind: LoadKind::Concrete, on, stack: None };
    stage.loads.push(StageLoad { text, since_step: 0 });
}

#[test]
fn a_pour_over_the_deck_comes_down_whole() {
    let slab = r#"slabs: [(name: "s", soffit: "9 ft 8 in", thickness: "8 in",
        outline: [("0 m", "0 m"), ("24 ft", "0 m"), ("24 ft", "18 ft"), ("0 m", "18 ft")])]"#;
    let a = build(&format!("{slab}, blocks: [{}]", block("A..E", "1..4", DECK)));
    let mut stage = finished(&a);
    let corner = |x: f64, y: f64| (Length(x * FT), Length(y * FT));
    loaded(
        &mut stage,
        LoadPlace::Pour { slab: "s".into(), from: corner(0.0, 0.0), to: corner(24.0, 18.0) },
    );
    let loads = take_down(&a, &pack(), &stage);
    assert!(loads.unplaced.is_empty(), "{:?}", loads.unplaced);
    let concrete = 25_000.0 * 24.0 * 18.0 * FT * FT * 8.0 * 0.0254;
    near(on_the_ground(&a, &loads), weight(&a) + concrete);
    // An inner post carries a whole bay, a corner post a quarter, by symmetry of equal bays.
    let at = |post: &str| loads.imposed(a.find(post).unwrap());
    let bay = 25_000.0 * 36.0 * FT * FT * 8.0 * 0.0254;
    assert!((at("main.post.C2") / bay - 1.0).abs() < 0.15);
    assert!((at("main.post.A1") / bay - 0.25).abs() < 0.06);
}

#[test]
fn without_its_diagonals_a_block_has_a_movement_a_line() {
    let a = of_block("A..E", "1..4", r#"fillers: 1"#);
    // Four lines along x and five along y, none of them braced.
    let restraint = of_stage(&a, &finished(&a));
    assert_eq!(restraint.freedoms, 9);
    let c2 = a.find("main.post.C2").unwrap();
    let along = restraint.hold(c2, [1.0, 0.0]).unwrap();
    // Five posts and four ledgers.
    assert_eq!(along.loose_line.len(), 9);
}

#[test]
fn overhangs_both_ways_turn_about_their_edge_posts() {
    let mut unheld = std::collections::BTreeMap::new();
    for (along, fulcrum, behind) in [
        ("E", "main.post.E2", "main.post.D2"),
        ("A", "main.post.A2", "main.post.B2"),
        ("4", "main.post.C4", "main.post.C3"),
        ("1", "main.post.C1", "main.post.C2"),
    ] {
        let more = format!(
            r#"{DECK}, overhangs: [(along: "{along}", by: "2 ft", clip: Some("clip"),
            walkway: Some("18 in"), edge_form: Some((at: "6 in", weight: "20 plf")), rail: true)]"#
        );
        let a = of_block("A..E", "1..4", &more);
        let stage = finished(&a);
        let loads = take_down(&a, &pack(), &stage);
        // 20 plf of edge form along each beam's share: all bays, and half a bay past either end.
        let beams = if "AE".contains(along) { 4.0 } else { 5.0 };
        let form = 20.0 * 6.0 * beams * super::fixture::LB;
        near(on_the_ground(&a, &loads), weight(&a) + form);
        let found = judge_stage(&a, &pack(), &stage, &loads);
        assert!(found.unknown.is_empty());
        let beams: Vec<_> =
            found.tipping.iter().filter(|t| a.member(t.member).role != Role::Sheet).collect();
        assert_eq!(beams.len(), if "AE".contains(along) { 4 } else { 5 }, "along {along}");
        let post = a.find(fulcrum).unwrap();
        let one = beams.iter().find(|t| a.joint(t.fulcrum).carrier == Some(post)).unwrap();
        near(one.overhang, 2.0 * FT);
        near(one.back_span, 6.0 * FT);
        assert_eq!(one.clip_post, a.find(behind));
        assert!(one.clip.is_some(), "the clip is fixed");
        assert!(one.factor > one.factor_unheld);
        assert!(one.working.iter().any(|w| w.contains("the edge form")));
        unheld.insert(along, one.factor_unheld);
    }
    // The block is the same seen from either side.
    near(unheld["A"], unheld["E"]);
    near(unheld["1"], unheld["4"]);
}

#[test]
fn concrete_past_the_edge_line_lies_on_the_beams_that_run_on() {
    let slab = r#"slabs: [(name: "s", soffit: "9 ft 8 in", thickness: "8 in",
        outline: [("0 m", "0 m"), ("25 ft", "0 m"), ("25 ft", "18 ft"), ("0 m", "18 ft")])]"#;
    let more = format!(r#"{DECK}, overhangs: [(along: "E", by: "2 ft")]"#);
    let a = build(&format!("{slab}, blocks: [{}]", block("A..E", "1..4", &more)));
    let pour = |from: f64, to: f64| {
        let mut stage = finished(&a);
        let corner = |x: f64, y: f64| (Length(x * FT), Length(y * FT));
        let on =
            LoadPlace::Pour { slab: "s".into(), from: corner(from, 0.0), to: corner(to, 18.0) };
        loaded(&mut stage, on);
        let loads = take_down(&a, &pack(), &stage);
        assert!(loads.unplaced.is_empty(), "{:?}", loads.unplaced);
        let concrete = 25_000.0 * (to - from) * 18.0 * FT * FT * 8.0 * 0.0254;
        near(on_the_ground(&a, &loads), weight(&a) + concrete);
        let found = judge_stage(&a, &pack(), &stage, &loads);
        let ledger = a.find("main.ledger.D2-E2").unwrap();
        found.tipping.into_iter().find(|t| t.member == ledger).unwrap()
    };
    let edge_first = pour(24.0, 25.0);
    let all = pour(0.0, 25.0);
    // 8 in of concrete, 1 ft past the line, 6 ft wide, its middle half a foot out.
    let strip = 25_000.0 * 6.0 * FT * FT * 8.0 * 0.0254;
    let bare = pour(0.0, 24.0);
    near(edge_first.overturning - bare.overturning, strip * 0.5 * FT);
    // The same concrete turns it, and the concrete that would hold it is not there yet.
    near(all.overturning, edge_first.overturning);
    near(all.stabilising, bare.stabilising);
    assert!(edge_first.factor_empty < 0.2 * all.factor_empty);
}

#[test]
fn the_corner_trap_in_a_real_block() {
    // A braced tower A1–B2 and one bay each way round its corner B2: every post carries a ledger
    // and a joist, and the lines C and 3 have no bracing of their own.
    let braced = |more: &str| {
        let braces =
            format!(r#"brace: Some("brace"), braced: ["A1-B1", "A2-B2", "A1-A2", "B1-B2"{more}]"#);
        let a = of_block("A..C", "1..3", &braces);
        let restraint = of_stage(&a, &finished(&a));
        let held =
            |post: &str, d| !restraint.hold(a.find(post).unwrap(), d).unwrap().path.is_empty();
        let (x, y) = ([1.0, 0.0], [0.0, 1.0]);
        (
            restraint.freedoms,
            [
                held("main.post.C3", x),
                held("main.post.C3", y),
                held("main.post.C2", x),
                held("main.post.C2", y),
                held("main.post.B3", x),
                held("main.post.B3", y),
            ],
        )
    };
    assert_eq!(braced(""), (2, [false, false, true, false, false, true]));
    assert_eq!(braced(r#", "C2-C3""#), (1, [false, true, true, true, false, true]));
    assert_eq!(braced(r#", "C2-C3", "B3-C3""#), (0, [true; 6]));
}
