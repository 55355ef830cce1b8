//! Metal columns against tables of stresses and factors.
//!
//! The numbers are from a survey of published values. Those of AISC 360 E3, EN 1993-1-1 6.3.1,
//! EN 1999-1-1 6.3.1, the Aluminum Design Manual and EN 1065 were recomputed there from the formulas
//! of those documents (formulas from memory); those of the US Air Force manual were seen in print.

use super::{KSI, given, prints};
use standwell::capacity::en_column::Curve;
use standwell::capacity::{
    Kind, Work, adm_column, aisc_column, en_column, en1065, straight_line_column,
};
use standwell::equipment::model::{AluminiumClass, PropClass, SteelCurve};

fn aisc(fy: f64, slenderness: f64) -> f64 {
    let mut w = Work::silent();
    let fy = given(&mut w, "F_y", fy * KSI, Kind::Stress);
    let e = given(&mut w, "E", 29_000.0 * KSI, Kind::Stress);
    let s = given(&mut w, "S", slenderness, Kind::Number);
    aisc_column::stress(&mut w, &fy, &e, &s).si / KSI
}

#[test]
#[allow(clippy::approx_constant, reason = "6.28 ksi is a stress")]
fn aisc_e3_stresses() {
    let slenderness = [40.0, 80.0, 100.0, 120.0, 150.0, 200.0];
    for (fy, due) in [
        (35.0, [32.25, 25.22, 20.98, 16.75, 11.16, 6.28]),
        (46.0, [41.31, 29.91, 23.48, 17.43, 11.16, 6.28]),
        (50.0, [44.48, 31.31, 24.07, 17.43, 11.16, 6.28]),
    ] {
        for (s, due) in slenderness.into_iter().zip(due) {
            prints(aisc(fy, s), due, 0.01, &format!("Fy {fy}, KL/r {s}"));
        }
    }
    // Either side of the transition, 113.4 for 50 ksi, both equations give the same.
    assert!((aisc(50.0, 113.43) - aisc(50.0, 113.44)).abs() < 0.01);
}

/// Standard pipe, Fy 35 ksi, K = 1: area, radius, then Pn/1.67 and 0.90 Pn in kips at 8, 10, 12 ft.
#[test]
fn aisc_pipe_columns() {
    for (area, r, due) in [
        (1.003, 0.791, [(9.88, 14.9), (6.54, 9.84), (4.55, 6.83)]),
        (1.595, 0.952, [(19.9, 29.9), (14.8, 22.3), (10.5, 15.7)]),
        (2.083, 1.169, [(30.9, 46.5), (25.4, 38.3), (20.1, 30.2)]),
        (2.512, 1.342, [(40.5, 60.9), (35.0, 52.5), (29.2, 43.9)]),
    ] {
        for (feet, (asd, lrfd)) in [8.0, 10.0, 12.0].into_iter().zip(due) {
            let pn = area * aisc(35.0, feet * 12.0 / r);
            // Area and radius are printed to three and four figures: a third of a per cent.
            assert!((pn / 1.67 / asd - 1.0).abs() < 4e-3, "{area} in2 at {feet} ft: {}", pn / 1.67);
            assert!((pn * 0.9 / lrfd - 1.0).abs() < 4e-3, "{area} in2 at {feet} ft: {}", pn * 0.9);
        }
    }
}

#[test]
fn aluminum_design_manual_6061_t6() {
    let stress = |slenderness: f64| {
        let mut w = Work::written(standwell::units::UnitSystem::Feet);
        let fy = given(&mut w, "F_cy", 35.0 * KSI, Kind::Stress);
        let e = given(&mut w, "E", 10_100.0 * KSI, Kind::Stress);
        let s = given(&mut w, "S", slenderness, Kind::Number);
        let f = adm_column::stress(&mut w, &fy, &e, &s).si / KSI;
        let line =
            |symbol: &str| w.sections[0].lines.iter().find(|l| l.symbol == symbol).unwrap().value;
        (f, line("B_c") / 1e3, line("D_c") / 1e3, line("C_c"))
    };
    let (_, b, d, c) = stress(80.0);
    prints(b, 39.4, 0.1, "Bc, ksi");
    prints(d, 0.246, 0.001, "Dc, ksi");
    prints(c, 65.7, 0.1, "Cc");
    for (s, nominal, allowable) in [(80.0, 13.24, 8.02), (100.0, 8.47, 5.14), (120.0, 5.88, 3.57)] {
        prints(stress(s).0, nominal, 0.01, "Fn, ksi");
        // 8.024 is printed as 8.02 and 5.137 as 5.14: half a unit of the last figure, and rounding
        // of the nominal stress before it is divided.
        prints(stress(s).0 / 1.65, allowable, 0.011, "Fn/1.65, ksi");
        // Elastic allowable 51 350 / S² ksi.
        assert!((stress(s).0 / 1.65 * s * s / 51_350.0 - 1.0).abs() < 1e-3);
    }
    // The straight line never gives more than yield, and meets Euler's curve times 0.85 at Cc.
    assert!(stress(1.0).0 <= 35.0 + 1e-9);
    assert!((stress(c - 0.01).0 / stress(c + 0.01).0 - 1.0).abs() < 0.02);
}

#[test]
fn air_force_manual_straight_line() {
    let stress = |slenderness: f64| {
        let mut w = Work::silent();
        let e = given(&mut w, "E", 10_100.0 * KSI, Kind::Stress);
        let s = given(&mut w, "S", slenderness, Kind::Number);
        straight_line_column::stress(&mut w, &e, &s).si / KSI
    };
    // Table 2-3: 38.3 - 0.202 L'/rho up to 63.
    for (s, due) in [(20.0, 34.3), (40.0, 30.2), (60.0, 26.2)] {
        prints(stress(s), due, 0.1, "Fc, ksi");
    }
    // Euler beyond: two thirds of the way to no strength at 63 times the root of 3.
    assert!((stress(63.1) / stress(63.1 * 3f64.sqrt()) - 3.0).abs() < 1e-9);
}

#[test]
fn en_1993_and_en_1999_reductions() {
    let chi = |curve: Curve, lambda: f64| {
        let mut w = Work::silent();
        let lambda = given(&mut w, "lam", lambda, Kind::Number);
        en_column::reduction(&mut w, curve, &lambda).si
    };
    use SteelCurve::{A, A0, B, C, D};
    for (lambda, due) in [
        (0.5, [0.9513, 0.9243, 0.8842, 0.8430, 0.7793]),
        (1.0, [0.7253, 0.6656, 0.5970, 0.5399, 0.4671]),
        (1.5, [0.3953, 0.3724, 0.3422, 0.3145, 0.2766]),
        (2.0, [0.2323, 0.2229, 0.2095, 0.1962, 0.1766]),
        (3.0, [0.1063, 0.1036, 0.0994, 0.0951, 0.0882]),
    ] {
        for (curve, due) in [A0, A, B, C, D].into_iter().zip(due) {
            prints(chi(curve.into(), lambda), due, 1e-4, &format!("{curve:?} at {lambda}"));
        }
    }
    for (lambda, a, b) in
        [(0.5, 0.906, 0.832), (1.0, 0.656, 0.572), (1.5, 0.371, 0.336), (2.0, 0.223, 0.208)]
    {
        prints(chi(AluminiumClass::A.into(), lambda), a, 1e-3, &format!("A at {lambda}"));
        prints(chi(AluminiumClass::B.into(), lambda), b, 1e-3, &format!("B at {lambda}"));
    }
    for curve in [A0, A, B, C, D] {
        assert!((chi(curve.into(), 0.1) - 1.0).abs() < 1e-12, "no reduction on the plateau");
    }
}

/// CHS 48.3 x 3.2, 235 N/mm², 2 m pinned: lambda 1.332, 48.2 kN by curve a, 40.0 kN by curve c.
#[test]
fn en_1993_tube_by_hand() {
    for (curve, due) in [(SteelCurve::A, 48.2), (SteelCurve::C, 40.0)] {
        let mut w = Work::written(standwell::units::UnitSystem::Metres);
        let fy = given(&mut w, "f_y", 235e6, Kind::Stress);
        let e = given(&mut w, "E", 210e9, Kind::Stress);
        let s = given(&mut w, "S", 2.0 / 15.985e-3, Kind::Number);
        let stress = en_column::stress(&mut w, curve.into(), &fy, &e, &s);
        let lambda = w.sections[0].lines.iter().find(|l| l.symbol == "lam").unwrap().value;
        prints(lambda, 1.332, 1e-3, "lambda");
        prints(453.4e-6 * stress.si / 1e3, due, 0.1, "Nb,Rk in kN");
    }
}

#[test]
fn en_1065_props_fully_out_and_at_the_cap() {
    let strength = |class: PropClass, l: f64, most: f64| {
        let mut w = Work::silent();
        let l = given(&mut w, "L", l, Kind::Length);
        let most = given(&mut w, "L_m", most, Kind::Length);
        en1065::strength(&mut w, class, &l, &most).si / 1e3
    };
    use PropClass::{A, B, C, D, E};
    let lengths = [2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 5.5];
    for (class, due) in [
        (A, &[20.4, 17.0, 14.6, 12.8][..]),
        (B, &[27.2, 22.7, 19.4, 17.0, 15.1, 13.6, 12.4][..]),
        (C, &[40.8, 34.0, 29.1, 25.5, 22.7, 20.4, 18.5][..]),
        (D, &[34.0; 7][..]),
        (E, &[51.0; 7][..]),
    ] {
        for (&l, &due) in lengths.iter().zip(due) {
            prints(strength(class, l, l), due, 0.1, &format!("{class:?} at {l} m"));
        }
    }
    // At 0.7 of the greatest extension; class C of 3 m is at its cap there.
    for (class, most, due) in
        [(A, 3.0, 34.7), (B, 3.0, 46.3), (C, 3.0, 59.5), (B, 4.0, 34.7), (C, 4.0, 52.0)]
    {
        prints(strength(class, 0.7 * most, most), due, 0.1, &format!("{class:?} of {most} m"));
    }
    // Where the cap begins.
    for (class, most, cap, at) in [
        (A, 3.0, 44.0, 1.86),
        (A, 4.0, 44.0, 2.15),
        (B, 3.0, 51.0, 2.00),
        (B, 4.0, 51.0, 2.31),
        (C, 3.0, 59.5, 2.27),
        (C, 4.0, 59.5, 2.62),
    ] {
        assert!((strength(class, at - 0.006, most) - cap).abs() < 1e-9, "{class:?} {at}");
        assert!(strength(class, at + 0.006, most) < cap, "{class:?} {at}");
    }
    // Working load: over 1.1 x 1.5.
    prints(strength(A, 3.0, 3.0) / 1.65, 10.3, 0.1, "A30 fully out");
    prints(strength(D, 3.0, 3.0) / 1.65, 20.6, 0.1, "D");
    prints(strength(E, 3.0, 3.0) / 1.65, 30.9, 0.1, "E");
}
