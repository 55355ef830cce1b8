//! Beams and bars along +Y: I-shaped ledgers and joists, plain fillers, thin braces, ties, clips.

use super::draft::Draft;
use super::far::{self, Shades};
use bevy::prelude::Vec3;

const FLANGE: f32 = 1.0;
const WEB: f32 = 0.82;
const TIMBER: f32 = 1.25;

/// An I-shaped beam. `middle` is the height of its middle above its axis.
#[must_use]
pub fn i_beam(length: f32, depth: f32, width: f32, middle: f32, nailer: bool) -> Draft {
    let mut d = Draft::default();
    let (h, w) = (depth / 2.0, width / 2.0);
    let flange = (depth * 0.14).clamp(0.008, 0.05);
    let web = (width * 0.14).clamp(0.004, 0.02);
    let gap = 0.012f32.min(length * 0.1);
    let (from, to) = (gap, length - gap);
    let at = |z: f32| middle + z;
    d.faces(Vec3::new(-w, from, at(-h)), Vec3::new(w, to, at(-h + flange)), FLANGE);
    d.faces(
        Vec3::new(-w, from, at(h - flange)),
        Vec3::new(w, to, at(h)),
        if nailer { TIMBER } else { FLANGE },
    );
    d.faces(Vec3::new(-web, from, at(-h + flange)), Vec3::new(web, to, at(h - flange)), WEB);
    for y in [from, to - 0.01] {
        d.faces(Vec3::new(-w * 0.9, y, at(-h)), Vec3::new(w * 0.9, y + 0.01, at(h)), WEB);
    }
    // Only the long edges of the flanges and the ends: the rest is too fine to draw.
    for x in [-w, w] {
        for z in [-h, -h + flange, h - flange, h] {
            d.edges.extend([[x, from, at(z)], [x, to, at(z)]]);
        }
    }
    for y in [from, to] {
        for z in [-h, h] {
            d.edges.extend([[-w, y, at(z)], [w, y, at(z)]]);
        }
        for x in [-w, w] {
            d.edges.extend([[x, y, at(-h)], [x, y, at(h)]]);
        }
    }
    d
}

/// A plain rectangular beam.
#[must_use]
pub fn box_beam(length: f32, depth: f32, width: f32, middle: f32) -> Draft {
    let mut d = Draft::default();
    let (h, w) = (depth / 2.0, width / 2.0);
    d.block(Vec3::new(-w, 0.0, middle - h), Vec3::new(w, length, middle + h), FLANGE);
    d
}

/// A thin tube with a coupler at each end.
#[must_use]
pub fn tube(length: f32, outside: f32) -> Draft {
    let mut d = Draft::default();
    let r = (outside / 2.0).clamp(0.008, 0.05);
    d.tube(0.0, length, r, 10, FLANGE);
    for y in [0.0, length] {
        let (low, high) = ((y - 0.035).max(-0.035), y + 0.035);
        d.block(Vec3::new(-r * 1.7, low, -r * 1.7), Vec3::new(r * 1.7, high, r * 1.7), WEB);
    }
    d
}

/// A hold-down clip: a yoke about a beam of this depth and width, standing on the post's head.
#[must_use]
pub fn clip(depth: f32, width: f32) -> Draft {
    let mut d = Draft::default();
    let (w, h) = (width / 2.0 + 0.014, depth / 2.0 + 0.014);
    for x in [-w, w] {
        d.block(Vec3::new(x - 0.007, -h, -0.02), Vec3::new(x + 0.007, h, 0.02), FLANGE);
    }
    d.block(Vec3::new(-w, h - 0.007, -0.02), Vec3::new(w, h + 0.007, 0.02), FLANGE);
    d
}

/// A flat piece from far off.
#[must_use]
pub fn far_plate(along_x: f32, along_z: f32, thickness: f32) -> Draft {
    far::plate(along_x, along_z, thickness, FLANGE)
}

/// A flat piece about the middle of its top face: along x, along z, thickness.
#[must_use]
pub fn plate(along_x: f32, along_z: f32, thickness: f32) -> Draft {
    let mut d = Draft::default();
    let (x, z) = (along_x.abs() / 2.0, along_z.abs() / 2.0);
    d.block(Vec3::new(-x, -thickness, -z), Vec3::new(x, 0.0, z), FLANGE);
    d
}

/// An I-shaped beam from far off.
#[must_use]
pub fn far_i_beam(length: f32, depth: f32, width: f32, middle: f32, nailer: bool) -> Draft {
    // A good quarter of the side is the edges of the flanges.
    let top = if nailer { TIMBER } else { FLANGE };
    far::beam(length, depth, width, middle, Shades { top, bottom: FLANGE, sides: 0.87 })
}

/// A plain beam from far off.
#[must_use]
pub fn far_box_beam(length: f32, depth: f32, width: f32, middle: f32) -> Draft {
    let shades = Shades { top: FLANGE, bottom: FLANGE, sides: FLANGE };
    far::beam(length, depth, width, middle, shades)
}

/// A thin tube from far off.
#[must_use]
pub fn far_tube(length: f32, outside: f32) -> Draft {
    let mut d = Draft::default();
    d.mantle(0.0, length, (outside / 2.0).clamp(0.008, 0.05), 4, FLANGE);
    d
}
