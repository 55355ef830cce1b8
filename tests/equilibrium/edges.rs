//! Edge form, walkway and rail on an overhang that the scene describes.
//!
//! Source: moments about the outer support, worked by hand; rail force and height as 29 CFR
//! 1926.502(b).

use crate::loads::fixture::{BEARING, HOOKED, LB, Site, empty_scene, pack};
use standwell::assembly::{JointKind, Role};
use standwell::equilibrium::{Tipping, judge_stage};
use standwell::loads::take_down;
use standwell::scene::model::{LoadKind, LoadPlace, LoadText};
use standwell::sequence::{JointState, MemberState};
use standwell::units::{Force, Length};

/// Ledger A2–B2 of a block with three y-lines 2 m apart, back span 3 m, 1 m past line B; the edge
/// form stands 0.5 m out with 400 N/m, the walkway is 0.6 m wide, a rail at the tip. A filler with
/// a sheet rests on the ledger at mid-span.
fn site() -> Site {
    let mut site = Site::default();
    let mut scene = empty_scene();
    let ron =
        ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
    scene.blocks.push(
        ron.from_str(
            r#"(name: "b", x: (lines: "A B", every: "3 m"), y: (lines: "1 2 3", every: "2 m"),
            stands_on: "f", head: "3 m", post: "p", ledger: ["l"], overhangs: [(along: "B",
            by: "1 m", walkway: "0.6 m", edge_form: (at: "0.5 m", weight: "400 N/m",
            height: "0.4 m"),
            rail: true)])"#,
        )
        .unwrap(),
    );
    site.scene = Some(scene);
    for (name, x, grid) in [("A2", 0.0, "A2"), ("B2", 3.0, "B2")] {
        site.post(name, x, 2.0).edit(name, |m| {
            m.block = Some("b".into());
            m.grid = Some((grid.into(), grid.into()));
        });
    }
    site.member("l", Role::Ledger, [0.0, 2.0, 3.0], [4.0, 2.0, 3.0], 400.0).edit("l", |m| {
        m.block = Some("b".into());
        m.grid = Some(("A2".into(), "B2".into()));
    });
    site.joint(JointKind::Head, "l", 0.0, Some(("A2", 3.0)), HOOKED, JointState::Locked);
    site.joint(JointKind::Head, "l", 3.0, Some(("B2", 3.0)), HOOKED, JointState::Locked);
    site.member("f", Role::Filler, [1.5, 2.0, 3.0], [1.5, 2.4, 3.0], 10.0);
    site.joint(JointKind::Rest, "f", 0.2, Some(("l", 1.5)), BEARING, JointState::Hung);
    site.member("s", Role::Sheet, [1.4, 2.0, 3.0], [1.6, 2.4, 3.0], 30.0);
    site.joint(JointKind::Rest, "s", 0.0, Some(("f", 0.2)), BEARING, JointState::Hung);
    site
}

fn judged(site: &Site) -> Tipping {
    let (assembly, stage) = site.build();
    let pack = pack();
    let loads = take_down(&assembly, &pack, &stage);
    let found = judge_stage(&assembly, &pack, &stage, &loads);
    let ledger = assembly.find("l").unwrap();
    found.tipping.into_iter().find(|t| t.member == ledger).unwrap()
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6, "{a} is not {b}");
}

const WORKER: f64 = 250.0 * LB;

/// Wind of 10 m/s on 2 m of form, 0.4 m high: q·c·A at half its height. No depth of the ledger is
/// given here, so the lever counts from the support.
const WIND: f64 = 0.613 * 100.0 * 1.8 * (2.0 * 0.4) * 0.2;

#[test]
fn with_the_deck_come_edge_form_and_rail() {
    let found = judged(&site());
    // Own 100 N/m · 1²/2; edge form 400 N/m over half a bay each side, 2 m, at 0.5 m.
    let empty = 50.0 + 400.0 * 2.0 * 0.5 + WIND;
    // Abreast on the deck: one over the ledger, one 0.46 m aside with bays of 2 m: 0.77 of him.
    let workers = WORKER * (1.0 + (1.0 - 0.46 / 2.0));
    let rail = 200.0 * LB * 1.07;
    near(found.overturning, empty + workers + rail);
    // 100 N/m · 3²/2 and 40 N of filler and sheet 1.5 m behind.
    near(found.stabilising, 450.0 + 60.0);
    near(found.factor_empty, 510.0 / empty);
    near(found.factor_one_worker, 510.0 / (empty + WORKER));
}

#[test]
fn before_the_deck_there_is_only_the_ledger() {
    let mut site = site();
    site.state("s", MemberState::Absent);
    let found = judged(&site);
    near(found.overturning, 50.0 + WORKER * (1.0 + 0.54));
    near(found.factor_empty, (450.0 + 15.0) / 50.0);
}

#[test]
fn an_edge_form_set_down_as_a_load_is_not_counted_twice() {
    let mut site = site();
    site.state("s", MemberState::Absent);
    site.loads.push(LoadText {
        name: "form".into(),
        kind: LoadKind::EdgeForm,
        on: LoadPlace::Point { member: "l".into(), at: Length(3.5), weight: Force(500.0) },
        stack: None,
    });
    let found = judged(&site);
    near(found.factor_empty, (450.0 + 15.0) / (50.0 + 250.0 + WIND));
    // The rail goes on with it.
    near(found.overturning, 300.0 + WIND + WORKER * (1.0 + 0.54) + 200.0 * LB * 1.07);
}

#[test]
fn people_of_the_stage_count_where_they_are_more() {
    let mut site = site();
    site.state("s", MemberState::Absent);
    site.loads.push(LoadText {
        name: "crew".into(),
        kind: LoadKind::Workers,
        on: LoadPlace::Point { member: "l".into(), at: Length(4.0), weight: Force(4.0 * WORKER) },
        stack: None,
    });
    let found = judged(&site);
    near(found.overturning, 50.0 + 4.0 * WORKER);
    near(found.factor_empty, (450.0 + 15.0) / 50.0);
    // Behind the post they keep nothing down.
    if let LoadPlace::Point { at, .. } = &mut site.loads[0].on {
        *at = Length(1.0);
    }
    near(judged(&site).stabilising, 465.0);
}

#[test]
fn walkway_load_counts_where_it_is_more_than_the_workers() {
    let (assembly, stage) = site().build();
    let mut pack = pack();
    pack.access_load.value.0 = 6000.0;
    let loads = take_down(&assembly, &pack, &stage);
    let found = judge_stage(&assembly, &pack, &stage, &loads);
    let ledger = assembly.find("l").unwrap();
    let found = found.tipping.iter().find(|t| t.member == ledger).unwrap();
    // 6 kPa on 0.6 m by 2 m, its middle 0.7 m out.
    near(found.overturning, 450.0 + WIND + 6000.0 * 1.2 * 0.7 + 200.0 * LB * 1.07);
}

#[test]
fn the_working_says_what_counts() {
    let text = judged(&site()).working.join("\n");
    for word in ["the edge form", "2 workers", "rail", "Pull needed", "required"] {
        assert!(text.contains(word), "{word} is missing in\n{text}");
    }
}
