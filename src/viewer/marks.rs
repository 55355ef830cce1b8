//! Collars about posts that are in danger: three rings for stop, two for what is unknown or to be
//! fixed first. They stand in the scene, so that a picture without labels shows them too.

use crate::viewer::coats::Coats;
use crate::viewer::materials::{Coat, Materials};
use crate::viewer::members::{Bodies, OfScene};
use crate::viewer::shapes::draft::Draft;
use crate::viewer::stage_paint::grades;
use crate::viewer::state::ViewerState;
use crate::viewer::theme::Grade;
use bevy::light::NotShadowCaster;
use bevy::prelude::*;

/// The rings there are and the stage they are for.
#[derive(Resource, Default)]
pub struct Collars {
    key: Option<(u64, usize, bool, bool)>,
    mesh: Option<Handle<Mesh>>,
}

#[derive(Component)]
pub struct Collar;

/// Rings by grade.
#[must_use]
pub fn rings(grade: Grade) -> u32 {
    match grade {
        Grade::Stop => 3,
        Grade::FixFirst | Grade::Unknown => 2,
        Grade::Watch | Grade::Note => 0,
    }
}

pub fn collars(
    mut commands: Commands<'_, '_>,
    state: Res<'_, ViewerState>,
    bodies: Res<'_, Bodies>,
    materials: Res<'_, Materials>,
    coats: Res<'_, Coats>,
    mut collars: ResMut<'_, Collars>,
    mut meshes: ResMut<'_, Assets<Mesh>>,
    old: Query<'_, '_, Entity, With<Collar>>,
) {
    let Some(review) = state.review.as_ref().filter(|_| bodies.revision == state.revision) else {
        return;
    };
    // While a question is open, a collar would be the answer.
    let conceals = state.guide.conceals();
    let key = (state.revision, state.stage, conceals, state.moving);
    if collars.key == Some(key) {
        return;
    }
    collars.key = Some(key);
    for entity in &old {
        commands.entity(entity).despawn();
    }
    if conceals {
        return;
    }
    let mesh = collars.mesh.get_or_insert_with(|| meshes.add(ring())).clone();
    for (i, grade) in grades(review, state.stage).into_iter().enumerate() {
        let member = &review.assembly.members[i];
        let Some(grade) = grade.filter(|_| member.is_post()) else { continue };
        let there =
            review.sequence.stages.get(state.stage).is_some_and(|s| s.members[i].is_there());
        let [foot, head] = bodies.members[i].ends;
        // About a post that goes over they would stay where it was.
        if !there || coats.is_moving(i) {
            continue;
        }
        for k in 0..rings(grade) {
            let share = 0.62 + 0.045 * k as f32;
            commands.spawn((
                OfScene,
                Collar,
                Mesh3d(mesh.clone()),
                MeshMaterial3d(materials.coat(Coat::Hazard(grade))),
                Transform::from_translation(foot.lerp(head, share)),
                NotShadowCaster,
            ));
        }
    }
}

fn ring() -> Mesh {
    let mut d = Draft::default();
    d.tube(-0.016, 0.016, 0.1, 24, 1.0);
    d.solid()
}
