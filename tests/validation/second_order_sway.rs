//! Second-order sway. Timoshenko and Gere, *Theory of Elastic Stability*, 2nd ed., ch. 1
//! (beam-columns); values in `data/analytic.json`.
//!
//! ```text
//!      |P            cantilever: tip = H·L³/3EI · 3(tan u − u)/u³, u = L·√(P/EI)
//!   H->o             portal on pins: axial forces P ∓ overturning of the first-order solution
//!      |
//!     ===
//! ```

use standwell::mechanics::frame::ElementForm;
use standwell::mechanics::model::Model;

use super::frame_files::{compare, frame, values};
use super::planar::{FIX, FREE, Planar};

#[test]
fn cantilever() {
    let entries = values("analytic.json");
    let entry = entries
        .as_array()
        .unwrap()
        .iter()
        .find(|e| e["name"].as_str().unwrap().starts_with("2nd-order cantilever"))
        .unwrap();
    let exact = entry["exact"].as_f64().unwrap();
    for n in [1, 2, 4, 8] {
        let mut p = Planar::default();
        let post = p.section(29000.0 * 1.2, 29000.0 * 1.1);
        let (a, b) = (p.node(0.0, 0.0, FIX), p.node(0.0, 120.0, FREE));
        p.member(a, b, post, n);
        p.force(b, 0.1, -2.0);
        for form in [ElementForm::Exact, ElementForm::Cubic] {
            let model = Model::new(&p.frame, form, &[]).unwrap();
            let first = model.factor().unwrap().solve(&p.load).unwrap();
            let fe = entry["fe"]["first order"].as_f64().unwrap();
            compare("first order", first.displacement[b][0], fe, 1e-6);
            let second = model.second_order(&p.load, &first.axial, 1.0).unwrap();
            let tip = second.displacement[b][0];
            let wanted = match form {
                ElementForm::Exact => exact,
                ElementForm::Cubic => entry["fe"][format!("K+Kg n={n}")].as_f64().unwrap(),
            };
            compare(&format!("tip, {form:?}, n = {n}"), tip, wanted, 1e-6);
            // Moment at the base: H·L + P·tip.
            let base = second.end_forces[0][0][5].abs();
            compare("  base moment H·L + P·tip", base, 0.1 * 120.0 + 2.0 * tip, 1e-6);
        }
    }
    let kept = frame("chk_second_order");
    let model = Model::new(&kept.frame, ElementForm::Exact, &[]).unwrap();
    let first = model.factor().unwrap().solve(&kept.cases["V"]).unwrap();
    let second = model.second_order(&kept.cases["V"], &first.axial, 1.0).unwrap();
    compare("tip, file", second.displacement[8][0], exact, 1e-6);
}

#[test]
fn portal() {
    let entries = values("analytic.json");
    let entry = entries
        .as_array()
        .unwrap()
        .iter()
        .find(|e| e["name"].as_str().unwrap().starts_with("2nd-order pinned portal"))
        .unwrap();
    let kept = frame("chk_portal_second");
    for form in [ElementForm::Exact, ElementForm::Cubic] {
        let model = Model::new(&kept.frame, form, &[]).unwrap();
        let first = model.factor().unwrap().solve(&kept.cases["V"]).unwrap();
        let second = model.second_order(&kept.cases["V"], &first.axial, 1.0).unwrap();
        let drift = second.displacement[8][0];
        match form {
            ElementForm::Exact => {
                compare("drift, exact", drift, entry["exact"].as_f64().unwrap(), 1e-4);
            }
            ElementForm::Cubic => {
                // Areas of 10⁴ beside I of 1 cost both programs digits.
                let fe = &entry["fe"]["K+Kg(N from 1st order) n=8"];
                compare("drift, cubic n=8", drift, fe.as_f64().unwrap(), 1e-4);
                let fe = entry["fe"]["first order n=8"].as_f64().unwrap();
                compare("first order", first.displacement[8][0], fe, 1e-4);
            }
        }
    }
}
