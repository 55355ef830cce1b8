//! Lets the mechanism or sway of a finding move, slowly.

use crate::viewer::idle::Wake;
use crate::viewer::members::Bodies;
use crate::viewer::space;
use crate::viewer::state::ViewerState;
use bevy::prelude::*;
use std::f32::consts::TAU;

/// Seconds for one swing out and back.
const PERIOD: f32 = 4.0;
/// How far the fastest point goes, in parts of the tallest member that moves.
const SWING: f32 = 0.22;

/// Displacement of the two ends of one member, metres.
pub type Ends = [Vec3; 2];

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
    state: Res<'_, ViewerState>,
    bodies: Res<'_, Bodies>,
    time: Res<'_, Time<Real>>,
    mut moving: ResMut<'_, Moving>,
    mut wake: ResMut<'_, Wake>,
    mut places: Query<'_, '_, &mut Transform>,
) {
    let finding = state.finding().map(|(i, _)| i).filter(|_| state.moving);
    let review = state.review.as_ref().filter(|_| bodies.revision == state.revision);
    let key = finding.zip(review).map(|(i, _)| (state.revision, i));
    if moving.key != key {
        if moving.key.is_some_and(|k| k.0 == bodies.revision) {
            for (i, _) in &moving.members {
                let body = &bodies.members[*i];
                for entity in [body.solid, body.edges] {
                    if let Ok(mut place) = places.get_mut(entity) {
                        *place = body.home;
                    }
                }
            }
        }
        *moving = Moving::default();
        moving.key = key;
        if let (Some(i), Some(review)) = (finding, review) {
            moving.members = swing(review, i);
        }
    }
    let (Some(_), Some(review)) = (moving.key, review) else { return };
    moving.clock += time.delta_secs().clamp(0.0, 0.1);
    let out = state.guide.shown().map_or_else(
        || phase(moving.clock),
        |(_, now)| (now.share * crate::lessons::FARTHEST) as f32 / SWING,
    );
    for (i, ends) in &moving.members {
        let (body, member) = (&bodies.members[*i], &review.assembly.members[*i]);
        let now = [body.ends[0] + ends[0] * out, body.ends[1] + ends[1] * out];
        let place = space::transform(member.role, now, member.length() as f32, body.turned);
        for entity in [body.solid, body.edges] {
            if let Ok(mut there) = places.get_mut(entity) {
                *there = place;
            }
        }
    }
    wake.ask();
}
