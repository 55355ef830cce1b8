//! Three braced floors against independent general-purpose libraries.
//!
//! Source: `data/expected.json`, computed with scipy 1.x (SuperLU, ARPACK) and OpenSeesPy from the
//! frames in `data/frames`: cubic elements, four to a post, kip and inch.
//!
//! ```text
//!   plan of g2_d4:  3 × 3 posts, bays 72 in × 96 in, height 120 in, braces as axial bars
//!   z = 120   o-----o-----o    ledgers rigid or pinned to the posts as the frame says
//!             | \   |   / |
//!   z = 0     ^     ^     ^    posts pinned at the foot, held against spin
//! ```
//! Limits: displacement, strain energy and axial forces 1e-6, load factors 0.1 %, counts exact.

use standwell::mechanics::frame::{ElementForm, Release};
use standwell::mechanics::mechanisms;
use standwell::mechanics::model::Model;

use super::frame_files::{compare, frame, values};

fn check(name: &str) {
    let neutral = frame(name);
    let expected = &values("expected.json")[name];
    let found = mechanisms::find(&neutral.frame).unwrap();
    assert_eq!(found.count, Ok(0));
    println!("{name}: smallest eigenvalue of the compatibility {:.2e}", found.least_stiff);
    let model = Model::new(&neutral.frame, ElementForm::Cubic, &[]).unwrap();
    // The other program condenses released rotations out; here the cubic form keeps them.
    let released = neutral.frame.members.iter().flat_map(|m| m.release.as_flattened());
    let own = released.filter(|r| **r != Release::Rigid).count();
    assert_eq!(model.size() - own, expected["n_eq"].as_u64().unwrap() as usize);
    let factored = model.factor().unwrap();
    for (case, loads) in &neutral.cases {
        let wanted = &expected["cases"][case];
        let solution = factored.solve(loads).unwrap();
        assert!(solution.residual < 1e-9, "residual {}", solution.residual);
        for dof in 0..6 {
            let most = solution.displacement.iter().map(|d| d[dof].abs()).fold(0.0, f64::max);
            let what = format!("{name} {case} largest displacement {dof}");
            compare(&what, most, wanted["umax"][dof].as_f64().unwrap(), 1e-4);
            let last = solution.displacement.last().unwrap()[dof];
            let what = format!("{name} {case} last node {dof}");
            compare(&what, last, wanted["last_node"][dof].as_f64().unwrap(), 1e-4);
        }
        let energy = wanted["strain_energy"].as_f64().unwrap();
        compare(&format!("{name} {case} strain energy"), solution.strain_energy, energy, 1e-4);
        for (role, range) in wanted["N"].as_object().unwrap() {
            let forces = || {
                solution.axial.iter().zip(&neutral.roles).filter(|(_, r)| *r == role).map(|x| *x.0)
            };
            let least = forces().fold(f64::INFINITY, f64::min);
            let greatest = forces().fold(f64::NEG_INFINITY, f64::max);
            let what = format!("{name} {case} {role}");
            compare(&format!("{what} least N"), least, range[0].as_f64().unwrap(), 1e-4);
            compare(&format!("{what} greatest N"), greatest, range[1].as_f64().unwrap(), 1e-4);
        }
    }
    let axial = factored.solve(&neutral.cases["V"]).unwrap().axial;
    let first = expected["lambda"][0].as_f64().unwrap();
    for (at, count) in expected["inertia"].as_object().unwrap() {
        let factor = at.parse::<f64>().unwrap() * first;
        let inertia = model.inertia(&axial, factor).unwrap();
        println!(
            "{name} below {at} of the lowest: {} (margin {:.1e})",
            inertia.negative, inertia.margin
        );
        assert_eq!(inertia.negative as u64, count.as_u64().unwrap(), "{name} at {at}");
    }
    let wanted = expected["lambda"].as_array().unwrap();
    let modes = model.lowest(&axial, wanted.len()).unwrap();
    for (k, (mode, wanted)) in modes.iter().zip(wanted).enumerate() {
        compare(&format!("{name} factor {k}"), mode.factor, wanted.as_f64().unwrap(), 1e-4);
    }
}

#[test]
fn two_by_two_bays() {
    check("g2_d4");
}

#[test]
fn two_by_two_bays_with_joists() {
    check("g2_d4_j");
}

#[test]
fn ten_by_ten_bays() {
    check("g10_d4");
}
