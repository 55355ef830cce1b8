//! Feet that only bear and braces that only pull, against statics by hand.

use standwell::assembly::model::Point;
use standwell::mechanics::active_set;
use standwell::mechanics::answers::Unknown;
use standwell::mechanics::collapse::{Collapse, Held, Limit};
use standwell::mechanics::frame::{ElementForm, Frame, FrameMember, LoadCase, Support};
use standwell::mechanics::one_way::OneWay;

use super::frames::{at_heads, foot, tower_with_skirt, tube};

fn feet(friction: f64) -> Vec<OneWay> {
    (0..4).map(|node| OneWay::Bears { node, friction }).collect()
}

fn push_at(node: usize, force: [f64; 3]) -> LoadCase {
    LoadCase { nodal: vec![(node, [force[0], force[1], force[2], 0.0, 0.0, 0.0])], uniform: vec![] }
}

fn factor(answer: &Collapse) -> f64 {
    match answer {
        Collapse::At { factor, .. } => *factor,
        other => panic!("{other:?}"),
    }
}

/// A rigid tower tips about two feet where H·h = W·b/2.
#[test]
fn a_tower_tips_about_its_feet() {
    let (b, d, h) = (1.2, 1.8, 3.0);
    let frame = tower_with_skirt(b, d, h);
    let limit = Limit::new(&frame, &feet(0.9)).unwrap();
    assert_eq!(limit.freedom(), 6);
    let dead = at_heads([0.0, 0.0, -250.0]);
    for (push, arm) in [([1.0, 0.0, 0.0], b), ([-1.0, 0.0, 0.0], b), ([0.0, 1.0, 0.0], d)] {
        let four = limit.collapse(&dead, &at_heads(push)).unwrap();
        let expected = 1000.0 * arm / 2.0 / h / 4.0;
        println!("push {push:?}: expected {expected} computed {}", factor(&four));
        assert!((factor(&four) - expected).abs() < 1e-5 * expected);
        let Collapse::At { motion, .. } = four else { panic!() };
        // The heads go with the push, two feet lift.
        let along = |n: usize| (0..3).map(|a| push[a] * motion[n][a]).sum::<f64>();
        assert!((4..8).all(|n| along(n) > 0.1));
        assert_eq!((0..4).filter(|n| motion[*n][2] > 0.1).count(), 2);
    }
}

/// With little friction it slides at about μW: at most, and 2 % below with a polygon of 16 sides.
#[test]
fn a_tower_slides_where_friction_is_low() {
    let frame = tower_with_skirt(1.2, 1.8, 3.0);
    let limit = Limit::new(&frame, &feet(0.1)).unwrap();
    let dead = at_heads([0.0, 0.0, -250.0]);
    for turn in 0..8 {
        let angle = 0.3 + f64::from(turn);
        let push = at_heads([angle.cos() / 4.0, angle.sin() / 4.0, 0.0]);
        let computed = factor(&limit.collapse(&dead, &push).unwrap());
        println!("slides at {computed}, μW = 100");
        assert!(computed <= 100.0 * (1.0 + 1e-6) && computed > 97.9);
    }
}

#[test]
fn what_cannot_stand_alone_has_no_push() {
    // A load on an arm outside the feet.
    let mut frame = tower_with_skirt(1.2, 1.8, 3.0);
    frame.nodes.push(Point::new(4.0, 0.9, 3.0));
    for n in [5, 6, 1, 2] {
        frame.members.push(FrameMember::bar(n, 8, 0));
    }
    let limit = Limit::new(&frame, &feet(0.5)).unwrap();
    let mut dead = at_heads([0.0, 0.0, -250.0]);
    let light = limit.collapse(&dead, &push_at(8, [0.0, 0.0, -1.0])).unwrap();
    // Tips about the feet at x = 1.2: W·0.6 = P·2.8.
    assert!((factor(&light) - 1000.0 * 0.6 / 2.8).abs() < 1e-3);
    dead.nodal.push((8, [0.0, 0.0, -300.0, 0.0, 0.0, 0.0]));
    let heavy = limit.collapse(&dead, &push_at(4, [1.0, 0.0, 0.0])).unwrap();
    let Collapse::Already { motion } = heavy else { panic!("{heavy:?}") };
    assert!(motion[8][2] < -0.5);
}

#[test]
fn a_push_straight_down_never_topples() {
    let frame = tower_with_skirt(1.2, 1.8, 3.0);
    let limit = Limit::new(&frame, &feet(0.5)).unwrap();
    let dead = at_heads([0.0, 0.0, -250.0]);
    let answer = limit.collapse(&dead, &at_heads([0.0, 0.0, -1.0])).unwrap();
    assert_eq!(answer, Collapse::Never);
    // Held by two-way supports it stands any push.
    let fixed = Limit::new(&frame, &[]).unwrap();
    assert_eq!(fixed.collapse(&dead, &at_heads([1.0, 0.0, 0.0])).unwrap(), Collapse::Never);
    assert_eq!(fixed.held().unwrap(), Held::Yes);
}

#[test]
fn a_free_mechanism_falls_at_no_push() {
    let mut frame = tower_with_skirt(1.2, 1.8, 3.0);
    frame.members.retain(|m| (m.i < 4) == (m.j < 4) || m.j == m.i + 4);
    let limit = Limit::new(&frame, &feet(0.5)).unwrap();
    let dead = at_heads([0.0, 0.0, -250.0]);
    let answer = limit.collapse(&dead, &at_heads([1.0, 0.0, 0.0])).unwrap();
    assert!(factor(&answer).abs() < 1e-6);
}

/// Two hinged posts and a ledger, with crossed diagonals; unit panel 4 × 3.
fn panel() -> Frame {
    let mut frame = Frame { sections: vec![tube()], ..Frame::default() };
    for (x, z) in [(0.0, 0.0), (4.0, 0.0), (0.0, 3.0), (4.0, 3.0)] {
        let node = frame.nodes.len();
        frame.nodes.push(Point::new(x, 0.0, z));
        let fixed = if z == 0.0 { [true; 6] } else { [false, true, false, true, true, true] };
        frame.supports.push(Support { node, fixed });
    }
    for (i, j) in [(0, 2), (1, 3), (2, 3), (0, 3), (1, 2)] {
        frame.members.push(FrameMember::bar(i, j, 0));
    }
    frame
}

/// The diagonal that would be pressed rests; the other carries H/cos.
#[test]
fn crossed_braces_that_only_pull() {
    let frame = panel();
    let parts = [OneWay::Pulls { member: 3 }, OneWay::Pulls { member: 4 }];
    for (push, taut) in [(800.0, 3), (-800.0, 4)] {
        let case = push_at(2, [push, 0.0, 0.0]);
        let settled = active_set::solve(&frame, ElementForm::Exact, &[], &parts, &case).unwrap();
        let n = &settled.solution.axial;
        println!("push {push}: forces {n:?} in {} rounds", settled.rounds);
        assert!((n[taut] - 1000.0).abs() < 1e-6, "{}", n[taut]);
        assert_eq!(n[7 - taut], 0.0);
        assert!(settled.solution.residual < 1e-9);
    }
    // One brace that only pulls, pushed the wrong way: what is left is a mechanism.
    let case = push_at(2, [-800.0, 0.0, 0.0]);
    let mut one = frame.clone();
    one.members.truncate(4);
    let answer = active_set::solve(&one, ElementForm::Exact, &[], &parts[..1], &case);
    assert!(matches!(answer, Err(Unknown::Singular { .. })), "{answer:?}");
}

/// The windward feet lift where the push is more than they can hold down.
#[test]
fn feet_lift_and_the_rest_still_balances() {
    // A tower with a wing that has weight: the wing's feet stay, the first two lift.
    let mut frame = tower_with_skirt(1.2, 1.8, 3.0);
    for y in [0.0, 1.8] {
        frame.nodes.push(Point::new(2.4, y, 0.0));
        frame.nodes.push(Point::new(2.4, y, 3.0));
    }
    for (i, j) in [(8, 9), (10, 11), (9, 11), (5, 9), (6, 11), (1, 9), (2, 11), (8, 11)] {
        frame.members.push(FrameMember::bar(i, j, 0));
    }
    frame.members.push(FrameMember::bar(5, 11, 0));
    frame.supports.extend([foot(8), foot(10)]);
    let mut parts = feet(0.5);
    parts.extend([8, 10].map(|node| OneWay::Bears { node, friction: 0.5 }));
    let mut case = at_heads([60.0, 0.0, -100.0]);
    for head in [9, 11] {
        case.nodal.push((head, [0.0, 0.0, -800.0, 0.0, 0.0, 0.0]));
    }
    let settled = active_set::solve(&frame, ElementForm::Exact, &[], &parts, &case).unwrap();
    println!(
        "acting {:?} in {} rounds, sliding {:?}",
        settled.acting, settled.rounds, settled.sliding
    );
    assert!(settled.acting.iter().any(|a| !a));
    for (part, acts) in parts.iter().zip(&settled.acting) {
        let OneWay::Bears { node, .. } = *part else { continue };
        let up = settled.solution.reactions.iter().find(|r| r.0 == node).map_or(0.0, |r| r.1[2]);
        if *acts {
            assert!(up > -1e-6, "foot {node} pulls: {up}");
        } else {
            assert!(up == 0.0 && settled.solution.displacement[node][2] > -1e-12);
        }
    }
    let up: f64 = settled.solution.reactions.iter().map(|r| r.1[2]).sum();
    assert!((up - 2000.0).abs() < 1e-6 * 2000.0);
    // A foot that lifts is asked for a horizontal force by the brace that meets it, and has none
    // to give: this balance is not one, and says so.
    assert!(!settled.sliding.is_empty());
}
