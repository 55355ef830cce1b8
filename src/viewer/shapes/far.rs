//! Members seen from far off, where a tube is a pixel or two wide: few corners, few lines.

use super::draft::Draft;
use bevy::prelude::Vec3;

/// A beam along +Y as a box without ends: top, bottom and sides, each in the shade its parts have
/// together. Its upper edges are drawn.
#[must_use]
pub(super) fn beam(length: f32, depth: f32, width: f32, middle: f32, shades: Shades) -> Draft {
    let mut d = Draft::default();
    let (low, high, w) = (middle - depth / 2.0, middle + depth / 2.0, width / 2.0);
    let at = Vec3::new;
    d.strip([at(-w, 0.0, high), at(w, 0.0, high)], length, Vec3::Z, shades.top);
    d.strip([at(-w, 0.0, low), at(w, 0.0, low)], length, Vec3::NEG_Z, shades.bottom);
    d.strip([at(w, 0.0, low), at(w, 0.0, high)], length, Vec3::X, shades.sides);
    d.strip([at(-w, 0.0, low), at(-w, 0.0, high)], length, Vec3::NEG_X, shades.sides);
    for x in [-w, w] {
        d.edges.extend([[x, 0.0, high], [x, length, high]]);
    }
    d
}

/// How light the sides of a far beam are against the member's colour.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shades {
    pub top: f32,
    pub bottom: f32,
    pub sides: f32,
}

/// A flat piece about the middle of its top face; the edges of its top are drawn.
#[must_use]
pub(super) fn plate(along_x: f32, along_z: f32, thickness: f32, shade: f32) -> Draft {
    let mut d = Draft::default();
    let (x, z) = (along_x.abs() / 2.0, along_z.abs() / 2.0);
    d.faces(Vec3::new(-x, -thickness, -z), Vec3::new(x, 0.0, z), shade);
    let corners = [[-x, 0.0, -z], [x, 0.0, -z], [x, 0.0, z], [-x, 0.0, z]];
    for k in 0..4 {
        d.edges.extend([corners[k], corners[(k + 1) % 4]]);
    }
    d
}
