//! Entities of the members: squares of the floor plan, each with the bodies and the lines of all its
//! members in one mesh, near and from far off. What a member looks like is in [`Coats`], not here.

use crate::viewer::camera::{Eye, SceneRect};
use crate::viewer::coats::{CoatMaterial, Coats};
use crate::viewer::shapes::bulk::{Bulk, For};
use crate::viewer::shapes::{self, Shape, ShapeKey};
use crate::viewer::space::{self, Origin};
use crate::viewer::stage_paint::{Paint, Painted};
use crate::viewer::state::ViewerState;
use bevy::camera::primitives::Aabb;
use bevy::camera::visibility::NoAutoAabb;
use bevy::light::NotShadowCaster;
use bevy::prelude::*;
use bevy::render::storage::ShaderBuffer;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Everything that belongs to the scene shown and goes when another is opened.
#[derive(Component)]
pub struct OfScene;

/// Where one member is.
#[derive(Clone, Debug)]
pub struct Body {
    pub home: Transform,
    /// The member's two ends in the window's space, and the turn of its block.
    pub ends: [Vec3; 2],
    pub turned: f32,
    /// Its shape, in [`Bodies::shapes`].
    pub shape: usize,
}

/// Side of a square of the plan whose members are drawn together, metres: small enough that what
/// is near the eye is drawn alone in full, large enough that squares are few.
const SIDE: f32 = 8.0;

/// Members are drawn from far off where a metre is fewer points of the screen than this: a tube is
/// then about a point wide.
pub const FAR: f32 = 16.0;

/// Members that are drawn together.
#[derive(Clone, Debug)]
pub struct Square {
    pub members: Vec<usize>,
    pub bounds: Aabb,
    /// Body and lines, near and from far off.
    pub near: [Entity; 2],
    pub far: [Entity; 2],
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
    /// Different shapes.
    pub shapes: Vec<Shape>,
    pub squares: Vec<Square>,
}

impl Bodies {
    /// Half the diagonal of what is built, metres.
    #[must_use]
    pub fn radius(&self) -> f32 {
        self.bounds.map_or(10.0, |[low, high]| (high - low).length() * 0.5).max(3.0)
    }
}

/// Makes the entities anew when another review is shown.
pub fn build(
    mut commands: Commands<'_, '_>,
    state: Res<'_, ViewerState>,
    mut bodies: ResMut<'_, Bodies>,
    mut coats: ResMut<'_, Coats>,
    mut meshes: ResMut<'_, Assets<Mesh>>,
    mut materials: ResMut<'_, Assets<CoatMaterial>>,
    mut buffers: ResMut<'_, Assets<ShaderBuffer>>,
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
    let mut numbers: BTreeMap<ShapeKey, usize> = BTreeMap::new();
    let mut made: Vec<Shape> = Vec::new();
    let mut members = Vec::with_capacity(assembly.members.len());
    let mut bounds: Option<[Vec3; 2]> = None;
    let mut squares: BTreeMap<[i32; 2], Vec<usize>> = BTreeMap::new();
    for (i, member) in assembly.members.iter().enumerate() {
        let shape = *numbers.entry(shapes::key(assembly, member)).or_insert_with(|| {
            made.push(shapes::shape(assembly, member));
            made.len() - 1
        });
        let ends = member.ends.map(|e| origin.point(e));
        for end in ends.into_iter().filter(|e| e.is_finite()) {
            let [low, high] = bounds.get_or_insert([end, end]);
            *low = low.min(end);
            *high = high.max(end);
        }
        let turned = space::turned(assembly, member);
        let home = space::transform(member.role, ends, member.length() as f32, turned);
        let middle = (ends[0] + ends[1]) * 0.5;
        if middle.is_finite() {
            let at = [middle.x, middle.z].map(|v| (v / SIDE).floor() as i32);
            squares.entry(at).or_default().push(i);
        }
        members.push(Body { home, ends, turned, shape });
    }
    *bodies =
        Bodies { revision: state.revision, origin, members, bounds, shapes: made, ..default() };
    coats.begin(bodies.members.len(), &mut materials, &mut buffers);
    let drawn: Vec<[Bulk; 4]> = {
        let all: Vec<&Vec<usize>> = squares.values().collect();
        all.par_iter().map(|members| bulks(&bodies, members)).collect()
    };
    for (members, bulks) in squares.into_values().zip(drawn) {
        let [body, far_body] = [bulks[0].bounds(), bulks[2].bounds()];
        let box_about = Aabb::from_min_max(
            Vec3::from(body.min()).min(far_body.min().into()),
            Vec3::from(body.max()).max(far_body.max().into()),
        );
        let mut put = |bulk: Bulk, lines: bool| {
            let bounds = bulk.bounds();
            let mut entity = commands.spawn((
                OfScene,
                MeshMaterial3d(coats.material.clone()),
                Transform::default(),
                Visibility::Hidden,
            ));
            if !bulk.is_empty() {
                entity.insert((Mesh3d(meshes.add(bulk.mesh())), bounds, NoAutoAabb));
            }
            if lines {
                entity.insert(NotShadowCaster);
            }
            entity.id()
        };
        let [body, lines, far_body, far_lines] = bulks;
        let near = [put(body, false), put(lines, true)];
        let far = [put(far_body, false), put(far_lines, true)];
        bodies.squares.push(Square { members, bounds: box_about, near, far });
    }
}

/// Body and lines of some members, near and then from far off.
fn bulks(bodies: &Bodies, members: &[usize]) -> [Bulk; 4] {
    let [mut body, mut lines, mut far_body, mut far_lines] = [(); 4].map(|()| Bulk::default());
    for &i in members {
        let member = &bodies.members[i];
        let shape = &bodies.shapes[member.shape];
        let (place, number) = (&member.home, i as u32);
        let there = For::default().tag(number);
        let to_come = For { to_come: true, ..default() }.tag(number);
        body.solid(&shape.draft, place, there);
        far_body.solid(&shape.far, place, there);
        lines.lines(&shape.draft.edges, place, there);
        far_lines.lines(&shape.far.edges, place, there);
        for bulk in [&mut lines, &mut far_lines] {
            bulk.lines(&shape.ghost, place, to_come);
        }
    }
    [body, lines, far_body, far_lines]
}

/// Shows each square near or from far off, and not at all where nothing of it is drawn.
pub fn show(
    eye: Res<'_, Eye>,
    rect: Res<'_, SceneRect>,
    bodies: Res<'_, Bodies>,
    painted: Res<'_, Painted>,
    mut shown: Query<'_, '_, &mut Visibility>,
) {
    if !(eye.is_changed() || rect.is_changed() || bodies.is_changed() || painted.is_changed()) {
        return;
    }
    let from = eye.now.transform().translation;
    let height = rect.0.map_or(1000.0, |r| r.height());
    let points = height / (2.0 * (eye.now.lens / 2.0).tan());
    for square in &bodies.squares {
        let drawn = |&i: &usize| painted.paints.get(i).is_some_and(|p| *p != Paint::NOTHING);
        let any = square.members.iter().any(drawn);
        let (low, high) = (Vec3::from(square.bounds.min()), Vec3::from(square.bounds.max()));
        let away = from.distance(from.clamp(low, high)).max(0.1);
        let is_near = points / away >= FAR;
        for (entities, on) in [(square.near, any && is_near), (square.far, any && !is_near)] {
            for entity in entities {
                if let Ok(mut visible) = shown.get_mut(entity) {
                    let wanted = if on { Visibility::Inherited } else { Visibility::Hidden };
                    visible.set_if_neq(wanted);
                }
            }
        }
    }
}
