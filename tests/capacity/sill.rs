//! Sills and the ground, against numbers recomputed in a survey of published values.

use super::{INCH, LB, PSI, given, prints};
use standwell::capacity::sill::{Side, bending, pressed, pressure};
use standwell::capacity::{Kind, Work};

fn spread_through(thickness: f64, sill: f64, off: f64, run: f64) -> f64 {
    let mut w = Work::silent();
    let t = given(&mut w, "t", thickness * INCH, Kind::Length);
    let s = given(&mut w, "s", run, Kind::Number);
    let side = Side { plate: 6.0 * INCH, sill: sill * INCH, off: off * INCH };
    pressed(&mut w, ["b", "r", "l"], side, &t, &s).si / INCH
}

/// Through 6 in below a 6 in plate: 18 in at 45 degrees, 12 in at 2 : 1, 12.9 in at 60 degrees with
/// the horizontal (Chicago's archived code).
#[test]
fn a_load_spreads_through_timber() {
    prints(spread_through(6.0, 100.0, 0.0, 1.0), 18.0, 0.1, "45 degrees");
    prints(spread_through(6.0, 100.0, 0.0, 0.5), 12.0, 0.1, "2 : 1");
    prints(
        spread_through(6.0, 100.0, 0.0, 60f64.to_radians().tan().recip()),
        12.9,
        0.1,
        "60 degrees",
    );
}

#[test]
fn it_ends_at_the_edge_and_stays_centred_under_the_post() {
    prints(spread_through(6.0, 12.0, 0.0, 1.0), 12.0, 0.1, "the whole sill");
    // 2 in off the middle of 12 in: 1 in left on the near side.
    prints(spread_through(6.0, 12.0, 2.0, 1.0), 8.0, 0.1, "off the middle");
    prints(spread_through(6.0, 12.0, -2.0, 1.0), 8.0, 0.1, "either way");
    // Off by 4 in the plate sticks out by 1 in: less than the plate is left.
    prints(spread_through(6.0, 12.0, 4.0, 1.0), 4.0, 0.1, "over the edge");
}

/// 6.0 kip (26.7 kN): 4.0, 3.0, 2.0 square feet at 1500, 2000, 3000 psf (IBC Table 1806.2 values).
#[test]
fn mudsills_for_six_kips() {
    for (square_feet, psf) in [(4.0, 1500.0), (3.0, 2000.0), (2.0, 3000.0)] {
        let mut w = Work::silent();
        let p = given(&mut w, "P", 6000.0 * LB, Kind::Force);
        let side = given(&mut w, "b", 12.0 * INCH * f64::sqrt(square_feet), Kind::Length);
        prints(pressure(&mut w, &p, &side, &side).si / PSI * 144.0, psf, 1.0, "psf");
    }
}

/// 10 psi under 18 in of a 12 in wide, 3 in thick sill with a 6 in plate: 10 x 12 x 6² / 2 = 2160 lb in
/// over 12 x 3² / 6 = 18 in³: 120 psi (by hand).
#[test]
fn a_sill_bends_as_a_cantilever() {
    let mut w = Work::silent();
    let length = |w: &mut Work, s, inches: f64| given(w, s, inches * INCH, Kind::Length);
    let q = given(&mut w, "q", 10.0 * PSI, Kind::Stress);
    let (l, b) = (length(&mut w, "l", 18.0), length(&mut w, "b", 6.0));
    let (wide, t) = (length(&mut w, "w", 12.0), length(&mut w, "t", 3.0));
    prints(bending(&mut w, &q, &l, &b, &wide, &t).si / PSI, 120.0, 0.1, "psi");
}
