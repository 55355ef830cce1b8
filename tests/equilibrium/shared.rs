//! Overhangs that are held down by the same post.
//!
//! Source: moments about the outer supports and balance of the post, worked by hand.

use crate::loads::fixture::{HOOKED, LB, Site, holding, pack};
use standwell::assembly::{JointKind, Role};
use standwell::equilibrium::{StageEquilibrium, judge_stage};
use standwell::loads::take_down;
use standwell::sequence::JointState;

const WORKER: f64 = 250.0 * LB;

/// Posts A, B, C 2 m apart; ledgers A–B and B–C run 0.5 m past A and past C. Both are clipped to B,
/// which weighs 200 N, holds together, and carries `more` beside them.
fn site(more: f64, clips: [f64; 2]) -> Site {
    let mut site = Site::default();
    site.post("A", 0.0, 0.0).post("B", 2.0, 0.0).post("C", 4.0, 0.0);
    for (name, from, to, out, strength) in
        [("l", -0.5, 2.0, "A", clips[0]), ("r", 2.0, 4.5, "C", clips[1])]
    {
        site.member(name, Role::Ledger, [from, 0.0, 3.0], [to, 0.0, 3.0], 250.0);
        let mut at: [(&str, f64); 2] =
            [(out, if out == "A" { 0.5 } else { 2.0 }), ("B", if out == "A" { 2.5 } else { 0.0 })];
        at.sort_by(|a, b| a.1.total_cmp(&b.1));
        for (post, at) in at {
            site.joint(JointKind::Head, name, at, Some((post, 3.0)), HOOKED, JointState::Locked);
        }
        if strength > 0.0 {
            let clip = format!("clip.{name}");
            site.member(&clip, Role::Clip, [2.0, 0.0, 3.0], [2.0, 0.0, 3.0], 0.0);
            let station = if out == "A" { 2.5 } else { 0.0 };
            let passes = holding(strength);
            site.joint(
                JointKind::Clip,
                name,
                station,
                Some(("B", 3.0)),
                passes,
                JointState::Locked,
            );
            site.with_clip(&clip);
        }
    }
    if more > 0.0 {
        site.member("j", Role::Joist, [2.0, -1.0, 3.0], [2.0, 1.0, 3.0], more);
        site.joint(JointKind::Head, "j", 1.0, Some(("B", 3.0)), HOOKED, JointState::Locked);
    }
    let section = r#"(outside: "60 mm", area: "6 cm2", i: "20 cm4", e: "200 GPa", fy: "240 MPa")"#;
    let text = format!(
        r#"(mass: "20 kg", reach: ("2 m", "4 m"), outer: {section}, outer_length: "2 m", inner: {section},
        overlap: "0.3 m", base_plate: "0.15 m", head: (kind: drop_head, width: "0.1 m", locked: ()),
        brace_low: "0.2 m", brace_high: "0.2 m", joined_in_tension: true,
        capacity: (basis: safe_working_load, rows: [("4 m", "20 kN")]))"#
    );
    site.library.posts.insert("post".into(), ron::from_str(&text).unwrap());
    site
}

fn judged(site: &Site) -> StageEquilibrium {
    let (assembly, stage) = site.build();
    let pack = pack();
    let loads = take_down(&assembly, &pack, &stage);
    judge_stage(&assembly, &pack, &stage, &loads)
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-5 * b, "{a} is not {b}");
}

#[test]
fn the_post_between_is_spent_once() {
    // 100 N/m: 100 · 0.5²/2 turn each, 100 · 2²/2 hold it. One worker at a tip adds 0.5 m of him,
    // the second has 0.04 m left.
    let (own, back) = (12.5, 200.0);
    let people = WORKER * (0.5 + 0.04);
    for more in [0.0, 300.0] {
        let found = judged(&site(more, [5000.0; 2]));
        assert_eq!(found.shared.len(), 1);
        let shared = &found.shared[0];
        // Nobody: alike, each half. With people on one, that one may pull with all of it, until the
        // other needs its part: λ (own + people) = back + T·2, λ·own ≤ back.
        let kept = 200.0 + more;
        let expected = (back + kept * 2.0) / (own + people);
        assert!(expected * own < back, "the other needs none of it in this case");
        near(shared.factor, expected);
        assert!(shared.peopled.is_some());
        // Each alone counts on the other's weight too: 250 · 0.75 / 2 of it bears on B.
        let of_both = found.tipping.iter().filter(|t| shared.beams.contains(&t.member));
        let alone = of_both.map(|t| t.factor).fold(f64::INFINITY, f64::min);
        near(alone, (back + (kept + 93.75) * 2.0) / (own + people));
    }
}

#[test]
fn the_motion_lifts_the_post_and_drops_the_tip() {
    let (assembly, _) = site(0.0, [5000.0; 2]).build();
    let found = judged(&site(0.0, [5000.0; 2]));
    let shared = &found.shared[0];
    assert_eq!(shared.lifted, vec![assembly.find("B").unwrap()]);
    let moves = |name: &str| shared.motion.members.iter().find(|m| m.name == name).unwrap();
    assert!(moves("B").first_end[2] > 0.0);
    let peopled = assembly.name(shared.peopled.unwrap());
    let (tip, back) = if peopled == "l" {
        (moves(peopled).first_end[2], moves(peopled).second_end[2])
    } else {
        (moves(peopled).second_end[2], moves(peopled).first_end[2])
    };
    // It turns about the post at 2 m from one end and 0.5 m from the other.
    assert!(tip < 0.0 && back > 0.0);
    near(-back / tip, 4.0);
    near(back, moves("B").first_end[2]);
}

#[test]
fn overhangs_that_share_no_hold_down_are_left_to_themselves() {
    assert!(judged(&site(0.0, [5000.0, 0.0])).shared.is_empty());
    assert!(judged(&site(0.0, [0.0; 2])).shared.is_empty());
}

#[test]
fn a_weak_clip_governs() {
    // 50 N each: less than the post keeps down.
    let found = judged(&site(300.0, [50.0; 2]));
    near(found.shared[0].factor, (200.0 + 50.0 * 2.0) / (12.5 + WORKER * 0.54));
}
