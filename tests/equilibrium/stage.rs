//! Tipping through small assemblies, against the same table and moments worked by hand.

use super::plain::TABLE;
use crate::loads::fixture::{BEARING, FT, HOOKED, LB, PLF, Site, holding, pack};
use standwell::assembly::{Assembly, JointKind, Role};
use standwell::equilibrium::{StageEquilibrium, Tipping, judge_stage};
use standwell::loads::take_down;
use standwell::scene::model::{LoadKind, LoadPlace, LoadText};
use standwell::sequence::{JointState, MemberState};
use standwell::units::{Force, Length, LineLoad};

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b}");
}

/// A ledger over two posts with an overhang past the second. The back head passes `back`.
fn ledger(
    back_span: f64,
    over: f64,
    weight: f64,
    back: standwell::equipment::model::Passes,
) -> Site {
    let mut site = Site::default();
    site.post("A1", 0.0, 0.0).post("B1", back_span, 0.0);
    let tip = back_span + over;
    site.member("l", Role::Ledger, [0.0, 0.0, 3.0], [tip, 0.0, 3.0], weight * tip);
    site.joint(JointKind::Head, "l", 0.0, Some(("A1", 3.0)), back, JointState::Locked);
    site.joint(JointKind::Head, "l", back_span, Some(("B1", 3.0)), HOOKED, JointState::Locked);
    site
}

fn judged(site: &Site) -> (Assembly, StageEquilibrium) {
    let (assembly, stage) = site.build();
    let pack = pack();
    let loads = take_down(&assembly, &pack, &stage);
    let found = judge_stage(&assembly, &pack, &stage, &loads);
    (assembly, found)
}

fn only(site: &Site) -> Tipping {
    let (_, found) = judged(site);
    assert!(found.unknown.is_empty(), "{:?}", found.unknown);
    assert_eq!(found.tipping.len(), 1);
    found.tipping[0].clone()
}

fn tip_load(site: &mut Site, at: f64, weight: f64, kind: LoadKind) {
    site.loads.push(LoadText {
        name: "tip".into(),
        kind,
        on: LoadPlace::Point { member: "l".into(), at: Length(at), weight: Force(weight) },
        stack: None,
    });
}

#[test]
fn the_table_through_an_assembly() {
    for ([back, over, weight, tip], factor, balance, required) in TABLE {
        let mut site = ledger(back * FT, over * FT, weight * PLF, HOOKED);
        tip_load(&mut site, (back + over) * FT, tip * LB, LoadKind::Equipment);
        // The weight lies there, nobody on it: the table's case.
        let found = only(&site);
        near(found.factor_empty, factor, 0.0006);
        near(found.back_span, back * FT, 1e-9);
        near(found.overhang, over * FT, 1e-9);
        let (assembly, stage) = site.build();
        let mut nobody = pack();
        nobody.workers_on_overhang.value = 0;
        let loads = take_down(&assembly, &nobody, &stage);
        let pulls = &judge_stage(&assembly, &nobody, &stage, &loads).tipping[0];
        near(pulls.hold_down_to_balance / LB, balance, 0.51);
        near(pulls.hold_down / LB, required, 0.51);
        // The same with the worker the pack puts at the tip.
        let bare = only(&ledger(back * FT, over * FT, weight * PLF, HOOKED));
        if (tip - 250.0).abs() < 1e-9 {
            near(bare.factor_one_worker, factor, 0.0006);
        }
    }
}

#[test]
fn two_workers_stand_eighteen_inches_apart() {
    let found = only(&ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED));
    // 250 lb at 3 ft and at 3 ft − 0.46 m; the ledger's own overhang 45 lb ft.
    let second = 3.0 - 0.46 / FT;
    let turning = 45.0 + 250.0 * (3.0 + second);
    near(found.overturning, turning * LB * FT, 1e-6);
    near(found.factor, 320.0 / turning, 1e-9);
    near(found.factor_unheld, found.factor, 1e-12);
    near(found.hold_down, (1.5 * turning - 320.0) / 8.0 * LB, 1e-6);
    near(found.hold_down_to_balance, (turning - 320.0) / 8.0 * LB, 1e-6);
    // On a foot and a half there is room for one.
    let short = only(&ledger(10.0 * FT, 1.5 * FT, 12.0 * PLF, HOOKED));
    near(short.factor, 1.544, 0.0006);
    near(short.factor, short.factor_one_worker, 1e-12);
}

#[test]
fn concrete_on_the_overhang_first_tips_and_back_span_first_does_not() {
    // 600 plf on a 3 ft overhang, self-weight 10 plf, back span 8 ft: 2745 against 320 lb ft.
    let concrete = |over: f64, back: f64| {
        let mut site = ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED);
        for (name, at, length, load) in [("over", 9.5, 3.0, over), ("back", 4.0, 8.0, back)] {
            site.loads.push(LoadText {
                name: name.into(),
                kind: LoadKind::Concrete,
                on: LoadPlace::Point {
                    member: "l".into(),
                    at: Length(at * FT),
                    weight: Force(load * length * LB),
                },
                stack: None,
            });
        }
        only(&site).factor_empty
    };
    near(concrete(600.0, 0.0), 320.0 / 2745.0, 1e-9);
    near(concrete(600.0, 0.0), 0.117, 0.0005);
    // (10 + 600) · 8² / 2 over 45.
    near(concrete(0.0, 600.0), 610.0 * 32.0 / 45.0, 1e-6);
}

#[test]
fn a_line_load_is_cut_at_the_support() {
    // 600 plf along the whole ledger: balance as for uniform weight.
    let mut site = ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED);
    site.loads.push(LoadText {
        name: "all".into(),
        kind: LoadKind::Concrete,
        on: LoadPlace::Line { member: "l".into(), load: LineLoad(600.0 * PLF) },
        stack: None,
    });
    near(only(&site).factor_empty, 64.0 / 9.0, 1e-9);
}

/// Table row 1 with a clip of a given strength at the back post, and posts that hold together.
fn clipped(strength: f64, joined: bool, at: &str) -> Site {
    let mut site = ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED);
    site.member("clip", Role::Clip, [0.0, 0.0, 3.0], [0.0, 0.0, 3.0], 0.0);
    let station = if at == "A1" { 0.0 } else { 8.0 * FT };
    let passes = holding(strength);
    site.joint(JointKind::Clip, "l", station, Some((at, 3.0)), passes, JointState::Locked);
    site.with_clip("clip");
    let text = format!(
        r#"(mass: "20 kg", reach: ("2 m", "4 m"), outer: {s}, outer_length: "2 m", inner: {s},
        overlap: "0.3 m", base_plate: "0.15 m", head: (kind: drop_head, width: "0.1 m", locked: ()),
        brace_low: "0.2 m", brace_high: "0.2 m", joined_in_tension: {joined},
        capacity: (basis: safe_working_load, rows: [("4 m", "20 kN")]))"#,
        s = r#"(outside: "60 mm", area: "6 cm2", i: "20 cm4", e: "200 GPa", fy: "240 MPa")"#
    );
    site.library.posts.insert("post".into(), ron::from_str(&text).unwrap());
    site
}

#[test]
fn a_clip_behind_holds_as_much_as_keeps_its_post_down() {
    let bare = only(&ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED));
    assert!(bare.factor < 1.0 && bare.clip.is_none());
    // The post weighs 200 N and nothing else bears on it: that is all a strong clip is worth.
    let light = only(&clipped(5000.0, true, "A1"));
    assert!(light.clip.is_some() && light.joined_in_tension);
    near(light.held_by, 200.0, 1e-9);
    near(light.factor, bare.factor + 200.0 * 8.0 * FT / bare.overturning, 1e-9);
    // Tubes that are not joined leave the post's weight on the ground.
    let loose = only(&clipped(5000.0, false, "A1"));
    assert!(!loose.joined_in_tension);
    near(loose.held_by, 0.0, 1e-9);
    near(loose.factor, bare.factor, 1e-12);
    // A clip that is weaker than the post.
    near(only(&clipped(150.0, true, "A1")).held_by, 150.0, 1e-9);
}

#[test]
fn what_else_bears_on_the_post_counts_and_needs_no_joined_tubes() {
    let mut site = clipped(5000.0, false, "A1");
    site.post("A2", 0.0, 2.0);
    let other = site.ledger("A1", "A2");
    site.loads.push(LoadText {
        name: "pack".into(),
        kind: LoadKind::Bundle,
        on: LoadPlace::Point { member: other, at: Length(0.0), weight: Force(3950.0) },
        stack: None,
    });
    let found = only(&site);
    near(found.post_weight, 4000.0, 1e-9);
    near(found.held_by, 4000.0, 1e-9);
    assert!(found.joined_in_tension, "the head stays pressed down");
    assert!(found.factor > found.required, "{}", found.factor);
    // Workers on that ledger may walk off: they do not count.
    let last = site.loads.len() - 1;
    site.loads[last].kind = LoadKind::Workers;
    near(only(&site).held_by, 50.0, 1e-9);
}

#[test]
fn a_clip_where_it_turns_has_no_lever() {
    let bare = only(&ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED));
    let found = only(&clipped(5000.0, true, "B1"));
    near(found.factor, bare.factor, 1e-12);
    assert!(found.clip.is_none());
    assert!(found.working.iter().any(|w| w.contains("no lever")));
}

#[test]
fn an_open_clip_holds_nothing() {
    let mut site = clipped(5000.0, true, "A1");
    let bare = only(&ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED)).factor;
    assert!(only(&site).factor > bare);
    site.set_clip("clip", JointState::Open);
    near(only(&site).factor, bare, 1e-12);
}

#[test]
fn a_locked_head_behind_holds_what_it_says() {
    let mut site = ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, holding(120.0));
    site.library = clipped(0.0, true, "A1").library;
    let found = only(&site);
    near(found.held_by, 120.0, 1e-9);
    assert!(found.clip.is_none());
}

#[test]
fn a_prop_under_the_tip_cures_it() {
    let mut site = ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED);
    let tip = 11.0 * FT;
    site.member("p", Role::Prop, [tip, 0.0, 0.0], [tip, 0.0, 3.0], 100.0);
    site.joint(JointKind::Ground, "p", 0.0, None, BEARING, JointState::Hung);
    site.joint(JointKind::Head, "l", tip, Some(("p", 3.0)), BEARING, JointState::Hung);
    let (_, found) = judged(&site);
    assert!(found.tipping.is_empty() && found.unknown.is_empty());
    site.state("p", MemberState::Absent).set_joint("l", "p", JointState::Open);
    assert_eq!(judged(&site).1.tipping.len(), 1);
}

#[test]
fn only_what_is_there_and_rests_behind_keeps_it_down() {
    let mut site = ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED);
    site.post("A2", 0.0, 2.0).post("B2", 8.0 * FT, 2.0);
    let other = site.ledger("A2", "B2");
    site.member("f", Role::Filler, [4.0 * FT, 0.0, 3.0], [4.0 * FT, 2.0, 3.0], 100.0 * LB);
    site.joint(JointKind::Rest, "f", 0.0, Some(("l", 4.0 * FT)), BEARING, JointState::Hung);
    site.joint(JointKind::Rest, "f", 2.0, Some((&other, 4.0 * FT)), BEARING, JointState::Hung);
    // Half of it, 50 lb at 4 ft behind.
    near(only(&site).stabilising, (320.0 + 200.0) * LB * FT, 1e-6);
    site.state("f", MemberState::Absent);
    near(only(&site).stabilising, 320.0 * LB * FT, 1e-6);
}

#[test]
fn a_ledger_in_hand_is_not_judged_and_one_on_a_single_post_tips() {
    let mut site = ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED);
    site.state("l", MemberState::Held(2));
    assert!(judged(&site).1.tipping.is_empty());
    let mut site = ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED);
    site.set_joint("l", "A1", JointState::Open);
    // On B1 alone the 8 ft on the other side go down.
    let found = only(&site);
    near(found.overhang, 8.0 * FT, 1e-9);
    near(found.factor_empty, 45.0 / 320.0, 1e-9);
    assert!(found.hold_down.is_infinite());
}

#[test]
fn unknown_weight_is_unknown() {
    let mut site = ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED);
    site.edit("l", |m| m.weight = f64::NAN);
    let (assembly, found) = judged(&site);
    assert!(found.tipping.is_empty());
    assert_eq!(found.unknown[0].0, assembly.find("l").unwrap());
    // Or a joint that is missing.
    let mut site = ledger(8.0 * FT, 3.0 * FT, 10.0 * PLF, HOOKED);
    site.set_joint("l", "A1", JointState::Open).set_joint("l", "B1", JointState::Open);
    assert_eq!(judged(&site).1.unknown.len(), 1);
}

#[test]
fn a_sheet_past_its_last_joist() {
    // 2 m sheet, 0.3 m past the second of two joists 1.7 m apart, 200 N.
    let mut site = Site::default();
    for (name, x, y) in [("A1", 0.0, 0.0), ("B1", 1.7, 0.0), ("A2", 0.0, 2.0), ("B2", 1.7, 2.0)] {
        site.post(name, x, y);
    }
    let joists = [site.beam(Role::Joist, "A1", "A2"), site.beam(Role::Joist, "B1", "B2")];
    site.member("sheet", Role::Sheet, [0.0, 0.0, 3.0], [2.0, 1.0, 3.0], 200.0);
    for joist in &joists {
        site.joint(JointKind::Rest, "sheet", 0.0, Some((joist, 0.5)), BEARING, JointState::Hung);
    }
    let found = only(&site);
    near(found.overhang, 0.3, 1e-9);
    near(found.back_span, 1.7, 1e-9);
    // 100 N/m: 100 · 1.7² / 2 against 100 · 0.3² / 2 + 250 lb · 0.3 m.
    near(found.factor_one_worker, 144.5 / (4.5 + 250.0 * LB * 0.3), 1e-9);
    near(found.factor_empty, 144.5 / 4.5, 1e-9);
    // Ending at the joist, or a finger's breadth past it, it is no step.
    site.edit("sheet", |m| m.ends[1].x = 1.74);
    assert!(judged(&site).1.tipping.is_empty());
}
