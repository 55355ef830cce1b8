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

    /// Whether any part of a line with a thickness may be in sight: `reach` is half of it, metres. It errs
    /// only towards being seen, at the picture's corners.
    #[must_use]
    pub fn meets(&self, ends: [Vec3; 2], reach: f32) -> bool {
        let [a, b] = ends.map(|end| self.view_from_world.transform_point3(end));
        if !(a.is_finite() && b.is_finite()) {
            return false;
        }
        // The four sides of what is seen, as ways inwards, and the plane before the eye.
        let (wide, high) = (self.clip_from_view.x_axis.x, self.clip_from_view.y_axis.y);
        let sides = [
            Vec3::new(wide, 0.0, -1.0),
            Vec3::new(-wide, 0.0, -1.0),
            Vec3::new(0.0, high, -1.0),
            Vec3::new(0.0, -high, -1.0),
            Vec3::NEG_Z,
        ];
        let (mut enter, mut leave) = (0.0f32, 1.0f32);
        for inwards in sides.map(Vec3::normalize) {
            let (from, to) = (inwards.dot(a) + reach, inwards.dot(b) + reach);
            if from < 0.0 && to < 0.0 {
                return false;
            }
            let share = from / (from - to);
            if from < 0.0 {
                enter = enter.max(share);
            } else if to < 0.0 {
                leave = leave.min(share);
            }
        }
        enter <= leave
    }

    /// As [`Self::with_depth`], without the depth.
    #[must_use]
    pub fn at(&self, point: Vec3) -> Option<Vec2> {
        self.with_depth(point).map(Vec3::truncate)
    }
}
