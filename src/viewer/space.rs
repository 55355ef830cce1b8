//! From the model's metres, Z up, to the window's `f32`, Y up.

use crate::assembly::model::{Member, Point, Vector};
use crate::assembly::{Assembly, Role};
use bevy::math::{Mat3, Quat, Vec3};
use bevy::prelude::Transform;

/// The middle of everything in plan, so that coordinates stay small where the site's don't.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Origin(pub [f64; 3]);

impl Origin {
    /// Middle of the members' bounds, at level 0.
    #[must_use]
    pub fn of(assembly: &Assembly) -> Self {
        let mut low = [f64::INFINITY; 2];
        let mut high = [f64::NEG_INFINITY; 2];
        for end in assembly.members.iter().flat_map(|m| m.ends) {
            for axis in 0..2 {
                if end[axis].is_finite() {
                    low[axis] = low[axis].min(end[axis]);
                    high[axis] = high[axis].max(end[axis]);
                }
            }
        }
        let middle = |axis: usize| {
            if low[axis] <= high[axis] { f64::midpoint(low[axis], high[axis]).round() } else { 0.0 }
        };
        Self([middle(0), middle(1), 0.0])
    }
    #[must_use]
    pub fn point(&self, p: Point) -> Vec3 {
        self.place([p.x, p.y, p.z])
    }
    #[must_use]
    pub fn place(&self, p: [f64; 3]) -> Vec3 {
        turn([p[0] - self.0[0], p[1] - self.0[1], p[2] - self.0[2]])
    }
}

/// A direction or displacement.
#[must_use]
pub fn turn(v: [f64; 3]) -> Vec3 {
    Vec3::new(v[0] as f32, v[2] as f32, -v[1] as f32)
}

#[must_use]
pub fn vector(v: Vector) -> Vec3 {
    turn([v.x, v.y, v.z])
}

/// How a member's shape lies in its own frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lie {
    /// Along local +Y from the first end; upright, plates turned with the block.
    Upright,
    /// Along local +Y from the first end, local +Z upwards.
    Along,
    /// Local origin at the middle of the top face, local Y upwards.
    Flat,
}

#[must_use]
pub fn lie(role: Role) -> Lie {
    match role {
        Role::Post | Role::Prop | Role::Clip => Lie::Upright,
        Role::Sill | Role::Sheet => Lie::Flat,
        _ => Lie::Along,
    }
}

/// Angle in plan by which the member's block is turned, radians.
#[must_use]
pub fn turned(assembly: &Assembly, member: &Member) -> f32 {
    let of_block = |name: &String| {
        assembly.scene.blocks.iter().find(|b| b.name == *name).map(|b| b.turned.si() as f32)
    };
    member.block.as_ref().and_then(of_block).unwrap_or(0.0)
}

/// Where a member's shape goes, given its two ends in the window's space and the length its
/// shape was made for.
#[must_use]
pub fn transform(role: Role, ends: [Vec3; 2], made_for: f32, turned: f32) -> Transform {
    let axis = ends[1] - ends[0];
    match lie(role) {
        Lie::Flat => Transform::from_translation((ends[0] + ends[1]) * 0.5)
            .with_rotation(Quat::from_rotation_y(turned)),
        Lie::Upright => {
            let rotation = axis
                .try_normalize()
                .map_or(Quat::IDENTITY, |d| Quat::from_rotation_arc(Vec3::Y, d))
                * Quat::from_rotation_y(turned);
            Transform::from_translation(ends[0])
                .with_rotation(rotation)
                .with_scale(stretched(axis, made_for))
        }
        Lie::Along => Transform::from_translation(ends[0])
            .with_rotation(along(axis))
            .with_scale(stretched(axis, made_for)),
    }
}

fn stretched(axis: Vec3, made_for: f32) -> Vec3 {
    let length = axis.length();
    if made_for > 1e-6 && length > 1e-6 {
        Vec3::new(1.0, length / made_for, 1.0)
    } else {
        Vec3::ONE
    }
}

/// Turns +Y along the axis with +Z as far up as it can be.
fn along(axis: Vec3) -> Quat {
    let Some(y) = axis.try_normalize() else { return Quat::IDENTITY };
    let side = y.cross(Vec3::Y).try_normalize().unwrap_or(Vec3::X);
    let up = side.cross(y);
    Quat::from_mat3(&Mat3::from_cols(y.cross(up), y, up))
}
