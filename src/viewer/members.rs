//! Entities of the members: squares of the floor plan, each with the bodies and the lines of all its
//! members in one mesh, near and from far off. What a member looks like is in [`Coats`], not here.
//!
//! Of a large floor only what is seen from far off is made at once. The rest is made beside the window
//! (see [`Coming`]) and put in a few squares a frame; until then a square is drawn as from far off, so
//! that nothing is ever missing. Known to work by `tests/viewer/plugin.rs`.

use crate::viewer::camera::{Eye, SceneRect};
use crate::viewer::coats::{CoatMaterial, Coats};
use crate::viewer::idle::Wake;
use crate::viewer::loading::Bell;
use crate::viewer::shade::NearOrFar;
use crate::viewer::shapes::bulk::{Bulk, For};
use crate::viewer::shapes::{self, Shape, ShapeKey};
use crate::viewer::space::{self, Origin};
use crate::viewer::stage_paint::{Paint, Painted};
use crate::viewer::state::ViewerState;
use bevy::camera::primitives::Aabb;
use bevy::camera::visibility::NoAutoAabb;
use bevy::light::NotShadowCaster;
use bevy::prelude::*;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

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
    /// What is seen from near is made.
    pub near_is_there: bool,
}

/// With more members than this, what is seen from near comes later: 2000 take a few hundredths of a
/// second together.
const AT_ONCE: usize = 2000;

/// What is put in of what has come, in one frame.
const A_FRAME: Duration = Duration::from_millis(4);

/// Which square, with its body and its lines.
type Made = (usize, [Bulk; 2]);

/// Squares being made on a thread of their own.
#[derive(Resource, Default)]
pub struct Coming {
    revision: u64,
    from: Option<Mutex<Receiver<Made>>>,
    left: usize,
}

impl Coming {
    /// Squares that are not there yet.
    #[must_use]
    pub fn left(&self) -> usize {
        self.left
    }
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
    /// Low and high corner of each shape, in its own frame.
    pub boxes: Vec<[Vec3; 2]>,
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
    mut images: ResMut<'_, Assets<Image>>,
    mut coming: ResMut<'_, Coming>,
    bell: Res<'_, Bell>,
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
    let corners = |a: Aabb| [Vec3::from(a.min()), Vec3::from(a.max())];
    let boxes = made.iter().map(|s| corners(s.draft.bounds())).collect();
    let revision = state.revision;
    *bodies = Bodies { revision, origin, members, bounds, shapes: made, boxes, ..default() };
    coats.begin(bodies.members.len(), &mut materials, &mut images);
    let all: Vec<Vec<usize>> = squares.into_values().collect();
    let (there, shapes) = (&bodies.members, &bodies.shapes);
    let made = |far: bool| -> Vec<[Bulk; 2]> {
        all.par_iter().map(|members| bulks(there, shapes, members, far)).collect()
    };
    let far = made(true);
    let later = bodies.members.len() > AT_ONCE;
    let near =
        if later { vec![[Bulk::default(), Bulk::default()]; all.len()] } else { made(false) };
    *coming = Coming::default();
    if later {
        coming.begin(state.revision, &bodies, all.clone(), &bell);
    }
    for (members, (far, near)) in all.into_iter().zip(far.into_iter().zip(near)) {
        let mut bounds = far[0].bounds();
        if !near[0].is_empty() {
            bounds = about_both(&bounds, &near[0].bounds());
        }
        let mut put = |bulks: [Bulk; 2]| {
            let mut lines = false;
            bulks.map(|bulk| {
                let mut entity = commands.spawn((
                    OfScene,
                    MeshMaterial3d(coats.material.clone()),
                    Transform::default(),
                    Visibility::Hidden,
                    NearOrFar,
                ));
                dress(&mut entity, bulk, &mut meshes);
                if std::mem::replace(&mut lines, true) {
                    entity.insert(NotShadowCaster);
                }
                entity.id()
            })
        };
        let (near, far) = (put(near), put(far));
        bodies.squares.push(Square { members, bounds, near, far, near_is_there: !later });
    }
}

/// Gives an entity its mesh.
fn dress(entity: &mut EntityCommands<'_>, bulk: Bulk, meshes: &mut Assets<Mesh>) {
    let bounds = bulk.bounds();
    if !bulk.is_empty() {
        entity.insert((Mesh3d(meshes.add(bulk.mesh())), bounds, NoAutoAabb));
    }
}

fn about_both(a: &Aabb, b: &Aabb) -> Aabb {
    Aabb::from_min_max(
        Vec3::from(a.min()).min(b.min().into()),
        Vec3::from(a.max()).max(b.max().into()),
    )
}

/// Body and lines of some members, near or from far off.
fn bulks(there: &[Body], shapes: &[Shape], members: &[usize], far: bool) -> [Bulk; 2] {
    let [mut body, mut lines] = [(); 2].map(|()| Bulk::default());
    for &i in members {
        let member = &there[i];
        let shape = &shapes[member.shape];
        let (place, number) = (&member.home, i as u32);
        let draft = if far { &shape.far } else { &shape.draft };
        let tag = For::default().tag(number);
        body.solid(draft, place, tag);
        lines.lines(&draft.edges, place, tag);
        lines.lines(&shape.ghost, place, For { to_come: true, ..default() }.tag(number));
    }
    [body, lines]
}

impl Coming {
    /// Makes what is seen from near of all squares, away from the window's thread.
    fn begin(&mut self, revision: u64, bodies: &Bodies, squares: Vec<Vec<usize>>, bell: &Bell) {
        let (send, receive) = channel();
        let (there, shapes) = (bodies.members.clone(), bodies.shapes.clone());
        *self = Self { revision, from: Some(Mutex::new(receive)), left: squares.len() };
        let bell = bell.clone();
        rayon::spawn(move || {
            for (at, members) in squares.iter().enumerate() {
                // Nobody waits for it any more: another scene is shown.
                if send.send((at, bulks(&there, &shapes, members, false))).is_err() {
                    return;
                }
                bell.ring();
            }
        });
    }
}

/// Puts in what has come, a few milliseconds' worth a frame.
pub fn take_in(
    mut commands: Commands<'_, '_>,
    mut coming: ResMut<'_, Coming>,
    mut bodies: ResMut<'_, Bodies>,
    mut meshes: ResMut<'_, Assets<Mesh>>,
    mut wake: ResMut<'_, Wake>,
) {
    if coming.left == 0 {
        return;
    }
    if coming.revision != bodies.revision {
        *coming = Coming::default();
        return;
    }
    let begun = Instant::now();
    while coming.left > 0 && begun.elapsed() < A_FRAME {
        let next = coming.from.as_ref().and_then(|r| r.lock().ok()?.try_recv().ok());
        // What is not ready rings the bell when it is.
        let Some((at, near)) = next else { return };
        coming.left -= 1;
        let Some(square) = bodies.squares.get_mut(at) else { continue };
        square.bounds = about_both(&square.bounds, &near[0].bounds());
        square.near_is_there = true;
        for (entity, bulk) in square.near.into_iter().zip(near) {
            dress(&mut commands.entity(entity), bulk, &mut meshes);
        }
    }
    if coming.left > 0 {
        wake.ask();
    } else {
        *coming = Coming::default();
    }
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
        let is_near = square.near_is_there && points / away >= FAR;
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
