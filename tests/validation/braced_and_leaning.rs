//! Bracing stiffness and what leans on it.
//!
//! * Mid-height spring: Timoshenko 1936; Winter, "Lateral bracing of columns and beams", Trans.
//!   ASCE 125 (1960); Yura's teaching notes (ro.scribd.com/document/341711373).
//! * Brace force of Winter's rigid links with an initial offset.
//! * Leaning posts: Galambos; Yura, "The effective length of columns in unbraced frames", AISC
//!   Engineering Journal (1971).
//!
//! ```text
//!     |P                 |P   |P
//!     o                  o----o    posts pinned at both ends, rigid links;
//!     |                  |  / |    the brace alone holds them: ΣP = S·h
//!  ~~~o  spring β        | /  |
//!     |                  ^    ^
//!     ^
//! ```

use standwell::mechanics::frame::{ElementForm, Release};
use standwell::mechanics::model::Model;

use super::frame_files::{compare, frame, values};
use super::planar::{FREE, GUIDE, PIN, Planar};

#[test]
fn column_with_a_spring_at_mid_height() {
    let pi2 = std::f64::consts::PI.powi(2);
    // βL/PE and P/PE, two spans of L.
    let table = [
        (0.0, 0.25),
        (0.25, 0.3506),
        (0.5, 0.4497),
        (0.75, 0.5472),
        (1.0, 0.6427),
        (1.5, 0.8269),
        (1.75, 0.9150),
        (2.1, 1.0),
        (10.0, 1.0),
    ];
    for (beta, published) in table {
        let mut p = Planar::default();
        let post = p.section(1e5, 1.0);
        let (a, m, b) = (p.node(0.0, 0.0, PIN), p.node(0.0, 1.0, FREE), p.node(0.0, 2.0, GUIDE));
        p.member(a, m, post, 1);
        p.member(m, b, post, 1);
        p.spring(m, [beta * pi2, 0.0, 0.0]);
        p.force(b, 0.0, -1.0);
        let ratio = p.first(ElementForm::Exact) / pi2;
        compare(&format!("spring βL/PE = {beta}"), ratio, published, 0.02);
        if beta > 0.0 && beta < 2.0 {
            // βL/PE = 2p / (1 − tan x / x), x = π√p.
            let x = std::f64::consts::PI * ratio.sqrt();
            compare("  put back into the equation", 2.0 * ratio / (1.0 - x.tan() / x), beta, 1e-4);
        }
    }
}

/// Rigid links between equal springs: βL/P = 2(1 + cos(π/n)) for n spans.
#[test]
fn winter_links() {
    for n in 2..=6 {
        let mut p = Planar::default();
        let link = p.section(1e6, 1e6);
        let nodes: Vec<usize> = (0..=n)
            .map(|k| {
                let held = if k == 0 {
                    PIN
                } else if k == n {
                    GUIDE
                } else {
                    FREE
                };
                p.node(0.0, f64::from(k), held)
            })
            .collect();
        for pair in nodes.windows(2) {
            let member = p.member(pair[0], pair[1], link, 1).start;
            for end in 0..2 {
                p.release(member, end, Release::Free);
            }
        }
        for node in &nodes[1..nodes.len() - 1] {
            p.spring(*node, [1.0, 0.0, 0.0]);
        }
        p.force(nodes[n as usize], 0.0, -1.0);
        let ideal = 2.0 * (1.0 + (std::f64::consts::PI / f64::from(n)).cos());
        compare(&format!("{n} links, βL/P"), 1.0 / p.first(ElementForm::Exact), ideal, 1e-4);
    }
}

/// Force in the brace at the joint of two links with an offset of L/500, in percent of P.
#[test]
fn winter_brace_force() {
    for (ratio, percent) in [(1.5, 1.2), (2.0, 0.8), (3.0, 0.6), (10.0, 0.44)] {
        let mut p = Planar::default();
        let link = p.section(1e7, 1e6);
        let (a, b, c) = (p.node(0.0, 0.0, PIN), p.node(0.0, 1.0, FREE), p.node(0.0, 2.0, GUIDE));
        for (i, j) in [(a, b), (b, c)] {
            let member = p.member(i, j, link, 1).start;
            p.release(member, 0, Release::Free);
            p.release(member, 1, Release::Free);
        }
        // P = 1, ideal stiffness 2P/L.
        let beta = 2.0 * ratio;
        p.spring(b, [beta, 0.0, 0.0]);
        // The offset as the forces that it makes: 2·P·Δ0/L at the joint.
        let offset = 1.0 / 500.0;
        p.force(b, 2.0 * offset, 0.0);
        let model = Model::new(&p.frame, ElementForm::Exact, &[]).unwrap();
        let solution = model.second_order(&p.load, &[-1.0, -1.0], 1.0).unwrap();
        let force = 100.0 * beta * solution.displacement[b][0];
        // Published to two figures; in closed form 2Δ0/L / (1 − 1/ratio).
        let closed = 100.0 * 2.0 * offset / (1.0 - 1.0 / ratio);
        compare(&format!("brace of {ratio} times ideal, F/P %"), force, closed, 1e-5);
        assert!((force - percent).abs() < 0.005);
    }
}

/// Rigid posts pinned at both ends, one tension diagonal: S = EA/Ld·cos²θ, ΣP = S·h.
#[test]
fn one_diagonal_carries_a_storey() {
    // inch, kip: bay 96, height 120, A = 0.5, E = 29000: Ld = 153.67, S = 36.82, ΣP = 4419.
    let mut p = Planar::default();
    let (post, brace) = (p.section(1e9, 1e9), p.section(29000.0 * 0.5, 1.0));
    let nodes = [(0.0, 0.0), (96.0, 0.0), (0.0, 120.0), (96.0, 120.0)]
        .map(|(x, z)| p.node(x, z, if z == 0.0 { PIN } else { FREE }));
    for k in 0..2 {
        let member = p.member(nodes[k], nodes[k + 2], post, 1).start;
        p.release(member, 1, Release::Free);
        p.force(nodes[k + 2], 0.0, -0.5);
    }
    p.bar(nodes[2], nodes[3], post);
    p.bar(nodes[0], nodes[3], brace);
    // First order: unit drift.
    let model = Model::new(&p.frame, ElementForm::Exact, &[]).unwrap();
    let mut push = p.load.clone();
    push.nodal = vec![(nodes[3], [1.0, 0.0, 0.0, 0.0, 0.0, 0.0])];
    let drift = model.factor().unwrap().solve(&push).unwrap().displacement[nodes[3]][0];
    compare("storey stiffness", 1.0 / drift, 36.82, 0.01);
    compare("sum of P at sway", p.first(ElementForm::Exact), 4419.0, 0.02);
}

/// S = 10 kip/in, h = 120 in, ΣP = 300 kip: factor 4.00, amplification 1.333.
#[test]
fn amplification_of_sway() {
    let mut p = Planar::default();
    let post = p.section(1e9, 1e9);
    let (a, b) = (p.node(0.0, 0.0, PIN), p.node(0.0, 120.0, FREE));
    let member = p.member(a, b, post, 1).start;
    p.release(member, 1, Release::Free);
    p.spring(b, [10.0, 0.0, 0.0]);
    p.force(b, 0.0, -300.0);
    compare("critical factor", p.first(ElementForm::Exact), 4.0, 1e-4);
    let mut push = p.load.clone();
    push.nodal.push((b, [1.0, 0.0, 0.0, 0.0, 0.0, 0.0]));
    let model = Model::new(&p.frame, ElementForm::Exact, &[]).unwrap();
    let first = model.factor().unwrap().solve(&push).unwrap();
    let second = model.second_order(&push, &first.axial, 1.0).unwrap();
    let amplified = second.displacement[b][0] / first.displacement[b][0];
    compare("amplification", amplified, 4.0 / 3.0, 1e-4);
    // At and above the critical factor there is no answer to be had.
    assert!(model.second_order(&push, &first.axial, 4.1).is_err());
}

#[test]
fn sway_against_a_weak_brace() {
    let entries = values("analytic.json");
    let entry = entries
        .as_array()
        .unwrap()
        .iter()
        .find(|e| e["name"].as_str().unwrap().starts_with("brace_sway"));
    let kept = frame("chk_brace_sway");
    for form in [ElementForm::Exact, ElementForm::Cubic] {
        let model = Model::new(&kept.frame, form, &[]).unwrap();
        let axial = model.factor().unwrap().solve(&kept.cases["V"]).unwrap().axial;
        let computed = model.lowest(&axial, 1).unwrap()[0].factor;
        compare(
            "brace sway, closed form",
            computed,
            entry.unwrap()["exact"].as_f64().unwrap(),
            2e-5,
        );
        let fe = entry.unwrap()["fe"]["hermite n=1"].as_f64().unwrap();
        compare("brace sway, independent program", computed, fe, 2e-5);
    }
}

#[test]
fn drift_of_a_crossed_panel() {
    let entries = values("analytic.json");
    let entry = entries
        .as_array()
        .unwrap()
        .iter()
        .find(|e| e["name"].as_str().unwrap().starts_with("xpanel"));
    let kept = frame("chk_xpanel");
    let model = Model::new(&kept.frame, ElementForm::Cubic, &[]).unwrap();
    let solution = model.factor().unwrap().solve(&kept.cases["V"]).unwrap();
    let drift = f64::midpoint(solution.displacement[1][0], solution.displacement[3][0]);
    compare("crossed panel, drift", drift, entry.unwrap()["exact"].as_f64().unwrap(), 1e-6);
}
