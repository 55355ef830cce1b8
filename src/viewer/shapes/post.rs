//! A post: base plate, jack, outer tube, inner tube of the extension with its collar, head.

use super::draft::Draft;
use crate::equipment::model::{HeadKind, Jack, Post};
use bevy::prelude::Vec3;

const SIDES: u32 = 18;
/// Shades of the pieces: how light each is against the member's colour.
const OUTER: f32 = 1.0;
const INNER: f32 = 1.35;
const DARK: f32 = 0.72;

/// Sizes in metres, with stand-ins where the library lacks the part.
struct Sizes {
    plate: f32,
    outer: f32,
    outer_length: f32,
    inner: f32,
    overlap: f32,
    head: f32,
    kind: HeadKind,
    spindle: f32,
}

/// Along +Y from the foot to the head seat at `length`. `jack`: its part, if known, and how far
/// it is out under the outer tube.
#[must_use]
pub fn draw(post: Option<&Post>, length: f32, jack: Option<(Option<&Jack>, f32)>) -> Draft {
    let sizes = sizes(post, length, jack);
    let mut d = Draft::default();
    let extension = jack.map_or(0.0, |(_, e)| e).clamp(0.0, length * 0.5);
    foot(&mut d, &sizes, extension);
    tubes(&mut d, &sizes, extension, length);
    head(&mut d, &sizes, length);
    d
}

/// The same from far off: its tubes alone.
#[must_use]
pub fn far(post: Option<&Post>, length: f32, jack: Option<(Option<&Jack>, f32)>) -> Draft {
    let s = sizes(post, length, jack);
    let mut d = Draft::default();
    let bottom = jack.map_or(0.0, |(_, e)| e).clamp(0.0, length * 0.5);
    if bottom > 0.02 {
        d.mantle(0.0, bottom, s.spindle, 4, INNER);
    }
    let top = outer_top(&s, bottom + 0.01, length - 0.012);
    d.mantle(bottom, top, s.outer, 6, OUTER);
    d.mantle(top, length, s.inner, 5, INNER);
    d
}

fn sizes(post: Option<&Post>, length: f32, jack: Option<(Option<&Jack>, f32)>) -> Sizes {
    Sizes {
        plate: jack
            .and_then(|(j, _)| j)
            .map(|j| j.plate.si() as f32)
            .or(post.map(|p| p.base_plate.si() as f32))
            .map_or(0.15, |s| s.clamp(0.06, 0.6)),
        outer: post.map_or(0.035, |p| p.outer.outside.si() as f32 / 2.0).clamp(0.015, 0.2),
        outer_length: post.map_or(length * 0.6, |p| p.outer_length.si() as f32),
        inner: post.map_or(0.028, |p| p.inner.outside.si() as f32 / 2.0).clamp(0.012, 0.18),
        overlap: post.map_or(0.3, |p| p.overlap.si() as f32),
        head: post.map_or(0.12, |p| p.head.width.si() as f32).clamp(0.06, 0.5),
        kind: post.map_or(HeadKind::Plate, |p| p.head.kind),
        spindle: jack.and_then(|(j, _)| j).map_or(0.019, |j| j.outside.si() as f32 / 2.0),
    }
}

fn foot(d: &mut Draft, s: &Sizes, extension: f32) {
    let half = s.plate / 2.0;
    d.block(Vec3::new(-half, 0.0, -half), Vec3::new(half, 0.01, half), DARK);
    if extension > 0.02 {
        d.tube(0.01, extension + 0.02, s.spindle, 12, INNER);
        // The nut the outer tube sits on, with its two handles.
        d.tube(extension - 0.03, extension, s.outer * 1.35, 8, DARK);
        d.rim(extension, s.outer * 1.35, 8);
        let reach = s.outer * 3.2;
        d.block(
            Vec3::new(-reach, extension - 0.021, -0.007),
            Vec3::new(reach, extension - 0.009, 0.007),
            DARK,
        );
    } else {
        // Four gussets on the plate.
        let (r, h) = (s.outer * 1.9, s.outer * 2.2);
        d.faces(Vec3::new(-r, 0.01, -0.004), Vec3::new(r, h, 0.004), DARK);
        d.faces(Vec3::new(-0.004, 0.01, -r), Vec3::new(0.004, h, r), DARK);
    }
}

/// Where the outer tube ends, between the foot of it and the head plate.
fn outer_top(s: &Sizes, bottom: f32, top: f32) -> f32 {
    (bottom + s.outer_length).min(top - 0.04).max(bottom + 0.1)
}

fn tubes(d: &mut Draft, s: &Sizes, bottom: f32, length: f32) {
    let bottom = bottom + 0.01;
    let top = length - 0.012;
    let outer_top = outer_top(s, bottom, top);
    d.tube(bottom, outer_top, s.outer, SIDES, OUTER);
    d.rim(outer_top, s.outer, SIDES);
    if outer_top < top {
        let inside = (outer_top - s.overlap.min(0.3)).max(bottom);
        d.tube(inside, top, s.inner, SIDES, INNER);
        // The collar that carries the pin, and the pin through it.
        d.tube(outer_top - 0.012, outer_top + 0.05, s.outer * 1.3, SIDES, DARK);
        d.rim(outer_top + 0.05, s.outer * 1.3, SIDES);
        d.rim(outer_top - 0.012, s.outer * 1.3, SIDES);
        d.block(
            Vec3::new(-s.outer * 2.1, outer_top + 0.058, -0.008),
            Vec3::new(s.outer * 2.1, outer_top + 0.074, 0.008),
            DARK,
        );
    }
}

fn head(d: &mut Draft, s: &Sizes, length: f32) {
    let h = s.head / 2.0;
    d.block(Vec3::new(-h, length - 0.012, -h), Vec3::new(h, length, h), DARK);
    match s.kind {
        HeadKind::Plate => {}
        HeadKind::UHead => {
            for side in [-1.0, 1.0] {
                let x = side * (h - 0.005);
                d.block(
                    Vec3::new(x - 0.005, length, -h),
                    Vec3::new(x + 0.005, length + 0.11, h),
                    DARK,
                );
            }
        }
        HeadKind::DropHead => {
            // Four lugs the beams hook over, and the drop collar with its wedge below.
            for (x, z) in [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)] {
                let (x, z) = (x * (h - 0.012), z * (h - 0.012));
                d.faces(
                    Vec3::new(x - 0.012, length, z - 0.012),
                    Vec3::new(x + 0.012, length + 0.07, z + 0.012),
                    DARK,
                );
            }
            let w = h * 0.82;
            d.block(Vec3::new(-w, length - 0.15, -w), Vec3::new(w, length - 0.115, w), OUTER);
            d.block(
                Vec3::new(-h * 1.25, length - 0.1, -0.012),
                Vec3::new(h * 1.25, length - 0.075, 0.012),
                INNER,
            );
        }
    }
}

/// A post still to come: its axis, the square of its plate, and the square of its head.
#[must_use]
pub fn ghost(length: f32, plate: f32) -> Vec<[f32; 3]> {
    let mut lines = vec![[0.0, 0.0, 0.0], [0.0, length, 0.0]];
    for (y, half) in [(0.0, plate / 2.0), (length, plate / 3.0)] {
        let p = [[-half, y, -half], [half, y, -half], [half, y, half], [-half, y, half]];
        for k in 0..4 {
            lines.extend([p[k], p[(k + 1) % 4]]);
        }
    }
    lines
}
