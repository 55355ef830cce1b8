//! What the job stands in: floors, walls, columns, and the slab to come.

use super::draft::Draft;
use crate::scene::model::{Floor, Permanent, PermanentKind, Slab};
use crate::units::Length;
use crate::viewer::space::Origin;
use bevy::prelude::Vec3;

/// Thickness drawn for a floor; the scene does not state one.
const FLOOR: f32 = 0.2;

/// A floor with an outline, in the window's space. Floors without one are the ground.
#[must_use]
pub fn floor(floor: &Floor, origin: Origin) -> Option<Draft> {
    if floor.outline.len() < 3 {
        return None;
    }
    let outline = outline(&floor.outline, origin);
    let level = floor.level.si() as f32;
    let mut d = Draft::default();
    d.prism(&outline, 0.0, -FLOOR, 1.0);
    let (sx, sy) = (floor.slope.0 as f32, floor.slope.1 as f32);
    let at = |x: f32, z: f32| {
        let (x, y) = (x + origin.0[0] as f32, -z + origin.0[1] as f32);
        level + sx * x + sy * y
    };
    d.lift(at);
    Some(d)
}

/// The slab to be cast, with its drop beams, in the window's space.
#[must_use]
pub fn slab(slab: &Slab, origin: Origin) -> Draft {
    let soffit = slab.soffit.si() as f32;
    let mut d = Draft::default();
    d.prism(&outline(&slab.outline, origin), soffit + slab.thickness.si() as f32, soffit, 1.0);
    for beam in &slab.drop_beams {
        let from = plan(beam.from, origin);
        let to = plan(beam.to, origin);
        strip(&mut d, from, to, beam.width.si() as f32, soffit - beam.drop.si() as f32, soffit);
    }
    d
}

/// A wall or column, in the window's space.
#[must_use]
pub fn permanent(part: &Permanent, origin: Origin) -> Draft {
    let (low, high) = (part.from.si() as f32, part.to.si() as f32);
    let mut d = Draft::default();
    match &part.kind {
        PermanentKind::Column { at, size } => {
            let [x, z] = plan(*at, origin);
            let (hx, hz) = (size.0.si() as f32 / 2.0, size.1.si() as f32 / 2.0);
            d.block(Vec3::new(x - hx, low, z - hz), Vec3::new(x + hx, high, z + hz), 1.0);
        }
        PermanentKind::Wall { from, to, thickness } => {
            let (from, to) = (plan(*from, origin), plan(*to, origin));
            strip(&mut d, from, to, thickness.si() as f32, low, high);
        }
    }
    d
}

fn strip(d: &mut Draft, from: [f32; 2], to: [f32; 2], width: f32, low: f32, high: f32) {
    let (dx, dz) = (to[0] - from[0], to[1] - from[1]);
    let length = dx.hypot(dz);
    if length < 1e-6 {
        return;
    }
    let (nx, nz) = (-dz / length * width / 2.0, dx / length * width / 2.0);
    let corners = [
        [from[0] + nx, from[1] + nz],
        [to[0] + nx, to[1] + nz],
        [to[0] - nx, to[1] - nz],
        [from[0] - nx, from[1] - nz],
    ];
    d.prism(&corners, high, low, 1.0);
}

fn outline(points: &[(Length, Length)], origin: Origin) -> Vec<[f32; 2]> {
    points.iter().map(|p| plan(*p, origin)).collect()
}

/// A plan point as x and z of the window's space.
#[must_use]
pub fn plan(p: (Length, Length), origin: Origin) -> [f32; 2] {
    let v = origin.place([p.0.si(), p.1.si(), 0.0]);
    [v.x, v.z]
}
