//! Overhangs as rigid bodies on one-way contacts, against see-saws and towers worked by hand.
//!
//! Source: moments about the turning support, FS = (wL²/2) / (wa²/2 + Pa) (any textbook of statics),
//! and about the outer plates of a tower, worked beside each case.

use super::pieces::{FT, last, near};
use super::plain::TABLE;
use crate::loads::fixture::{LB, PLF};
use standwell::assembly::model::{Point, Vector};
use standwell::equilibrium::pieces::statics::{Blocks, Contact, Cut, Growth, Sideways, growth};
use standwell::equilibrium::tipping_factor;
use standwell::loads::head_facing;

const UP: Vector = Vector::new(0.0, 0.0, 1.0);
const POST: f64 = 2.4;

fn down(force: f64) -> Vector {
    Vector::new(0.0, 0.0, -force)
}

fn seat(body: usize, on: Option<usize>, x: f64, uplift: f64) -> Contact {
    Contact {
        body,
        on,
        at: Point::new(x, 0.0, POST),
        normal: UP,
        sideways: Sideways::Fixed,
        plate: 0.0,
        uplift,
    }
}

/// A beam over a back span with an overhang, on two seats that stay where they are; the back one
/// passes a pull. Its uniform weight, and what stands on it: place from the back seat and newtons.
/// What lies past the second seat grows.
fn beam(back: f64, over: f64, weight: f64, on_it: &[(f64, f64)], pull: f64) -> Blocks {
    let mut blocks = Blocks {
        bodies: vec![Point::new(0.0, 0.0, POST)],
        contacts: vec![seat(0, None, 0.0, pull), seat(0, None, back, 0.0)],
        plane: Some([1.0, 0.0]),
        ..Blocks::default()
    };
    let loads = [(0.5 * back, weight * back), (back + 0.5 * over, weight * over)];
    for &(x, force) in loads.iter().chain(on_it) {
        let list = if x > back { &mut blocks.live } else { &mut blocks.dead };
        list.push((0, Point::new(x, 0.0, POST), down(force)));
    }
    blocks
}

/// The same beam with its back seat on a post that merely stands on the ground: the post's weight,
/// half at its foot and half at its head, what else bears on its head, and whether its parts hold
/// together when pulled.
fn on_post(mut blocks: Blocks, weight: f64, bearing: f64, joined: bool) -> Blocks {
    blocks.bodies.push(Point::new(0.0, 0.0, 0.0));
    blocks.contacts[0].on = Some(1);
    blocks.contacts.push(Contact {
        body: 1,
        on: None,
        at: Point::origin(),
        normal: UP,
        sideways: Sideways::Friction(0.3),
        plate: 0.07,
        uplift: 0.0,
    });
    let head = Point::new(0.0, 0.0, POST);
    blocks.dead.push((1, head, down(bearing)));
    if joined {
        blocks.dead.push((1, head, down(0.5 * weight)));
        blocks.dead.push((1, Point::origin(), down(0.5 * weight)));
    } else {
        // All of its weight is below the joint that comes apart.
        blocks.dead.push((1, Point::origin(), down(weight)));
        blocks.cuts.push(Cut { body: 1, level: 1.2 });
    }
    blocks
}

fn factor(blocks: &Blocks) -> f64 {
    growth(blocks).unwrap().factor()
}

#[test]
fn the_table_of_see_saws_as_programs() {
    for ([back, over, weight, tip], by_hand, _, pull) in TABLE {
        let (back, over, weight, tip) = (back * FT, over * FT, weight * PLF, tip * LB);
        let at_tip = [(back + over, tip)];
        let found = factor(&beam(back, over, weight, &at_tip, 0.0));
        assert!((found - by_hand).abs() < 0.0006, "{found} is not {by_hand}");
        near(found, tipping_factor(back, over, weight, tip));
        // With the pull that the table gives for 1.5, rounded to whole pounds.
        if pull > 0.0 {
            let held = factor(&beam(back, over, weight, &at_tip, pull * LB));
            assert!((held - 1.5).abs() < 0.01, "{held}");
        }
    }
}

#[test]
fn a_loaded_overhang_with_an_empty_back_span() {
    // 600 plf on 3 ft, 10 plf of its own, 8 ft behind: 320 against 2745 lb ft.
    let (back, over) = (8.0 * FT, 3.0 * FT);
    let first = beam(back, over, 10.0 * PLF, &[(9.5 * FT, 1800.0 * LB)], 0.0);
    near(factor(&first), 320.0 / 2745.0);
    // The back span first: 610 · 8²/2 against 45.
    let behind = beam(back, over, 10.0 * PLF, &[(4.0 * FT, 4800.0 * LB)], 0.0);
    near(factor(&behind), 610.0 * 32.0 / 45.0);
    // Both: 610 · 32 against 2745.
    let both =
        beam(back, over, 10.0 * PLF, &[(4.0 * FT, 4800.0 * LB), (9.5 * FT, 1800.0 * LB)], 0.0);
    near(factor(&both), 610.0 * 32.0 / 2745.0);
}

#[test]
fn a_cantilever_ledger_before_and_after_its_joists_are_laid() {
    // 2 m behind, 0.8 m over, 110 N/m, one person of 1112 N at the tip; the clip passes 5 kN. The back
    // post's parts merely sit in one another: only what bears on its head is kept down.
    let (back, over, weight, tip) = (2.0, 0.8, 110.0, 1112.0);
    let turning = weight * over * over / 2.0 + tip * over;
    let own = weight * back * back / 2.0;
    let with = |joists: f64| {
        let ledger = beam(back, over, weight, &[(back + over, tip)], 5000.0);
        factor(&on_post(ledger, 200.0, joists, false))
    };
    let before = with(0.0);
    near(before, own / turning);
    assert!(before < 1.0);
    // Two joists of 16 kg and what they carry bring 700 N: with them it has more than the 1.5 due.
    let after = with(700.0);
    near(after, (own + 700.0 * back) / turning);
    assert!(after > 1.5);
}

#[test]
fn a_clip_on_a_light_post() {
    let (back, over, weight, tip) = (2.0, 0.6, 110.0, 1112.0);
    let turning = weight * over * over / 2.0 + tip * over;
    let own = weight * back * back / 2.0;
    let on = |clip: f64, post: f64, joined: bool| {
        let ledger = beam(back, over, weight, &[(back + over, tip)], clip);
        factor(&on_post(ledger, post, 0.0, joined))
    };
    // A post of 20 kg that holds together hangs on the clip: 196 N · 2 m more.
    near(on(5000.0, 196.0, true), (own + 196.0 * back) / turning);
    assert!(on(5000.0, 196.0, true) < 1.0);
    // Its parts not joined, it adds nothing, whatever the clip.
    near(on(5000.0, 196.0, false), own / turning);
    // A heavy one: now the clip decides.
    near(on(500.0, 2000.0, true), (own + 500.0 * back) / turning);
    assert!(on(500.0, 2000.0, true) > 1.5);
}

#[test]
fn a_stack_of_sheets_at_the_edge() {
    // A sheet of 1.8 m on joists at 0 and 1.3 m, 200 N; a stack of 2 kN, 0.6 m wide.
    let stack = |middle: f64| {
        let mut blocks = beam(1.3, 0.0, 0.0, &[], 0.0);
        blocks.dead.push((0, Point::new(0.9, 0.0, POST), down(200.0)));
        blocks.live.clear();
        blocks.live.push((0, Point::new(middle, 0.0, POST), down(2000.0)));
        growth(&blocks).unwrap()
    };
    // Its middle 0.1 m past the last joist: 200 · 0.4 against 2000 · 0.1.
    near(stack(1.4).factor(), 80.0 / 200.0);
    // Over the joist and behind it nothing turns, however high it is stacked.
    assert_eq!(stack(1.2), Growth::Free);
}

/// A braced tower of four posts, 6 ft square and 9 ft high, ledgers 2 ft past line B, clipped.
fn tower(criteria: &str) -> String {
    format!(
        r#"(format: 1, title: "t", equipment: ["sample"], criteria: "{criteria}", crew: (size: 5),
        floors: [(name: "f", level: "0 m", kind: Slab)], wind: (working: "14 m/s"),
        blocks: [(name: "main", x: (lines: "A B", every: "6 ft"), y: (lines: "1 2", every: "6 ft"),
            stands_on: "f", head: "9 ft", post: "post-10-open", ledger: ["ledger-6"], joist: ["joist-6"],
            overhangs: [(along: "B", by: "2 ft", clip: "clip")],
            brace: "brace", brace_every: 1, plan_braced: ["A1-B2"])])"#
    )
}

#[test]
fn a_tower_with_people_on_its_overhang_goes_about_its_outer_plates() {
    for (criteria, lean, [holding, turning, due]) in [
        ("us", 1.5_f64.to_radians().tan(), [1.0, 1.0, 1.5]),
        // EN 1990 Table A1.2(A): 0.9, 1.1, and 1.5 on what comes and goes.
        ("eu", 0.01_f64.tan(), [0.9, 1.1 / 1.5, 1.5]),
    ] {
        let (loaded, assembly, stage, judged) = last(&tower(criteria));
        assert!(judged.mechanics.mechanisms.is_empty());
        let found = &judged.equilibrium.overhangs;
        assert!(found.unknown.is_empty(), "{:?}", found.unknown);
        let [found] = &found.all[..] else { panic!("{:?}", found.all) };
        // Half of a 6 in plate, less the lean that is allowed over 9 ft.
        let plate = 0.0762 - 9.0 * FT * lean;
        let edge = 6.0 * FT + plate;
        // All that stands there, by what each foot has of it.
        let mut standing = 0.0;
        let mut push = 0.0;
        for post in assembly.members.iter().filter(|m| m.is_post()) {
            standing += judged.loads.at_foot[post.id.index()] * (edge - post.ends[0].x);
            let facing = head_facing(&assembly, &loaded.pack, &stage, &judged.loads, post.id);
            push += facing.along([1.0, 0.0]);
        }
        // Past the supports: 2 ft of each ledger, 1 ft out; people on one of them.
        let mut over = 0.0;
        for tipping in &judged.equilibrium.tipping {
            let ledger = assembly.member(tipping.member);
            over += ledger.weight * 2.0 * FT / ledger.length() * (1.0 * FT - plate);
        }
        let peopled =
            judged.equilibrium.tipping.iter().find(|t| t.member == found.peopled).unwrap();
        let people: f64 = peopled.people.iter().map(|(arm, force)| force * (arm - plate)).sum();
        let holds = holding * (standing + over);
        near(found.way.factor, holds / (turning * over + people + push * 9.0 * FT));
        assert!((found.way.required - due).abs() < 1e-12);
        assert_eq!(found.way.partial.is_some(), criteria == "eu");
    }
}
