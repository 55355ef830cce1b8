//! Tubes, rectangles and strips by hand.

use super::{INCH, LB, PSI, given, prints};
use standwell::capacity::tube::{Tube, resistance};
use standwell::capacity::{Kind, Missing, Work, rectangle, sheet};
use standwell::criteria::Pack;
use standwell::equipment::Library;
use standwell::equipment::model::{Material, Post};
use standwell::units::{Area, Length, Pressure, SecondMoment};
use std::f64::consts::PI;

fn post() -> Post {
    let library: Library =
        ron::from_str(include_str!("../../assets/equipment/sample.ron")).unwrap();
    library.posts["post-10"].clone()
}

fn eu() -> Pack {
    ron::from_str(include_str!("../../assets/criteria/eu.ron")).unwrap()
}

/// CHS 48.3 x 3.2, 235 N/mm²: A 453.4 mm², I 115 857 mm⁴ (EN 10219-2 dimensions, recomputed), so
/// squash 106.5 kN and 2 I / D f_y = 1.127 kN m; over 1.65.
#[test]
fn a_tube_squashes_and_bends() {
    let mut post = post();
    post.inner.outside = Length(0.0483);
    post.inner.area = Area(453.4e-6);
    post.inner.i = SecondMoment(115_857e-12);
    post.inner.fy = Pressure(235e6);
    post.pin_hole = Some(Length(0.0));
    let mut w = Work::silent();
    let found = resistance(&mut w, &eu(), ("tube", &post), Tube::Inner).unwrap();
    prints(found.n.si * 1.65 / 1e3, 106.5, 0.1, "N in kN");
    prints(found.m.si * 1.65 / 1e3, 1.127, 1e-3, "M in kN m");
}

/// Pin holes: against the section cut into thin slices, walls of two holes left out.
#[test]
fn pin_holes_take_off_what_slices_take_off() {
    let mut post = post();
    let hole = 0.014;
    post.pin_hole = Some(Length(hole));
    let outside: f64 = post.inner.outside.si();
    let inside = (outside * outside - 4.0 * post.inner.area.si() / PI).sqrt();
    let (mut area, mut i) = (0.0, 0.0);
    let slices = 200_000;
    for k in 0..slices {
        let y = (f64::from(k) + 0.5) / f64::from(slices) * outside - 0.5 * outside;
        let chord = |d: f64| (d * d / 4.0 - y * y).max(0.0).sqrt() * 2.0;
        let mut width = chord(outside) - chord(inside);
        // The hole runs along y through the top and bottom of the ring.
        if y.abs() > 0.5 * inside {
            width = (width - hole).max(0.0);
        } else {
            // Where the bore is narrower than the hole its corner cuts a sliver more.
            width = width.min((chord(outside) - chord(inside).max(hole)).max(0.0));
        }
        area += width * outside / f64::from(slices);
        i += width * y * y * outside / f64::from(slices);
    }
    let pack = eu();
    let mut w = Work::silent();
    let found = resistance(&mut w, &pack, ("post", &post), Tube::Inner).unwrap();
    let fy = post.inner.fy.si() / pack.factor_on_steel.value;
    assert!((found.n.si / (area * fy) - 1.0).abs() < 0.005, "{} {}", found.n.si, area * fy);
    let m = 2.0 * i / outside * fy;
    assert!((found.m.si / m - 1.0).abs() < 0.01, "{} {m}", found.m.si);
    post.pin_hole = Some(Length(0.0));
    let whole = resistance(&mut w, &pack, ("post", &post), Tube::Inner).unwrap();
    assert!(whole.m.si > 1.05 * found.m.si, "a hole costs something");
}

#[test]
fn what_is_not_stated_is_missing() {
    let mut w = Work::silent();
    let mut without = post();
    without.pin_hole = None;
    let found = resistance(&mut w, &eu(), ("post", &without), Tube::Inner);
    assert_eq!(found, Err(Missing::new("post", "pin_hole (0 mm where it has none)")));
    assert!(resistance(&mut w, &eu(), ("post", &without), Tube::Outer).is_ok());
    without.material = None;
    assert!(resistance(&mut w, &eu(), ("post", &without), Tube::Outer).is_err());
}

#[test]
fn the_factor_is_that_of_the_material() {
    let mut w = Work::silent();
    let (steel, mut other) = (post(), post());
    other.material = Some(Material::Timber);
    let of = |w: &mut Work, p: &Post| resistance(w, &eu(), ("post", p), Tube::Outer).unwrap().n.si;
    assert!((of(&mut w, &steel) / of(&mut w, &other) - 2.79 / 1.65).abs() < 1e-9);
}

/// 4 x 4 (3.5 in): S = 7.146 in³ and V capacity per NDS 3.3.2 and 3.4.2 (handbook section
/// properties, from memory): 900 psi carries 6431 lb in; 180 psi carries 1470 lb.
#[test]
fn a_four_by_four_bends_and_shears() {
    let mut w = Work::silent();
    let b = given(&mut w, "b", 3.5 * INCH, Kind::Length);
    let m = given(&mut w, "M", 6431.0 * LB * INCH, Kind::Moment);
    prints(rectangle::bending(&mut w, &m, &b, &b).si / PSI, 900.0, 1.0, "fb, psi");
    let v = given(&mut w, "V", 1470.0 * LB, Kind::Force);
    prints(rectangle::shear(&mut w, &v, &b, &b).si / PSI, 180.0, 1.0, "fv, psi");
}

/// Strips against wL²/8, wL/2, 5wL⁴/384EI and PL/4, PL³/48EI of any handbook: 100 psf over 24 in of
/// 3/4 in board of 1.5e6 psi, 12 in wide: M 600 lb in, V 100 lb, sag 0.0683 in.
#[test]
fn a_strip_of_sheet() {
    let mut w = Work::silent();
    let q = given(&mut w, "q", 100.0 / 144.0 * PSI, Kind::Stress);
    let none = given(&mut w, "P", 0.0, Kind::Force);
    let b = given(&mut w, "b", 12.0 * INCH, Kind::Length);
    let l = given(&mut w, "L", 24.0 * INCH, Kind::Length);
    let (m, v) = sheet::forces(&mut w, &q, &none, &b, &l);
    prints(m.si / (LB * INCH), 600.0, 0.1, "M");
    prints(v.si / LB, 100.0, 0.1, "V");
    let e = given(&mut w, "E", 1.5e6 * PSI, Kind::Stress);
    let t = given(&mut w, "t", 0.75 * INCH, Kind::Length);
    let sag = sheet::sag(&mut w, &q, &none, &b, &l, &e, &t).si / INCH;
    // I = 12 x 0.75³ / 12 = 0.4219 in⁴; w = 8.333 lb/in.
    prints(sag, 5.0 * 8.3333 * 24f64.powi(4) / (384.0 * 1.5e6 * 0.421_875), 1e-4, "sag");
    let p = given(&mut w, "P", 250.0 * LB, Kind::Force);
    let zero = given(&mut w, "q", 0.0, Kind::Stress);
    let (m, _) = sheet::forces(&mut w, &zero, &p, &b, &l);
    prints(m.si / (LB * INCH), 250.0 * 24.0 / 4.0, 0.1, "PL/4");
    let sag = sheet::sag(&mut w, &zero, &p, &b, &l, &e, &t).si / INCH;
    prints(sag, 250.0 * 24f64.powi(3) / (48.0 * 1.5e6 * 0.421_875), 1e-4, "PL³/48EI");
}
