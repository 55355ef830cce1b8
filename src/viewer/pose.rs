//! Where the eye is: a target, two angles, how much of the world it takes in, and its lens.

use crate::viewer::vocab::NamedView;
use bevy::prelude::{Quat, Transform, Vec2, Vec3};
use std::f32::consts::{FRAC_PI_2, PI, TAU};

/// The lens for looking around, and the long one for drawings, radians of height.
pub const LENS: f32 = 0.56;
pub const LONG_LENS: f32 = 0.05;
const STEEPEST: f32 = FRAC_PI_2 - 0.001;

/// Metres and radians, in the window's space.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    pub target: Vec3,
    /// About the vertical: 0 looks along -Z (along the model's +y).
    pub yaw: f32,
    /// 0 level, positive from above.
    pub pitch: f32,
    /// Height of the world seen at the target.
    pub span: f32,
    /// Angle of view over the height.
    pub lens: f32,
}

impl Default for Pose {
    fn default() -> Self {
        Self { target: Vec3::ZERO, yaw: 0.6, pitch: 0.42, span: 12.0, lens: LENS }
    }
}

impl Pose {
    #[must_use]
    pub fn distance(&self) -> f32 {
        self.span / (2.0 * (self.lens / 2.0).tan())
    }
    #[must_use]
    pub fn rotation(&self) -> Quat {
        Quat::from_rotation_y(self.yaw) * Quat::from_rotation_x(-self.pitch)
    }
    #[must_use]
    pub fn transform(&self) -> Transform {
        let rotation = self.rotation();
        Transform::from_translation(self.target + rotation * Vec3::Z * self.distance())
            .with_rotation(rotation)
    }
    /// Turned by a drag of so many radians.
    #[must_use]
    pub fn orbited(mut self, by: Vec2) -> Self {
        self.yaw -= by.x;
        self.pitch = (self.pitch + by.y).clamp(-0.15, STEEPEST);
        self.lens = LENS;
        self
    }
    /// Moved across the view by parts of its height.
    #[must_use]
    pub fn panned(mut self, by: Vec2) -> Self {
        let rotation = self.rotation();
        self.target += rotation * Vec3::new(-by.x, by.y, 0.0) * self.span;
        self
    }
    /// Closer (below 1) or farther, keeping the point under the pointer, given in parts of the
    /// view's height from its middle.
    #[must_use]
    pub fn zoomed(mut self, factor: f32, pointer: Vec2) -> Self {
        let span = (self.span * factor).clamp(0.4, 2000.0);
        let moved = self.span - span;
        self.target += self.rotation() * Vec3::new(pointer.x, -pointer.y, 0.0) * moved;
        self.span = span;
        self
    }
    /// Angles and lens of a named view, yaw counted so that the turn is the shorter one.
    #[must_use]
    pub fn seen_from(mut self, view: NamedView) -> Self {
        let (yaw, pitch, lens) = match view {
            NamedView::Corner => (0.6, 0.42, LENS),
            NamedView::Plan => (0.0, STEEPEST, LONG_LENS),
            NamedView::Front => (0.0, 0.0, LONG_LENS),
            NamedView::Side => (FRAC_PI_2, 0.0, LONG_LENS),
        };
        let turn = (yaw - self.yaw + PI).rem_euclid(TAU) - PI;
        self.yaw += turn;
        self.pitch = pitch;
        self.lens = lens;
        self
    }
    /// Moved and zoomed so that the points fill the view, with a margin as a share of it.
    #[must_use]
    pub fn fitted(mut self, points: &[Vec3], aspect: f32, margin: f32) -> Self {
        let rotation = self.rotation();
        let back = rotation.inverse();
        let seen: Vec<Vec3> = points.iter().filter(|p| p.is_finite()).map(|p| back * *p).collect();
        let Some(low) = seen.iter().copied().reduce(Vec3::min) else { return self };
        let high = seen.iter().copied().reduce(Vec3::max).unwrap_or(low);
        let tall = (self.lens / 2.0).tan();
        let wide = tall * aspect.max(0.1);
        let room = (1.0 - margin).max(0.2);
        let mut middle = (low + high) * 0.5;
        let mut distance = 0.5f32;
        // What is near looks larger: each round puts the picture, not the box, in the middle.
        for _ in 0..8 {
            distance = 0.5;
            for p in &seen {
                let p = *p - middle;
                distance = distance.max(p.y.abs() / (tall * room) + p.z);
                distance = distance.max(p.x.abs() / (wide * room) + p.z);
            }
            let on_picture = |p: &Vec3| {
                let p = *p - middle;
                Vec2::new(p.x, p.y) / (distance - p.z).max(0.01)
            };
            let least = seen.iter().map(on_picture).reduce(Vec2::min).unwrap_or_default();
            let most = seen.iter().map(on_picture).reduce(Vec2::max).unwrap_or_default();
            middle += ((least + most) * 0.5 * distance).extend(0.0);
        }
        self.target = rotation * middle;
        self.span = (2.0 * distance * tall).max(3.0);
        self
    }
    /// One step of the way to a goal. `share` is the part of the way, 0 to 1.
    #[must_use]
    pub fn toward(&self, goal: &Self, share: f32) -> Self {
        let mix = |a: f32, b: f32| a + (b - a) * share;
        let near = (self.target - goal.target).length() < goal.span * 4e-4
            && (self.yaw - goal.yaw).abs() < 4e-4
            && (self.pitch - goal.pitch).abs() < 4e-4
            && (self.lens - goal.lens).abs() < 2e-4
            && (self.span / goal.span - 1.0).abs() < 1e-3;
        if near {
            return *goal;
        }
        Self {
            target: self.target.lerp(goal.target, share),
            yaw: mix(self.yaw, goal.yaw),
            pitch: mix(self.pitch, goal.pitch),
            // In ratios, so that a zoom feels even.
            span: (mix(self.span.ln(), goal.span.ln())).exp(),
            lens: (mix(self.lens.ln(), goal.lens.ln())).exp(),
        }
    }
}
