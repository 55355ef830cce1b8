//! Shadows that are kept. The sun stands still, and what casts changes only from stage to stage: the
//! maps of shadows are drawn when that happens, and not when only the eye turns.
//!
//! There are two maps, both still in the world. The *whole* holds everything that casts. The *near* one,
//! where the whole is too coarse for what is looked at, lies about the point that the eye looks at. It is
//! laid anew when the eye rests, or when it has gone too far; until then what lies outside takes the
//! whole one. `sunlight.wgsl` reads them; what is not drawn with it (concrete being cast, rings about
//! posts) takes the whole one by Bevy's own way.
//!
//! Here is decided when; [`fit`] says what the maps hold, [`keep`] leaves the drawing out. Known to work by
//! `tests/viewer/shade.rs`, which counts the maps drawn and compares pictures.

pub mod fit;
pub mod keep;

use crate::viewer::camera::{Eye, SceneCamera};
use crate::viewer::coats::Coats;
use crate::viewer::idle::Wake;
use crate::viewer::motion::Mover;
use crate::viewer::own_material;
use crate::viewer::pose::Pose;
use crate::viewer::scenery::Sun;
use bevy::asset::uuid_handle;
use bevy::camera::primitives::Aabb;
use bevy::camera::visibility::VisibilitySystems;
use bevy::light::{Cascades, DirectionalLightShadowMap, NotShadowCaster, SimulationLightSystems};
use bevy::prelude::*;
use bevy::shader::Shader;
use fit::Fit;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

const SUNLIGHT: Handle<Shader> = uuid_handle!("6f0a9c5e-7d35-4a0e-9a59-6a4e3a6f2b04");

/// Points of a map each way.
pub const POINTS: usize = 4096;

/// So many frames more draw the maps after what casts has changed: what is new may not be ready in the
/// very frame.
const MORE: u8 = 2;

/// Marks what is drawn near or from far off: the two cast nearly the same, and which of them casts is
/// set right when the eye rests.
#[derive(Component)]
pub struct NearOrFar;

/// What the maps hold, and the number of the drawing that they have to be of.
#[derive(Resource, Default)]
pub struct Shade {
    pub fit: Option<Fit>,
    asked: u64,
    more: u8,
    eye: Option<Pose>,
    /// Box about everything that casts, shown or not. What moves goes little beyond it.
    casters: Option<[Vec3; 2]>,
    count: usize,
    coats: u64,
    lit: bool,
    /// To be set right when the eye rests.
    later: bool,
    /// Draws the maps in every frame, for measuring.
    pub always: bool,
    told: Told,
}

/// What the thread that draws says.
#[derive(Clone, Default)]
pub struct Told {
    drawn: Arc<AtomicUsize>,
    /// Something that casts could not be drawn yet.
    late: Arc<AtomicBool>,
}

impl Shade {
    /// Maps drawn since the start.
    #[must_use]
    pub fn drawn(&self) -> usize {
        self.told.drawn.load(Ordering::Acquire)
    }
}

pub fn plugin(app: &mut App) {
    app.init_resource::<Shade>().add_systems(
        PostUpdate,
        follow
            .after(SimulationLightSystems::UpdateDirectionalLightCascades)
            .after(TransformSystems::Propagate)
            .after(VisibilitySystems::CalculateBounds)
            .after(VisibilitySystems::VisibilityPropagate)
            .before(SimulationLightSystems::UpdateLightFrusta),
    );
    own_material::shaders(app, [(&SUNLIGHT, include_str!("sunlight.wgsl"), "sunlight.wgsl")]);
    keep::plugin(app);
}

/// Casts a shadow where it is shown.
type Caster = (With<Mesh3d>, Without<NotShadowCaster>);
type Altered = Or<(Changed<InheritedVisibility>, Changed<GlobalTransform>, Changed<Mesh3d>)>;

/// Lays the maps, and asks for them to be drawn where they would not be right any more.
pub fn follow(
    mut shade: ResMut<'_, Shade>,
    eye: Res<'_, Eye>,
    coats: Res<'_, Coats>,
    map: Res<'_, DirectionalLightShadowMap>,
    casters: Query<'_, '_, (&Aabb, &GlobalTransform), (Caster, Without<Mover>)>,
    altered: Query<'_, '_, Has<NearOrFar>, (Caster, Altered)>,
    cameras: Query<'_, '_, Entity, With<SceneCamera>>,
    mut suns: Query<'_, '_, (&GlobalTransform, &DirectionalLight, &mut Cascades), With<Sun>>,
    mut wake: ResMut<'_, Wake>,
) {
    let shade = &mut *shade;
    let Ok((place, light, mut cascades)) = suns.single_mut() else { return };
    let moves = shade.eye.replace(eye.now).is_some_and(|before| before != eye.now);
    let mut now = shade.always || shade.told.late.swap(false, Ordering::AcqRel);
    now |= std::mem::replace(&mut shade.lit, light.shadow_maps_enabled) != shade.lit;
    now |= std::mem::replace(&mut shade.coats, coats.casts()) != shade.coats;
    let count = casters.iter().len();
    let mut anew = std::mem::replace(&mut shade.count, count) != count;
    now |= anew;
    for near_or_far in &altered {
        (anew, shade.later) = (true, true);
        now |= !near_or_far;
    }
    if anew {
        shade.casters = fit::about(casters.iter());
    }
    if !light.shadow_maps_enabled {
        return;
    }
    let turn = place.rotation();
    let wanted = Fit::of(shade.casters, turn, &eye.now);
    let held = shade.fit.filter(|held| held.serves(&wanted));
    match held {
        // In the middle of a move it stays as it is.
        Some(_) if moves && !now => shade.later |= shade.fit != Some(wanted),
        Some(held) => now |= shade.later || held != wanted,
        None => now = true,
    }
    if now {
        shade.later = false;
        shade.fit = Some(wanted);
        shade.more = MORE;
    }
    if now || shade.more > 0 {
        shade.asked += 1;
        shade.more -= u8::from(!now);
        if now || shade.more > 0 {
            wake.ask();
        }
    }
    if shade.later {
        // There is a frame in which the eye rests.
        wake.ask();
    }
    if let Some(fit) = shade.fit {
        let maps = fit.cascades(turn, map.size);
        for camera in &cameras {
            cascades.cascades.insert(camera, maps.clone().into());
        }
    }
}
