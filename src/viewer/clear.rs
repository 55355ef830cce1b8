//! The eye stays where there is something to see: above the ground and outside of what is built; and
//! where nothing of the job is in its sight, that is said.
//!
//! Known to work by `tests/viewer/clear.rs`: zoomed in as far as it goes, at every place of the picture and
//! from all sides, the eye is above the ground and no nearer to a body than what is drawn begins.

use crate::viewer::camera::{Eye, is_drawing};
use crate::viewer::members::{Bodies, Body};
use crate::viewer::pose::Pose;
use crate::viewer::sight::Sight;
use crate::viewer::stage_paint::{Paint, Painted};
use bevy::prelude::*;

/// So far above the ground, metres.
pub const ABOVE: f32 = 0.25;
/// So far from a body, metres: what is drawn begins at a twentieth of a metre before the eye.
pub const CLEAR: f32 = 0.2;
/// The eye is tilted out of the ground up to this angle, radians; farther it is lifted.
const TILT: f32 = 0.1;
/// How far back it goes to get out of a body, and in what steps, metres.
const BACK: f32 = 4.0;
const STEP: f32 = 0.1;

/// Keeps the place where the eye is going to clear of the ground and of bodies.
pub fn keep(mut eye: ResMut<'_, Eye>, bodies: Res<'_, Bodies>, painted: Res<'_, Painted>) {
    if !(eye.is_changed() || painted.is_changed()) {
        return;
    }
    let goal = clear(eye.goal, &bodies, &painted.paints);
    if goal != eye.goal {
        eye.goal = goal;
    }
}

/// The nearest pose at which the eye is clear of the ground and of every body that is drawn. A drawing,
/// seen from far off through a long lens, is left as it is.
#[must_use]
pub fn clear(pose: Pose, bodies: &Bodies, paints: &[Paint]) -> Pose {
    let Some([low, _]) = bodies.bounds.filter(|_| !is_drawing(&pose)) else { return pose };
    let pose = above(pose, low.y + ABOVE);
    let back = pose.rotation() * Vec3::Z;
    let eye = pose.transform().translation;
    let steps = (BACK / STEP) as u32;
    (0..=steps)
        .map(|k| back * (k as f32 * STEP))
        .find(|by| !is_inside(eye + *by, bodies, paints))
        .map_or(pose, |by| above(Pose { target: pose.target + by, ..pose }, low.y + ABOVE))
}

/// With the eye no lower than a level: tilted where that is little, else lifted with what it looks at.
fn above(mut pose: Pose, level: f32) -> Pose {
    let sine = (level - pose.target.y) / pose.distance();
    if pose.pitch.sin() >= sine {
        return pose;
    }
    let tilted = sine.clamp(-1.0, 1.0).asin();
    if tilted <= TILT {
        pose.pitch = pose.pitch.max(tilted);
    }
    let low = level - pose.transform().translation.y;
    pose.target.y += low.max(0.0);
    pose
}

/// Whether a point is inside of a body that is drawn, or too near to one.
fn is_inside(eye: Vec3, bodies: &Bodies, paints: &[Paint]) -> bool {
    let near = |square: &&crate::viewer::members::Square| {
        let low = Vec3::from(square.bounds.min()) - CLEAR;
        let high = Vec3::from(square.bounds.max()) + CLEAR;
        eye.cmpge(low).all() && eye.cmple(high).all()
    };
    bodies.squares.iter().filter(near).flat_map(|s| &s.members).any(|&i| {
        paints.get(i).is_some_and(|p| p.coat.is_some())
            && bodies.members.get(i).is_some_and(|body| is_near(eye, body, bodies))
    })
}

fn is_near(eye: Vec3, body: &Body, bodies: &Bodies) -> bool {
    let Some(&[low, high]) = bodies.boxes.get(body.shape) else { return false };
    let home = &body.home;
    // Turned back, not made shorter: distances stay what they are.
    let local = home.rotation.inverse() * (eye - home.translation);
    let (a, b) = (low * home.scale, high * home.scale);
    local.distance_squared(local.clamp(a.min(b), a.max(b))) < CLEAR * CLEAR
}

/// Looks for something of the job in sight.
#[derive(Default)]
pub struct InSight {
    /// What was seen last: most often it still is.
    last: usize,
}

impl InSight {
    /// Whether there is something to be drawn, and nothing of it is in sight.
    pub fn is_empty(&mut self, sight: &Sight, bodies: &Bodies, paints: &[Paint]) -> bool {
        let drawn = |i: usize| paints.get(i).is_some_and(|p| *p != Paint::NOTHING);
        let seen = |i: usize| {
            let Some(body) = bodies.members.get(i).filter(|_| drawn(i)) else { return false };
            let reach = bodies.boxes.get(body.shape).map_or(0.0, across);
            sight.meets(body.ends, reach)
        };
        if seen(self.last) {
            return false;
        }
        match (0..bodies.members.len()).find(|&i| seen(i)) {
            Some(found) => {
                self.last = found;
                false
            }
            None => (0..bodies.members.len()).any(drawn),
        }
    }
}

/// How far a shape reaches from the line between its ends, metres: a bar lies along its second axis, a sheet
/// flat about the middle of the line between two corners.
fn across([low, high]: &[Vec3; 2]) -> f32 {
    let size = *high - *low;
    let is_bar = size.y >= size.x.max(size.z);
    0.05 + if is_bar { size.x.hypot(size.z) * 0.5 } else { size.length() * 0.5 }
}
