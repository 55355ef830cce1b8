//! Where points of the scene lie on the screen, many at a time: what they have in common is worked out
//! once.
//!
//! Known to work by `tests/viewer/eye.rs`: to the last bit what Bevy's own camera says of each point.

use bevy::math::{Affine3A, Mat4, Rect, Vec2, Vec3, Vec3A};
use bevy::prelude::{Camera, GlobalTransform};

/// What a camera sees from where it is.
#[derive(Clone, Copy, Debug)]
pub struct Sight {
    view_from_world: Affine3A,
    clip_from_view: Mat4,
    /// Its part of the window, logical points.
    part: Rect,
}

impl Sight {
    /// None until the camera knows its part of the window.
    #[must_use]
    pub fn of(camera: &Camera, transform: &GlobalTransform) -> Option<Self> {
        Some(Self {
            view_from_world: transform.affine().inverse(),
            clip_from_view: camera.clip_from_view(),
            part: camera.logical_viewport_rect()?,
        })
    }

    /// Logical points from the window's corner, and metres before the eye. None for what is behind it.
    #[must_use]
    pub fn with_depth(&self, point: Vec3) -> Option<Vec3> {
        let seen = self.view_from_world.transform_point3a(Vec3A::from(point));
        let mut seen = Vec3::from(self.clip_from_view.project_point3a(seen));
        if seen.is_nan() || seen.z < 0.0 || seen.z > 1.0 {
            return None;
        }
        seen.y = -seen.y;
        let at = (seen.truncate() + Vec2::ONE) / 2.0 * self.part.size() + self.part.min;
        Some(at.extend(self.clip_from_view.w_axis.z / seen.z))
    }

    /// As [`Self::with_depth`], without the depth.
    #[must_use]
    pub fn at(&self, point: Vec3) -> Option<Vec2> {
        self.with_depth(point).map(Vec3::truncate)
    }
}
