//! Members whose axes miss their nodes. The secant formula: Timoshenko and Gere, *Theory of Elastic
//! Stability*, 2nd ed., sec. 1.12 (eccentrically loaded column; section number from memory). Two rigid
//! links on a spring: equilibrium of the links turned a little, by hand.
//!
//! ```text
//!     |P                          |P
//!     2--|   arm e                2 held sideways
//!        |                        |  bar of length l
//!        |1  middle: e(sec u − 1)    |  the bar's lower end, h above the node:
//!        |   u = (L/2)·√(P/EI)       |  an arm along the bar
//!     0--|   arm e                0 pin with rotational spring c
//!     ^                              P = c·l / (h·(h + l))
//! ```

use standwell::assembly::model::Vector;
use standwell::mechanics::frame::{ElementForm, FrameError, FrameMember};
use standwell::mechanics::mechanisms;
use standwell::mechanics::model::Model;
use standwell::mechanics::one_way::OneWay;

use super::frame_files::compare;
use super::planar::{FIX, FREE, GUIDE, PIN, Planar};

const EI: f64 = 300.0;

/// A column of two elements with its ends at arms `e` from the line of the load.
fn off_axis(e: f64, load: f64, length: f64) -> (Planar, usize) {
    let mut p = Planar::default();
    let post = p.section(1e7, EI);
    let (foot, head) = (p.node(0.0, 0.0, PIN), p.node(0.0, length, GUIDE));
    let middle = p.node(e, length / 2.0, FREE);
    let (arm, none) = (Vector::new(e, 0.0, 0.0), Vector::zeros());
    let lower = FrameMember::beam(foot, middle, post, -Vector::y()).off(arm, none);
    let upper = FrameMember::beam(middle, head, post, -Vector::y()).off(none, arm);
    p.frame.members.extend([lower, upper]);
    p.force(head, 0.0, -load);
    (p, middle)
}

#[test]
fn secant_formula() {
    let (length, e) = (3.0, 0.025);
    let euler = std::f64::consts::PI.powi(2) * EI / (length * length);
    for share in [0.1, 0.5, 0.9] {
        let load = share * euler;
        let (p, middle) = off_axis(e, load, length);
        let model = Model::new(&p.frame, ElementForm::Exact, &[]).unwrap();
        let first = model.factor().unwrap().solve(&p.load).unwrap();
        compare("force in the column", first.axial[0], -load, 1e-6);
        let straight = load * e * length * length / (8.0 * EI);
        compare("first order, P·e·L²/8EI", first.displacement[middle][0], straight, 1e-6);
        let second = model.second_order(&p.load, &first.axial, 1.0).unwrap();
        let u = length / 2.0 * (load / EI).sqrt();
        let exact = e * (1.0 / u.cos() - 1.0);
        compare("second order, e(sec u − 1)", second.displacement[middle][0], exact, 1e-6);
        compare("moment at the middle", second.end_forces[0][1][5].abs(), load * (e + exact), 1e-6);
    }
    // The load's line does not change the load that buckles it.
    let (p, _) = off_axis(e, 1.0, length);
    compare("Euler", p.first(ElementForm::Exact), euler, 1e-6);
}

#[test]
fn rigid_links_on_a_spring() {
    let (h, l, c) = (0.4, 1.6, 50.0);
    let mut p = Planar::default();
    let section = p.section(1e7, 0.0);
    let (foot, head) = (p.node(0.0, 0.0, PIN), p.node(0.0, h + l, GUIDE));
    p.spring(foot, [0.0, 0.0, c]);
    let bar = FrameMember::bar(foot, head, section);
    p.frame.members.push(bar.off(Vector::new(0.0, 0.0, h), Vector::zeros()));
    p.force(head, 0.0, -1.0);
    for form in [ElementForm::Exact, ElementForm::Cubic] {
        compare("rigid links", p.first(form), c * l / (h * (h + l)), 1e-6);
    }
}

/// A bar that passes its node by an arm keeps it from turning; one whose line meets it does not.
#[test]
fn an_arm_across_the_bar_holds_the_turning() {
    for (arm, count) in [(Vector::new(0.1, 0.0, 0.0), 0), (Vector::new(0.0, 0.0, 0.1), 1)] {
        let mut p = Planar::default();
        let (post, tie) = (p.section(1e7, EI), p.section(1e7, 0.0));
        // A crank on a pin: nothing but the bar keeps it from turning.
        let (pin, tip) = (p.node(0.0, 0.0, PIN), p.node(1.0, 0.0, FREE));
        let anchor = p.node(0.0, 2.0, FIX);
        p.member(pin, tip, post, 1);
        p.frame.members.push(FrameMember::bar(pin, anchor, tie).off(arm, arm));
        let found = mechanisms::find(&p.frame).unwrap();
        assert_eq!(found.count, Ok(count), "arm {arm:?}");
    }
}

/// What is not taken up is refused, and names the member.
#[test]
fn arms_that_cannot_be_judged_are_refused() {
    let (mut p, _) = off_axis(0.1, 1.0, 3.0);
    p.frame.members[1].arms.as_mut().unwrap().at[0].x = f64::NAN;
    assert_eq!(p.frame.check(), Err(FrameError::ArmNotFinite { member: 1 }));
    let (mut p, _) = off_axis(0.1, 1.0, 3.0);
    p.frame.members[0].kind = standwell::mechanics::frame::MemberKind::Bar;
    let parts = [OneWay::Pulls { member: 0 }];
    let refused = standwell::mechanics::collapse::Limit::new(&p.frame, &parts);
    assert!(refused.is_err(), "a one-way member with an arm");
    // An arm may bring both ends to one place.
    let mut p = Planar::default();
    let post = p.section(1e7, EI);
    let (a, b) = (p.node(0.0, 0.0, PIN), p.node(0.0, 1.0, FREE));
    let up = Vector::new(0.0, 0.0, 1.0);
    p.frame.members.push(FrameMember::bar(a, b, post).off(up, Vector::zeros()));
    assert!(matches!(p.frame.check(), Err(FrameError::ZeroLength { member: 0, .. })));
}
