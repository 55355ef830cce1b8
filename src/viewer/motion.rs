//! Lets the mechanism or sway of a finding move, slowly.

use crate::viewer::coats::Coats;
use crate::viewer::idle::Wake;
use crate::viewer::members::{Bodies, OfScene};
use crate::viewer::shapes::bulk::{Bulk, For};
use crate::viewer::space;
use crate::viewer::state::ViewerState;
use bevy::camera::visibility::NoAutoAabb;
use bevy::light::NotShadowCaster;
use bevy::prelude::*;
use std::f32::consts::TAU;

/// Seconds for one swing out and back.
const PERIOD: f32 = 4.0;
/// How far the fastest point goes, in parts of the tallest member that moves.
const SWING: f32 = 0.22;

/// Displacement of the two ends of one member, metres.
pub type Ends = [Vec3; 2];

/// A part of the copy of a member that moves while the member itself is hidden.
#[derive(Component)]
pub struct Mover {
    pub member: usize,
    /// Which of the moves is its own.
    moves: usize,
}

/// What moves now, so that it can be put back.
#[derive(Resource, Default)]
pub struct Moving {
    key: Option<(u64, usize)>,
    clock: f32,
    members: Vec<(usize, Ends)>,
}

/// The motion of a finding by member, largest displacement `SWING` of the tallest member.
#[must_use]
pub fn swing(review: &crate::review::Review, finding: usize) -> Vec<(usize, Ends)> {
    let Some(motion) = review.findings.get(finding).and_then(|f| f.evidence.motion.as_ref()) else {
        return Vec::new();
    };
    let mut out: Vec<(usize, Ends)> = Vec::new();
    let (mut tall, mut most) = (0.0f32, 0.0f32);
    for m in &motion.members {
        let Some(id) = review.assembly.find(&m.name) else { continue };
        let ends = [space::turn(m.first_end), space::turn(m.second_end)];
        if !ends.iter().all(|e| e.is_finite()) {
            continue;
        }
        let member = review.assembly.member(id);
        if member.is_post() {
            tall = tall.max(member.length() as f32);
        }
        most = most.max(ends[0].length()).max(ends[1].length());
        out.push((id.index(), ends));
    }
    if most <= 0.0 {
        return Vec::new();
    }
    let scale = SWING * if tall > 0.0 { tall } else { 3.0 } / most;
    for (_, ends) in &mut out {
        *ends = ends.map(|e| e * scale);
    }
    out
}

/// How far out the swing is, -1 to 1, starting from rest.
#[must_use]
pub fn phase(clock: f32) -> f32 {
    (TAU * clock / PERIOD).sin()
}

pub fn animate(
    mut commands: Commands<'_, '_>,
    state: Res<'_, ViewerState>,
    bodies: Res<'_, Bodies>,
    time: Res<'_, Time<Real>>,
    mut moving: ResMut<'_, Moving>,
    mut coats: ResMut<'_, Coats>,
    mut meshes: ResMut<'_, Assets<Mesh>>,
    mut wake: ResMut<'_, Wake>,
    mut movers: Query<'_, '_, (Entity, &Mover, &mut Transform)>,
) {
    let finding = state.finding().map(|(i, _)| i).filter(|_| state.moving);
    let review = state.review.as_ref().filter(|_| bodies.revision == state.revision);
    let key = finding.zip(review).map(|(i, _)| (state.revision, i));
    let out = |clock: f32| {
        state.guide.shown().map_or_else(
            || phase(clock),
            |(_, now)| (now.share * crate::lessons::FARTHEST) as f32 / SWING,
        )
    };
    let place = |i: usize, ends: &Ends, out: f32| {
        let (body, member) = (&bodies.members[i], &review?.assembly.members[i]);
        let now = [body.ends[0] + ends[0] * out, body.ends[1] + ends[1] * out];
        Some(space::transform(member.role, now, member.length() as f32, body.turned))
    };
    if moving.key != key {
        for (entity, ..) in &movers {
            commands.entity(entity).despawn();
        }
        if moving.key.is_some_and(|k| k.0 == bodies.revision) {
            for (i, _) in &moving.members {
                coats.set_moving(*i, false);
            }
        }
        *moving = Moving::default();
        moving.key = key;
        if let (Some(i), Some(review)) = (finding, review) {
            moving.members = swing(review, i);
            for (k, (i, ends)) in moving.members.iter().enumerate() {
                coats.set_moving(*i, true);
                let Some(place) = place(*i, ends, out(0.0)) else { continue };
                for (bulk, caster) in copies(&bodies, *i) {
                    let (bounds, mesh) = (bulk.bounds(), meshes.add(bulk.mesh()));
                    let paint = MeshMaterial3d(coats.material.clone());
                    let mover = Mover { member: *i, moves: k };
                    let part = (OfScene, mover, Mesh3d(mesh), paint, bounds, NoAutoAabb, place);
                    let mut entity = commands.spawn(part);
                    if !caster {
                        entity.insert(NotShadowCaster);
                    }
                }
            }
        }
    }
    if moving.key.is_none() {
        return;
    }
    moving.clock += time.delta_secs().clamp(0.0, 0.1);
    let out = out(moving.clock);
    for (_, mover, mut there) in &mut movers {
        let moves = moving.members.get(mover.moves).filter(|m| m.0 == mover.member);
        if let Some(place) = moves.and_then(|(i, ends)| place(*i, ends, out)) {
            *there = place;
        }
    }
    wake.ask();
}

/// The copy of a member that moves, in its own frame: its body, and its lines. Says of each whether
/// it casts a shadow.
fn copies(bodies: &Bodies, i: usize) -> [(Bulk, bool); 2] {
    let shape = &bodies.shapes[bodies.members[i].shape];
    let tag = |to_come| For { to_come, moving: true }.tag(i as u32);
    let (mut body, mut lines) = (Bulk::default(), Bulk::default());
    body.solid(&shape.draft, &Transform::IDENTITY, tag(false));
    lines.lines(&shape.draft.edges, &Transform::IDENTITY, tag(false));
    lines.lines(&shape.ghost, &Transform::IDENTITY, tag(true));
    [(body, true), (lines, false)]
}
