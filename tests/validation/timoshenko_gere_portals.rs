//! Portals and an L-frame. Timoshenko and Gere, *Theory of Elastic Stability*, 2nd ed., sec. 2.5;
//! Chen and Lui, *Structural Stability* (1987), ch. 4. Values in `data/analytic.json` and, for the
//! tables over g, by the classical equations.
//!
//! ```text
//!   P|        |P      two columns h, Ic; beam b, Ib; g = Ib·h / (Ic·b); k² = P/(E·Ic)
//!    o--------o       pinned bases, sway  kh·tan kh = 6g
//!    |        |       fixed bases, sway   kh/tan kh = −6g
//!    |        |       pinned, no sway     v²/(1 − v·cot v) + 2g = 0
//!    ^        ^
//! ```

use standwell::mechanics::frame::{ElementForm, Release};
use standwell::mechanics::model::Model;

use super::frame_files::{compare, error, frame, values};
use super::planar::{FIX, FREE, PIN, Planar};

fn portal(n: usize, foot: [bool; 3], g: f64) -> (Planar, [usize; 2]) {
    let mut p = Planar::default();
    let (post, beam) = (p.section(1e7, 1.0), p.section(1e7, g));
    let a = [p.node(0.0, 0.0, foot), p.node(1.0, 0.0, foot)];
    let b = [p.node(0.0, 1.0, FREE), p.node(1.0, 1.0, FREE)];
    for k in 0..2 {
        p.member(a[k], b[k], post, n);
        p.force(b[k], 0.0, -1.0);
    }
    p.member(b[0], b[1], beam, 1);
    (p, b)
}

#[test]
fn sway_of_pinned_and_fixed_portals() {
    // g, pinned: kh, P/(EI/h²), K; fixed: the same.
    let table = [
        (0.1, 0.4971, 4.456, 3.534, 1.671),
        (0.25, 0.9766, 3.179, 4.729, 1.445),
        (0.5, 1.4220, 2.635, 6.030, 1.279),
        (1.0, 1.8213, 2.328, 7.379, 1.156),
        (2.0, 2.1040, 2.166, 8.434, 1.082),
        (5.0, 2.3109, 2.067, 9.245, 1.033),
        (10.0, 2.3872, 2.033, 9.549, 1.017),
    ];
    for (g, pinned, pinned_k, fixed, fixed_k) in table {
        for (foot, what, published, k) in
            [(PIN, "pinned", pinned, pinned_k), (FIX, "fixed", fixed, fixed_k)]
        {
            let computed = portal(1, foot, g).0.first(ElementForm::Exact);
            compare(&format!("sway, {what}, g = {g}"), computed, published, 0.03);
            let kh = computed.sqrt();
            let rest =
                if what == "pinned" { kh * kh.tan() / 6.0 - g } else { kh / kh.tan() / 6.0 + g };
            assert!(rest.abs() < 1e-5 * (1.0 + g * g), "{what} g = {g}: {rest}");
            assert!((std::f64::consts::PI / kh - k).abs() < 1e-3 * k);
        }
    }
}

/// No sway: hinged on the line of symmetry the beam bends in single curvature.
#[test]
fn symmetric_modes() {
    for (foot, what, published) in [(PIN, "pinned", 12.894), (FIX, "fixed", 25.182)] {
        let (mut p, tops) = portal(1, foot, 1.0);
        p.frame.supports.iter_mut().filter(|s| s.node == tops[0]).for_each(|s| s.fixed[0] = true);
        compare(&format!("no sway, {what}, g = 1"), p.first(ElementForm::Exact), published, 0.01);
    }
}

/// g → 0 on pinned bases is no small number but a mechanism.
#[test]
fn hinged_heads_are_a_mechanism() {
    let (mut p, _) = portal(1, PIN, 1.0);
    let beam = p.frame.members.len() - 1;
    p.release(beam, 0, Release::Free);
    p.release(beam, 1, Release::Free);
    let found = standwell::mechanics::mechanisms::find(&p.frame).unwrap();
    assert_eq!(found.count, Ok(1));
    let motion = &found.motions[0];
    assert!(motion[2][0].abs() > 0.99 && motion[3][0].abs() > 0.99, "it does not sway: {motion:?}");
}

/// A column and one beam of the same EI and L, the joint held in place.
/// University teaching sheet (scribd 402838802), recomputed.
#[test]
fn l_frame() {
    for (base, far, published) in
        [(PIN, PIN, 13.886), (PIN, FIX, 14.660), (FIX, PIN, 26.958), (FIX, FIX, 28.397)]
    {
        let mut p = Planar::default();
        let section = p.section(1e4, 1.0);
        let (a, b) = (p.node(0.0, 0.0, base), p.node(0.0, 1.0, [true, false, false]));
        let c = p.node(1.0, 1.0, [false, true, far[2]]);
        p.member(a, b, section, 1);
        p.member(b, c, section, 1);
        p.force(b, 0.0, -1.0);
        // The joint does not move: the beam's far end keeps it from going down by EI alone, so
        // hold it, and let the column's own force be given.
        let mut axial = vec![0.0; p.frame.members.len()];
        axial[0] = -1.0;
        p.frame.supports.iter_mut().filter(|s| s.node == b).for_each(|s| s.fixed[2] = true);
        let model = Model::new(&p.frame, ElementForm::Exact, &[]).unwrap();
        let computed = model.lowest(&axial, 1).unwrap()[0].factor;
        compare(&format!("L-frame {base:?} {far:?}"), computed, published, 0.01);
    }
}

/// The portals kept as files: cubic elements against the independent program at the same mesh,
/// exact elements against the closed form.
#[test]
fn portals_from_files() {
    let entries = values("analytic.json");
    let find = |name: &str| {
        entries.as_array().unwrap().iter().find(|e| e["name"].as_str().unwrap().starts_with(name))
    };
    for (name, file) in [
        ("portal_pinned_sway", "chk_portal_sway"),
        ("portal_pinned_nosway", "chk_portal_nosway"),
        ("portal_semirigid_sway k=50", "chk_portal_semi_50"),
        ("portal_semirigid_sway k=500", "chk_portal_semi_500"),
        ("portal_semirigid_sway k=5000", "chk_portal_semi_5000"),
        ("portal_sway unequal", "chk_portal_unequal"),
    ] {
        let entry = find(name).unwrap();
        let kept = frame(file);
        let lowest = |form| {
            let model = Model::new(&kept.frame, form, &[]).unwrap();
            let axial = model.factor().unwrap().solve(&kept.cases["V"]).unwrap().axial;
            model.lowest(&axial, 1).unwrap()[0].factor
        };
        let published = entry["fe"]["hermite n=8"].as_f64().unwrap();
        let (cubic, exact) = (lowest(ElementForm::Cubic), lowest(ElementForm::Exact));
        // Areas of 10⁴ beside I of 1 cost both programs digits: about 1e-7 of the factor is left.
        compare(&format!("{file}, cubic n=8"), cubic, published, 1e-4);
        let wanted = entry["exact"]
            .as_f64()
            .unwrap_or_else(|| entry["fe"]["hermite n=16"].as_f64().unwrap());
        compare(&format!("{file}, exact element"), exact, wanted, 1e-3);
        assert!(error(exact, wanted) <= error(cubic, wanted) + 1e-4);
    }
}

/// The same portals remade with one to sixteen elements a post.
#[test]
fn portals_converge() {
    let entries = values("analytic.json");
    let by_name = |name: &str| {
        entries.as_array().unwrap().iter().find(|e| e["name"] == name).unwrap().clone()
    };
    let build = |n: usize, area: [f64; 2], beam: usize| {
        let mut p = Planar::default();
        let post = p.section(29000.0 * area[0], 29000.0 * 1.1);
        let ledger = p.section(29000.0 * area[1], 29000.0 * 4.0);
        let a = [p.node(0.0, 0.0, PIN), p.node(72.0, 0.0, PIN)];
        let b = [p.node(0.0, 120.0, FREE), p.node(72.0, 120.0, FREE)];
        for k in 0..2 {
            p.member(a[k], b[k], post, n);
            p.force(b[k], 0.0, -1.0);
        }
        p.member(b[0], b[1], ledger, beam);
        p
    };
    let sway = by_name("portal_pinned_sway");
    for n in [1, 2, 4, 8] {
        let published = sway["fe"][format!("hermite n={n}")].as_f64().unwrap();
        let computed = build(n, [1e4, 1e4], 1).first(ElementForm::Cubic);
        compare(&format!("portal sway, cubic n={n}"), computed, published, 1e-3);
    }
    let one = build(1, [1e4, 1e4], 1).first(ElementForm::Exact);
    compare("portal sway, one exact element", one, sway["exact"].as_f64().unwrap(), 1e-3);
    let real = by_name("portal_pinned_sway real A=1.2/1.5");
    for n in [4, 8, 16] {
        let published = real["fe"][format!("hermite n={n}")].as_f64().unwrap();
        let computed = build(n, [1.2, 1.5], 1).first(ElementForm::Cubic);
        compare(&format!("portal sway, real areas, cubic n={n}"), computed, published, 1e-5);
    }
    let one = build(1, [1.2, 1.5], 1).first(ElementForm::Exact);
    let published = real["fe"]["hermite n=16"].as_f64().unwrap();
    compare("portal sway, real areas, one exact element", one, published, 1e-4);
}
