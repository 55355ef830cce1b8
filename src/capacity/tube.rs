//! What a tube's cross-section carries: squash load N_R and moment M_R, pin holes taken off.
//!
//! Yield over the elastic section: no plastic reserve is taken, though a round tube has a quarter
//! more. Known to work: CHS 48.3 x 3.2 by hand in `tests/capacity/section.rs`.

use super::Missing;
use super::work::{Kind, Value, Work};
use crate::criteria::Pack;
use crate::equipment::model::{Material, Post, Section};
use std::f64::consts::PI;

/// Elementary strength of materials; what is taken off for pins follows from geometry.
pub const SOURCE: &str = "strength of materials, elastic section";

/// Which tube of a post.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tube {
    Outer,
    Inner,
}

/// Resistances under working loads, newtons and newton metres.
#[derive(Clone, Debug, PartialEq)]
pub struct Resistance {
    pub n: Value,
    pub m: Value,
}

/// N_R and M_R of a tube of a post under working loads: yield over the pack's factor on the
/// material, with the pin holes of the inner tube taken off.
///
/// # Errors
/// Where the part does not say its material, or whether it has pin holes.
pub fn resistance(
    w: &mut Work,
    pack: &Pack,
    (name, post): (&str, &Post),
    tube: Tube,
) -> Result<Resistance, Missing> {
    let section = match tube {
        Tube::Outer => &post.outer,
        Tube::Inner => &post.inner,
    };
    let material = post.material.ok_or_else(|| Missing::new(name, "material"))?;
    let hole = match tube {
        Tube::Outer => 0.0,
        Tube::Inner => post
            .pin_hole
            .ok_or_else(|| Missing::new(name, "pin_hole (0 mm where it has none)"))?
            .si(),
    };
    let (area, i) = net(w, section, hole);
    let fy = w.given("f_y", "yield stress of the tube", section.fy.si(), Kind::Stress, name);
    let outside = w.given("D", "outside of the tube", section.outside.si(), Kind::Length, name);
    let factor = factor(w, pack, material);
    let n = w.line(
        "N_R",
        "axial resistance of the section",
        "A*f_y/F",
        Kind::Force,
        &[&area, &fy, &factor],
        SOURCE,
        |v| v[0] * v[1] / v[2],
    );
    let m = w.line(
        "M_R",
        "bending resistance of the section",
        "2*I/D*f_y/F",
        Kind::Moment,
        &[&i, &outside, &fy, &factor],
        SOURCE,
        |v| 2.0 * v[0] / v[1] * v[2] / v[3],
    );
    Ok(Resistance { n, m })
}

/// Area and second moment of a tube without a hole right through it across the bending axis.
fn net(w: &mut Work, section: &Section, hole: f64) -> (Value, Value) {
    let area = w.given("A", "area of the tube", section.area.si(), Kind::Area, "part data");
    let i =
        w.given("I", "second moment of the tube", section.i.si(), Kind::SecondMoment, "part data");
    if hole <= 0.0 {
        return (area, i);
    }
    let outside = section.outside.si();
    let inside = (outside * outside - 4.0 * section.area.si() / PI).max(0.0).sqrt();
    let wall =
        w.given("t", "wall, from outside and area", 0.5 * (outside - inside), Kind::Length, SOURCE);
    let d = w.given("d_p", "pin hole", hole, Kind::Length, "part data");
    let ring = w.given("D_m", "middle of the wall", outside - wall.si, Kind::Length, SOURCE);
    let i = w.line(
        "I",
        "second moment without both holes at the outermost fibre",
        "I-2*d_p*t*(D_m/2)^2",
        Kind::SecondMoment,
        &[&i, &d, &wall, &ring],
        SOURCE,
        |v| v[0] - 2.0 * v[1] * v[2] * (0.5 * v[3]).powi(2),
    );
    let area = w.line(
        "A",
        "area without both holes",
        "A-2*d_p*t",
        Kind::Area,
        &[&area, &d, &wall],
        SOURCE,
        |v| v[0] - 2.0 * v[1] * v[2],
    );
    (area, i)
}

/// The pack's factor on what is computed from a section.
pub fn factor(w: &mut Work, pack: &Pack, material: Material) -> Value {
    let rule = match material {
        Material::Steel => &pack.factor_on_steel,
        Material::Aluminium => &pack.factor_on_aluminium,
        Material::Timber => &pack.factor_on_timber,
    };
    w.given("F", "factor of the pack on the material", rule.value, Kind::Number, &rule.source)
}
