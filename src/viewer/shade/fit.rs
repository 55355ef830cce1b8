//! What the two maps of shadows hold: squares as seen from the sun, in sizes and places of a coarse grid, so that
//! a small change of the eye asks for no other.
//!
//! Known to work by `tests/viewer/shade.rs`: every caster and its shadow on the ground lies in the whole
//! map, what the eye looks at in the near one, and the matrices agree with Bevy's own way.

use crate::viewer::camera::corners;
use crate::viewer::pose::Pose;
use crate::viewer::scenery::SUN;
use bevy::camera::primitives::Aabb;
use bevy::light::cascade::Cascade;
use bevy::math::{Mat4, Quat, Vec2, Vec3, Vec4};
use bevy::prelude::GlobalTransform;

/// The near map reaches so many times the eye's distance from the point it looks at.
const REACH: f32 = 1.0;
/// It is laid only where it is so many times finer than the whole.
const FINER: f32 = 1.3;
/// Where it is so many times too coarse, or too small, it is laid anew in the middle of a move.
const FAR_OFF: f32 = 2.9;

/// A square as seen from the sun, metres, in the frame that is turned as the sun is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Map {
    pub extent: f32,
    pub centre: Vec2,
    /// Nearest to the sun, and how deep from there.
    pub top: f32,
    pub depth: f32,
}

/// Both maps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    pub whole: Map,
    /// None where the whole is fine enough.
    pub near: Option<Map>,
}

/// Box about all of these, in the window's space.
pub fn about<'a>(all: impl Iterator<Item = (&'a Aabb, &'a GlobalTransform)>) -> Option<[Vec3; 2]> {
    let mut out: Option<[Vec3; 2]> = None;
    for (bounds, place) in all {
        let own = [Vec3::from(bounds.min()), Vec3::from(bounds.max())];
        for corner in corners(Some(own)) {
            let p = place.transform_point(corner);
            if p.is_finite() {
                let [low, high] = out.get_or_insert([p, p]);
                *low = low.min(p);
                *high = high.max(p);
            }
        }
    }
    out
}

/// The next size that there are maps of: two to each doubling.
fn size(metres: f32) -> f32 {
    ((2.0 * metres.max(0.5).log2()).ceil() * 0.5).exp2()
}

impl Fit {
    /// For casters in a box, seen by an eye. `turn` is the sun's.
    #[must_use]
    pub fn of(casters: Option<[Vec3; 2]>, turn: Quat, eye: &Pose) -> Self {
        let [low, high] = casters.unwrap_or([Vec3::splat(-3.0), Vec3::splat(3.0)]);
        let from_sun = turn.inverse();
        let mut least = Vec3::INFINITY;
        let mut most = Vec3::NEG_INFINITY;
        for p in corners(Some([low, high])) {
            // Where its shadow falls on the ground.
            let down = p + SUN * ((p.y - low.y) / -SUN.y);
            for p in [p, down] {
                let seen = from_sun * p;
                least = least.min(seen);
                most = most.max(seen);
            }
        }
        let top = (most.z + 1.0).ceil();
        // Ground may lie lower than the lowest caster.
        let depth = (top - least.z + 20.0).ceil();
        let across = (most - least).truncate();
        let extent = size(across.max_element() + 2.0);
        let centre = ((least + most) * 0.5).truncate().round();
        let whole = Map { extent, centre, top, depth };
        let extent = size(2.0 * REACH * eye.distance());
        let grid = extent / 8.0;
        let centre = ((from_sun * eye.target).truncate() / grid).round() * grid;
        let near = Map { extent, centre, ..whole };
        Self { whole, near: (extent * FINER < whole.extent).then_some(near) }
    }

    /// Whether these maps still do, where `wanted` would be right: what casts lies in them, and what is
    /// looked at is shown neither much too coarsely nor outside of the near one.
    #[must_use]
    pub fn serves(&self, wanted: &Self) -> bool {
        if self.whole != wanted.whole {
            return false;
        }
        match (self.near, wanted.near) {
            (_, None) => true,
            (None, Some(near)) => near.extent * FAR_OFF > self.whole.extent,
            (Some(held), Some(near)) => {
                let off = (held.centre - near.centre).abs().max_element();
                held.extent < near.extent * FAR_OFF
                    && near.extent < held.extent * FAR_OFF
                    && off < held.extent * 0.4
            }
        }
    }

    /// The maps as the renderer takes them: near and whole. Where there is no near one, nothing lies in it.
    #[must_use]
    pub fn cascades(&self, turn: Quat, points: usize) -> [Cascade; 2] {
        let nowhere = Map { extent: 1.0, centre: Vec2::splat(1e6), ..self.whole };
        [self.near.unwrap_or(nowhere), self.whole].map(|map| map.cascade(turn, points))
    }
}

impl Map {
    /// As Bevy's `calculate_cascade` makes it: the middle on a whole point of the map, depth reversed.
    fn cascade(&self, turn: Quat, points: usize) -> Cascade {
        let texel_size = self.extent / points as f32;
        let middle = ((self.centre / texel_size).floor() * texel_size).extend(self.top);
        let world_from_light = Mat4::from_quat(turn);
        let light_from_world = world_from_light.transpose();
        let cascade_from_world = Mat4::from_cols(
            light_from_world.x_axis,
            light_from_world.y_axis,
            light_from_world.z_axis,
            (-middle).extend(1.0),
        );
        let world_from_cascade = Mat4::from_cols(
            world_from_light.x_axis,
            world_from_light.y_axis,
            world_from_light.z_axis,
            world_from_light * middle.extend(1.0),
        );
        let (across, along) = (2.0 / self.extent, self.depth.recip());
        let clip_from_cascade = Mat4::from_cols(
            Vec4::new(across, 0.0, 0.0, 0.0),
            Vec4::new(0.0, across, 0.0, 0.0),
            Vec4::new(0.0, 0.0, along, 0.0),
            Vec4::new(0.0, 0.0, 1.0, 1.0),
        );
        Cascade {
            world_from_cascade,
            clip_from_cascade,
            clip_from_world: clip_from_cascade * cascade_from_world,
            texel_size,
        }
    }
}
