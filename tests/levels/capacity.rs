//! Bending and punching against hand calculation with the documents' formulas (from memory).
//!
//! ACI 318-19, 12 in wide, d = 6.5 in, As = 0.31 in², fy = 60 ksi, f'c = 4000 psi: a = 0.456 in, Mn =
//! 116.7 kip in, φMn = 8.75 kip ft. Column 16 × 16 in, d = 6.5 in: bo = 90 in, Vc = 4·√4000·90·6.5 =
//! 148.0 kip, φVc = 111 kip (the size factor is 1 below 10 in).
//! EN 1992-1-1, d = 170 mm, 500 mm²/m of 500 MPa, fck = 30 MPa: block 10.87 mm, 35.78 kN m/m. Column
//! 300 × 300 mm, d = 200 mm, ρ = 0.0083: k = 2, vRd,c = 0.701 MPa, u1 = 3.713 m, VRd,c = 520.5 kN,
//! and 1.15 less for an inside column.

use proptest::prelude::*;
use standwell::levels::capacity::{
    Bending, Code, Punching, bending_load, bending_moment, punching_force, punching_load,
};

const INCH: f64 = 0.0254;
const PSI: f64 = 6894.757;
const POUND: f64 = 4.448_221_6;

fn close(a: f64, b: f64, share: f64) {
    assert!((a / b - 1.0).abs() < share, "{a} is not {b}");
}

fn strip() -> Bending {
    Bending {
        depth: 6.5 * INCH,
        steel: 0.31 * INCH / 12.0,
        fy: 60_000.0 * PSI,
        coefficient: 0.1,
        span: 6.0,
    }
}

#[test]
fn aci_by_hand() {
    let per_metre = bending_moment(Code::Aci318, &strip(), 4000.0 * PSI);
    close(per_metre * 0.3048, 8.75 * 1355.818, 0.001);
    let p =
        Punching { depth: 6.5 * INCH, column: (16.0 * INCH, 16.0 * INCH), area: 36.0, ratio: 0.0 };
    // 0.33√f'c in MPa is 3.97√f'c in psi: the metric and the inch formula differ by 0.7 %.
    close(punching_force(Code::Aci318, &p, 4000.0 * PSI), 111.0e3 * POUND, 0.01);
    close(punching_load(Code::Aci318, &p, 4000.0 * PSI, 1.5), 111.0e3 * POUND / 54.0, 0.01);
    // A long column: 2 + 4/β counts. β = 4: 0.17·1.5 = 0.255 of 0.33.
    let long = Punching { column: (48.0 * INCH, 12.0 * INCH), ..p };
    let around = 2.0 * (60.0 + 13.0) * INCH;
    close(
        punching_force(Code::Aci318, &long, 4000.0 * PSI),
        0.75 * 0.255 * (27.579f64).sqrt() * 1e6 * around * p.depth,
        0.001,
    );
}

#[test]
fn en_by_hand() {
    let s = Bending { depth: 0.170, steel: 500e-6, fy: 500e6, coefficient: 0.1, span: 6.0 };
    close(bending_moment(Code::En1992, &s, 30e6), 35.78e3, 0.001);
    close(bending_load(Code::En1992, &s, 30e6, 1.4), 35.78e3 / (1.4 * 0.1 * 36.0), 0.001);
    let p = Punching { depth: 0.2, column: (0.3, 0.3), area: 36.0, ratio: 0.0083 };
    close(punching_force(Code::En1992, &p, 30e6), 520.5e3 / 1.15, 0.001);
}

proptest! {
    #[test]
    fn older_concrete_is_never_weaker_and_nothing_is_nothing(a in 0.5..40.0f64, more in 0.0..20.0f64) {
        let p = Punching { depth: 0.2, column: (0.3, 0.4), area: 30.0, ratio: 0.006 };
        for code in [Code::Aci318, Code::En1992] {
            let (young, old) = (a * 1e6, (a + more) * 1e6);
            prop_assert!(bending_moment(code, &strip(), young) <= bending_moment(code, &strip(), old) * (1.0 + 1e-12));
            prop_assert!(punching_force(code, &p, young) <= punching_force(code, &p, old));
            // Never more than the steel at full lever.
            prop_assert!(bending_moment(code, &strip(), old) < strip().steel * strip().fy * strip().depth);
            for none in [0.0, f64::NAN, -1.0] {
                prop_assert_eq!(bending_moment(code, &strip(), none), 0.0);
                prop_assert_eq!(punching_force(code, &p, none), 0.0);
            }
        }
    }
}
