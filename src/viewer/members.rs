//! Entities of the members: one body and one set of drawn edges each, with shared shapes.

use crate::viewer::materials::{Coat, Materials, Stroke};
use crate::viewer::shapes::{self, ShapeKey, draft};
use crate::viewer::space::{self, Origin};
use crate::viewer::state::ViewerState;
use bevy::camera::primitives::Aabb;
use bevy::light::NotShadowCaster;
use bevy::prelude::*;
use std::collections::BTreeMap;

/// Everything that belongs to the scene shown and goes when another is opened.
#[derive(Component)]
pub struct OfScene;

/// The entities of one member.
#[derive(Clone, Debug)]
pub struct Body {
    pub solid: Entity,
    pub edges: Entity,
    pub edge_mesh: Handle<Mesh>,
    pub ghost_mesh: Handle<Mesh>,
    pub home: Transform,
    /// The member's two ends in the window's space, and the turn of its block.
    pub ends: [Vec3; 2],
    pub turned: f32,
}

/// Bodies by member, for looking up.
#[derive(Resource, Default)]
pub struct Bodies {
    /// Revision of the state they were made from.
    pub revision: u64,
    pub origin: Origin,
    pub members: Vec<Body>,
    /// Low and high corner of everything built.
    pub bounds: Option<[Vec3; 2]>,
    /// How many different shapes were made.
    pub shapes: usize,
}

impl Bodies {
    /// Half the diagonal of what is built, metres.
    #[must_use]
    pub fn radius(&self) -> f32 {
        self.bounds.map_or(10.0, |[low, high]| (high - low).length() * 0.5).max(3.0)
    }
}

struct Made {
    solid: Handle<Mesh>,
    edges: Handle<Mesh>,
    ghost: Handle<Mesh>,
    bounds: Aabb,
}

/// Makes the entities anew when another review is shown.
pub fn build(
    mut commands: Commands<'_, '_>,
    state: Res<'_, ViewerState>,
    mut bodies: ResMut<'_, Bodies>,
    materials: Res<'_, Materials>,
    mut meshes: ResMut<'_, Assets<Mesh>>,
    old: Query<'_, '_, Entity, With<OfScene>>,
) {
    let Some(review) = state.review.as_ref().filter(|_| bodies.revision != state.revision) else {
        return;
    };
    for entity in &old {
        commands.entity(entity).despawn();
    }
    let assembly = &review.assembly;
    let origin = Origin::of(assembly);
    let mut made: BTreeMap<ShapeKey, Made> = BTreeMap::new();
    let mut out = Vec::with_capacity(assembly.members.len());
    let mut bounds: Option<[Vec3; 2]> = None;
    for member in &assembly.members {
        let shape = made
            .entry(shapes::key(assembly, member))
            .or_insert_with(|| make(shapes::shape(assembly, member), &mut meshes));
        let ends = member.ends.map(|e| origin.point(e));
        for end in ends.into_iter().filter(|e| e.is_finite()) {
            let [low, high] = bounds.get_or_insert([end, end]);
            *low = low.min(end);
            *high = high.max(end);
        }
        let turned = space::turned(assembly, member);
        let home = space::transform(member.role, ends, member.length() as f32, turned);
        let solid = commands
            .spawn((
                OfScene,
                Mesh3d(shape.solid.clone()),
                MeshMaterial3d(materials.coat(Coat::Own(member.role))),
                shape.bounds,
                home,
                Visibility::Hidden,
            ))
            .id();
        let edges = commands
            .spawn((
                OfScene,
                Mesh3d(shape.edges.clone()),
                MeshMaterial3d(materials.stroke(Stroke::Edge)),
                shape.bounds,
                home,
                Visibility::Hidden,
                NotShadowCaster,
            ))
            .id();
        let (edge_mesh, ghost_mesh) = (shape.edges.clone(), shape.ghost.clone());
        out.push(Body { solid, edges, edge_mesh, ghost_mesh, home, ends, turned });
    }
    *bodies = Bodies { revision: state.revision, origin, members: out, bounds, shapes: made.len() };
}

fn make(shape: shapes::Shape, meshes: &mut Assets<Mesh>) -> Made {
    let bounds = shape.draft.bounds();
    let edges = meshes.add(draft::lines(shape.draft.edges.clone()));
    let ghost =
        if shape.ghost.is_empty() { edges.clone() } else { meshes.add(draft::lines(shape.ghost)) };
    Made { solid: meshes.add(shape.draft.solid()), edges, ghost, bounds }
}
