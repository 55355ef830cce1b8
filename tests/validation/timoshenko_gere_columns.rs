//! Columns. Timoshenko and Gere, *Theory of Elastic Stability*, 2nd ed., ch. 2; factors K of
//! AISC 360-22 table C-A-7.1; stepped columns by the characteristic equations of the same chapter.
//!
//! ```text
//!     |P        fixed-fixed 4π², fixed-pinned 20.19 (tan v = v), pinned-pinned π²,
//!     o         fixed-guided π², fixed-free π²/4, pinned with the top free to sway but not
//!     |         to turn π²/4;   times EI/L²
//!     o
//! ```
//! The cubic element is compared, mesh by mesh, with what an independent program gets with it
//! (`data/analytic.json`); the exact element must need no subdivision.

use standwell::mechanics::frame::{ElementForm, Release};

use super::frame_files::{compare, error, frame, values};
use super::planar::{CLAMP, FIX, FREE, GUIDE, PIN, Planar, SWAY};

const E_I: f64 = 29000.0 * 1.1;
const HEIGHT: f64 = 120.0;

fn column(n: usize, foot: [bool; 3], top: [bool; 3]) -> Planar {
    let mut p = Planar::default();
    let post = p.section(29000.0 * 1.2, E_I);
    let (a, b) = (p.node(0.0, 0.0, foot), p.node(0.0, HEIGHT, top));
    p.member(a, b, post, n);
    p.force(b, 0.0, -1.0);
    p
}

const CASES: [(&str, [bool; 3], [bool; 3]); 5] = [
    ("euler_pinned_pinned", PIN, GUIDE),
    ("euler_fixed_free", FIX, FREE),
    ("euler_fixed_pinned", FIX, GUIDE),
    ("euler_fixed_fixed", FIX, CLAMP),
    ("euler_fixed_guided", FIX, SWAY),
];

#[test]
fn five_end_conditions_converge() {
    let entries = values("analytic.json");
    for (name, foot, top) in CASES {
        let entry = entries.as_array().unwrap().iter().find(|e| e["name"] == name).unwrap();
        let exact = entry["exact"].as_f64().unwrap();
        println!("{name}: exact {exact:.9}\n  elements   cubic, error %    exact element, error %");
        for n in [1, 2, 4, 8, 16] {
            let mesh = column(n, foot, top);
            let precise = mesh.first(ElementForm::Exact);
            assert!(error(precise, exact) < 1e-5, "{name} exact element, n = {n}: {precise}");
            let Some(published) = entry["fe"][format!("hermite n={n}")].as_f64() else {
                // Fixed at both ends one cubic element has no motion left; the exact one bows
                // between its nodes, and is counted.
                assert_eq!((name, n), ("euler_fixed_fixed", 1));
                assert_eq!(mesh.lowest(ElementForm::Exact, 1)[0].bowing, vec![0]);
                continue;
            };
            let cubic = mesh.first(ElementForm::Cubic);
            println!("  {n:8}   {:14.6}    {:14.2e}", error(cubic, exact), error(precise, exact));
            assert!(error(cubic, published) < 1e-6, "{name} cubic, n = {n}: {cubic} {published}");
        }
        // And the frame kept as a file, eight elements.
        let kept = frame(&format!("chk_{name}"));
        let model =
            standwell::mechanics::model::Model::new(&kept.frame, ElementForm::Cubic, &[]).unwrap();
        let axial = model.factor().unwrap().solve(&kept.cases["V"]).unwrap().axial;
        let computed = model.lowest(&axial, 1).unwrap()[0].factor;
        let published = entry["fe"]["hermite n=8"].as_f64().unwrap();
        compare(&format!("{name}, file, cubic n=8"), computed, published, 1e-6);
    }
}

#[test]
fn effective_lengths() {
    // AISC 360-22 table C-A-7.1, theoretical K, and exact P/(EI/L²) recomputed.
    let pi2 = std::f64::consts::PI.powi(2);
    let cases = [
        ("(a) fixed-fixed", FIX, CLAMP, 0.5, 4.0 * pi2),
        ("(b) fixed-pinned", FIX, GUIDE, 0.7, 20.190_728_556_426_63),
        ("(c) fixed-fixed, sway", FIX, SWAY, 1.0, pi2),
        ("(d) pinned-pinned", PIN, GUIDE, 1.0, pi2),
        ("(e) fixed-free", FIX, FREE, 2.0, pi2 / 4.0),
        ("(f) pinned, top held against turning", PIN, SWAY, 2.0, pi2 / 4.0),
    ];
    for (what, foot, top, k, coefficient) in cases {
        let unit = column(1, foot, top).first(ElementForm::Exact) * HEIGHT * HEIGHT / E_I;
        compare(what, unit, coefficient, 1e-6);
        // The table's K has one figure.
        let effective = std::f64::consts::PI / unit.sqrt();
        assert!((effective - k).abs() < 0.005, "{what}: K = {effective}");
    }
}

/// A column on a rotational spring: x·tan x = c, P = x²·EI/L², c = k·L/EI.
#[test]
fn cantilever_on_a_rotational_spring() {
    let table = [
        (0.1, 0.0968),
        (0.5, 0.4268),
        (1.0, 0.7402),
        (2.0, 1.1597),
        (5.0, 1.7262),
        (10.0, 2.0417),
        (50.0, 2.3716),
    ];
    for (c, published) in table {
        let x = bisect(1e-9, std::f64::consts::FRAC_PI_2 - 1e-12, |x| x * x.tan() - c);
        // As a spring to the ground, and as a member end joined by a spring to a fixed node.
        for joint in [false, true] {
            let mut p = Planar::default();
            let post = p.section(1e3, 1.0);
            let (a, b) = (p.node(0.0, 0.0, if joint { FIX } else { PIN }), p.node(0.0, 1.0, FREE));
            let first = p.member(a, b, post, 1).start;
            if joint {
                p.release(first, 0, Release::Spring(c));
            } else {
                p.spring(a, [0.0, 0.0, c]);
            }
            p.force(b, 0.0, -1.0);
            let computed = p.first(ElementForm::Exact);
            compare(&format!("spring c = {c}, at a joint: {joint}"), computed, x * x, 1e-6);
            assert!((computed - published).abs() < 0.6e-4);
        }
    }
}

/// Stepped columns under one axial force: I1 below over length a, I2 above.
#[test]
fn stepped_columns() {
    // Columns of the table: pinned-pinned a = 0.5, 0.4, 0.6 L; cantilever a = 0.5 L.
    let table = [
        (1.0, [9.8696, 9.8696, 9.8696, 2.4674]),
        (0.8, [8.746, 8.393, 9.143, 2.358]),
        (0.6, [7.291, 6.684, 8.070, 2.190]),
        (0.5, [6.408, 5.736, 7.337, 2.067]),
        (0.4, [5.405, 4.722, 6.421, 1.902]),
        (0.3, [4.270, 3.642, 5.275, 1.669]),
        (0.2, [2.995, 2.495, 3.848, 1.327]),
        (0.1, [1.572, 1.281, 2.098, 0.806]),
    ];
    for (ratio, published) in table {
        for (k, part) in [0.5, 0.4, 0.6, 0.5].into_iter().enumerate() {
            let cantilever = k == 3;
            let mut p = Planar::default();
            let (lower, upper) = (p.section(1e3, 1.0), p.section(1e3, ratio));
            let (foot, top) = if cantilever { (FIX, FREE) } else { (PIN, GUIDE) };
            let (a, m) = (p.node(0.0, 0.0, foot), p.node(0.0, part, FREE));
            let b = p.node(0.0, 1.0, top);
            p.member(a, m, lower, 1);
            p.member(m, b, upper, 1);
            p.force(b, 0.0, -1.0);
            let computed = p.first(ElementForm::Exact);
            let what = format!("I2/I1 = {ratio}, a = {part}, cantilever: {cantilever}");
            // The characteristic equation vanishes, in a form without poles.
            let (k1, k2) = (computed.sqrt(), (computed / ratio).sqrt());
            let (u, v) = (k1 * part, k2 * (1.0 - part));
            let rest = if cantilever {
                k1 * u.sin() * v.sin() - k2 * u.cos() * v.cos()
            } else {
                k2 * u.sin() * v.cos() + k1 * v.sin() * u.cos()
            };
            assert!(rest.abs() < 1e-6, "{what}: {rest}");
            compare(&what, computed, published[k], 0.06);
        }
    }
}

fn bisect(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let rising = f(high) > f(low);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if (f(middle) > 0.0) == rising { high = middle } else { low = middle }
    }
    f64::midpoint(low, high)
}
