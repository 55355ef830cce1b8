//! Light, ground, floors, walls, the slab to come, and the edge.

use crate::assembly::MemberId;
use crate::scene::model::LoadPlace;
use crate::viewer::camera::{Eye, is_drawing};
use crate::viewer::coats::{CoatMaterial, Coats};
use crate::viewer::ground::{self, Ground, GroundMaterial};
use crate::viewer::materials::{Coat, Materials, Stroke};
use crate::viewer::members::{Bodies, OfScene};
use crate::viewer::shade;
use crate::viewer::shapes::bulk::{Bulk, For};
use crate::viewer::shapes::{draft::Draft, edge, site};
use crate::viewer::sky;
use crate::viewer::stage_paint::Paint;
use crate::viewer::state::ViewerState;
use crate::viewer::theme::{Look, Theme};
use bevy::camera::visibility::NoAutoAabb;
use bevy::light::{CascadeShadowConfig, DirectionalLightShadowMap, NotShadowCaster};
use bevy::prelude::*;

/// Parts of the site that show only once these members all stand, while this slab is being cast, or
/// while it is not.
#[derive(Component, Clone, Debug, PartialEq)]
pub enum ShowsWhen {
    AllStand(Vec<MemberId>),
    Pouring(String),
    NotPouring(String),
}

#[derive(Component)]
pub struct Sun;

/// With the camera's usual exposure a level surface in the sun then shows about its own colour:
/// 0.65 of it from the sun and 0.42 from all round.
pub(super) const SUNLIGHT: f32 = 2550.0;
pub(super) const AMBIENT: f32 = 420.0;
/// The way the sun shines.
pub(super) const SUN: Vec3 = Vec3::new(-0.52, -1.0, -0.34);

/// Makes the light.
pub fn light(mut commands: Commands<'_, '_>, mut map: ResMut<'_, DirectionalLightShadowMap>) {
    map.size = shade::POINTS;
    commands.spawn((
        Sun,
        DirectionalLight {
            shadow_maps_enabled: true,
            illuminance: SUNLIGHT,
            shadow_depth_bias: 0.03,
            shadow_normal_bias: 1.2,
            ..default()
        },
        // Maps are laid by `shade`. What Bevy shades by the distance from the eye takes the second map.
        CascadeShadowConfig {
            bounds: vec![0.01, 1e5],
            overlap_proportion: 0.0,
            minimum_distance: 0.005,
        },
        Transform::default().looking_to(SUN, Vec3::Y),
    ));
}

/// Changes colours when the theme does: materials, light, background.
pub fn recolour(
    state: Res<'_, ViewerState>,
    theme: Res<'_, Theme>,
    mut done: Local<'_, Option<Look>>,
    mut materials: ResMut<'_, Materials>,
    mut coats: ResMut<'_, Coats>,
    mut assets: ResMut<'_, Assets<StandardMaterial>>,
    mut painted: ResMut<'_, Assets<CoatMaterial>>,
    mut meshes: ResMut<'_, Assets<Mesh>>,
    mut clear: ResMut<'_, ClearColor>,
    mut ambient: ResMut<'_, GlobalAmbientLight>,
    mut suns: Query<'_, '_, &mut DirectionalLight, With<Sun>>,
    mut backdrops: Query<'_, '_, &mut Mesh3d, With<sky::Backdrop>>,
) {
    if *done == Some(state.look) {
        return;
    }
    *done = Some(state.look);
    let palette = theme.palette(state.look);
    materials.mix(palette, &mut assets);
    coats.mix(palette, &mut painted);
    clear.0 = palette.sky_bottom.bevy();
    ambient.brightness = AMBIENT * palette.fill;
    for mut sun in &mut suns {
        sun.illuminance = SUNLIGHT * palette.sun;
    }
    for mut mesh in &mut backdrops {
        mesh.0 = meshes.add(sky::backdrop(palette));
    }
}

/// Keeps shadows out of drawings.
pub fn follow_eye(
    eye: Res<'_, Eye>,
    mut suns: Query<'_, '_, &mut DirectionalLight, With<Sun>>,
    mut done: Local<'_, Option<bool>>,
) {
    let shadows = !is_drawing(&eye.now);
    if done.replace(shadows) != Some(shadows) {
        for mut sun in &mut suns {
            sun.shadow_maps_enabled = shadows;
        }
    }
}

/// Makes the site when another review or theme is shown.
pub fn build(
    mut commands: Commands<'_, '_>,
    state: Res<'_, ViewerState>,
    bodies: Res<'_, Bodies>,
    theme: Res<'_, Theme>,
    materials: Res<'_, Materials>,
    mut coats: ResMut<'_, Coats>,
    mut meshes: ResMut<'_, Assets<Mesh>>,
    mut assets: ResMut<'_, Assets<StandardMaterial>>,
    mut grounds: ResMut<'_, Assets<GroundMaterial>>,
    mut done: Local<'_, Option<(u64, Look)>>,
    old: Query<'_, '_, Entity, With<Ground>>,
) {
    let Some(review) = state.review.as_ref().filter(|_| bodies.revision == state.revision) else {
        return;
    };
    if *done == Some((state.revision, state.look)) {
        return;
    }
    let fresh = done.is_none_or(|d| d.0 != state.revision);
    *done = Some((state.revision, state.look));
    for entity in &old {
        commands.entity(entity).despawn();
    }
    let (scene, origin) = (&review.assembly.scene, bodies.origin);
    let palette = theme.palette(state.look);
    ground::lay(&mut commands, &bodies, palette, &mut meshes, &mut assets, &mut grounds);
    if !fresh {
        return;
    }
    // Body and lines always show together: lines left behind would lie on those of what takes the
    // place of the body.
    let mut put = |d: Draft, coat: Coat, stroke: Stroke, when: Option<ShowsWhen>, caster: bool| {
        let place = || (OfScene, Transform::default(), Visibility::Inherited);
        // What shines through is Bevy's; the rest is painted as members are.
        let solid = !matches!(coat, Coat::SlabGhost | Coat::Concrete);
        let number = coats.add(Paint { coat: solid.then_some(coat), stroke: Some(stroke) });
        let to_come = stroke == Stroke::Ghost;
        let tag = |to_come| For { to_come, moving: false }.tag(number);
        let (mut body, mut edges) = (Bulk::default(), Bulk::default());
        edges.lines(&d.edges, &Transform::IDENTITY, tag(to_come));
        let edges = Mesh3d(meshes.add(edges.mesh()));
        let paint = MeshMaterial3d(coats.material.clone());
        let lines = commands.spawn((place(), edges, paint.clone(), NotShadowCaster)).id();
        let body = if solid {
            body.solid(&d, &Transform::IDENTITY, tag(false));
            let bounds = (body.bounds(), NoAutoAabb);
            commands.spawn((place(), Mesh3d(meshes.add(body.mesh())), paint, bounds)).id()
        } else {
            let paint = MeshMaterial3d(materials.coat(coat));
            commands.spawn((place(), Mesh3d(meshes.add(d.solid())), paint)).id()
        };
        if !caster {
            commands.entity(body).insert(NotShadowCaster);
        }
        if let Some(when) = when {
            commands.entity(lines).insert(when.clone());
            commands.entity(body).insert(when);
        }
    };
    for floor in scene.floors.iter().filter_map(|f| site::floor(f, origin)) {
        put(floor, Coat::Slab, Stroke::Pale, None, false);
    }
    for part in &scene.permanent {
        put(site::permanent(part, origin), Coat::Slab, Stroke::Edge, None, true);
    }
    for slab in scene.slabs.iter().filter(|s| s.outline.len() >= 3) {
        let d = site::slab(slab, origin);
        let to_come = ShowsWhen::NotPouring(slab.name.clone());
        put(d.clone(), Coat::SlabGhost, Stroke::Ghost, Some(to_come), false);
        let cast = ShowsWhen::Pouring(slab.name.clone());
        put(d, Coat::Concrete, Stroke::Edge, Some(cast), false);
    }
    for edge in edge::edges(&review.assembly, origin) {
        put(edge.draft, Coat::Rail, Stroke::Edge, Some(ShowsWhen::AllStand(edge.posts)), true);
    }
}

/// Shows edges and concrete at the stages they belong to.
pub fn show(
    state: Res<'_, ViewerState>,
    mut parts: Query<'_, '_, (&ShowsWhen, &mut Visibility)>,
    added: Query<'_, '_, (), Added<ShowsWhen>>,
    mut done: Local<'_, Option<(u64, usize)>>,
) {
    let key = (state.revision, state.stage);
    if *done == Some(key) && added.is_empty() {
        return;
    }
    *done = Some(key);
    let stage = state.review.as_ref().and_then(|r| r.sequence.stages.get(state.stage));
    let Some(stage) = stage else { return };
    let pouring = |slab: &str| {
        let of = |on: &LoadPlace| matches!(on, LoadPlace::Pour { slab: s, .. } if s == slab);
        stage.loads.iter().any(|l| of(&l.text.on))
    };
    for (when, mut visible) in &mut parts {
        let on = match when {
            ShowsWhen::AllStand(posts) => posts.iter().all(|&id| stage.state(id).is_there()),
            ShowsWhen::Pouring(slab) => pouring(slab),
            ShowsWhen::NotPouring(slab) => !pouring(slab),
        };
        visible.set_if_neq(if on { Visibility::Inherited } else { Visibility::Hidden });
    }
}
