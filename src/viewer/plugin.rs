//! The window's parts put together.

use crate::viewer::camera::{self, Eye, Framing, SceneCamera, SceneRect};
use crate::viewer::idle;
use crate::viewer::layout;
use crate::viewer::loading::{self, Bell, Desk, Judge};
use crate::viewer::materials::Materials;
use crate::viewer::members::{self, Bodies};
use crate::viewer::motion::{self, Moving};
use crate::viewer::path_lines::{self, Drawn};
use crate::viewer::pick::{self, PointerInScene};
use crate::viewer::stage_paint::{self, Painted};
use crate::viewer::state::ViewerState;
use crate::viewer::theme::Theme;
use crate::viewer::trial::TryOut;
use crate::viewer::vocab::{Intent, ViewerSet};
use crate::viewer::{coats, factor, ground, guide, keys, marks, places, play, scenery, title};
use bevy::camera::visibility::RenderLayers;
use bevy::camera::{CameraOutputMode, CameraUpdateSystems, MsaaWriteback};
use bevy::core_pipeline::tonemapping::Tonemapping;
use bevy::prelude::*;
use bevy::render::render_resource::BlendState;
use bevy_egui::{
    EguiGlobalSettings, EguiPostUpdateSet, EguiPrimaryContextPass, PrimaryEguiContext,
};

/// Everything but Bevy's own plugins and egui's.
pub struct ViewerPlugin {
    pub theme: Theme,
    pub judge: Judge,
}

impl Plugin for ViewerPlugin {
    fn build(&self, app: &mut App) {
        app.insert_resource(self.theme.clone())
            .insert_resource(self.judge.clone())
            .init_resource::<ViewerState>()
            .init_resource::<Desk>()
            .init_resource::<TryOut>()
            .init_resource::<factor::Seeking>()
            .init_resource::<Bell>()
            .init_resource::<Eye>()
            .init_resource::<SceneRect>()
            .init_resource::<PointerInScene>()
            .init_resource::<Materials>()
            .init_resource::<Bodies>()
            .init_resource::<members::Coming>()
            .init_resource::<guide::lookout::Lookout>()
            .init_resource::<Painted>()
            .init_resource::<Moving>()
            .init_resource::<Drawn>()
            .init_resource::<marks::Collars>()
            .init_resource::<ClearColor>()
            .init_resource::<GlobalAmbientLight>()
            .init_resource::<bevy::light::DirectionalLightShadowMap>()
            .add_message::<Intent>()
            .add_message::<Framing>()
            .add_plugins((idle::plugin, places::plugin, coats::plugin))
            .add_systems(Startup, (cameras, scenery::light, loading::hang_bell));
        if let Some(mut settings) = app.world_mut().get_resource_mut::<EguiGlobalSettings>() {
            settings.auto_create_primary_context = false;
        }
        app.configure_sets(Update, (ViewerSet::Intent, ViewerSet::Sync, ViewerSet::Paint).chain())
            .add_systems(
                Update,
                (
                    pick::track,
                    (
                        keys::press,
                        camera::pointer,
                        play::advance,
                        guide::play::advance,
                        loading::collect,
                    ),
                    loading::act_on_intents,
                    guide::lookout::follow,
                    factor::seek,
                )
                    .chain()
                    .in_set(ViewerSet::Intent),
            )
            .add_systems(
                Update,
                (
                    scenery::recolour,
                    members::build,
                    members::take_in,
                    scenery::build,
                    camera::follow_intents,
                )
                    .chain()
                    .in_set(ViewerSet::Sync),
            )
            .add_systems(
                Update,
                (
                    stage_paint::repaint,
                    motion::animate,
                    scenery::show,
                    marks::collars,
                    path_lines::draw,
                    camera::ease,
                    scenery::follow_eye,
                    members::show,
                    coats::hand_over,
                    ground::hide_in_elevations,
                    title::follow,
                )
                    .chain()
                    .in_set(ViewerSet::Paint),
            )
            .add_systems(EguiPrimaryContextPass, layout::lay_out)
            .add_systems(
                PostUpdate,
                camera::apply_rect.after(EguiPostUpdateSet::EndPass).before(CameraUpdateSystems),
            );
    }
}

/// One camera for the scene, and one above it for the panels: egui takes its size from the camera
/// it is on.
fn cameras(
    mut commands: Commands<'_, '_>,
    theme: Res<'_, Theme>,
    state: Res<'_, ViewerState>,
    mut meshes: ResMut<'_, Assets<Mesh>>,
    mut assets: ResMut<'_, Assets<StandardMaterial>>,
    target: Option<Res<'_, PictureTarget>>,
) {
    let palette = theme.palette(state.look);
    let backdrop = scenery::backdrop_bundle(palette, &mut meshes, &mut assets);
    let mut scene = commands.spawn((
        SceneCamera,
        Camera3d::default(),
        Camera { order: 0, ..default() },
        Projection::Perspective(PerspectiveProjection::default()),
        Tonemapping::None,
        Msaa::Sample4,
        Transform::default(),
    ));
    scene.with_child(backdrop);
    if let Some(target) = &target {
        scene.insert(bevy::camera::RenderTarget::from(target.0.clone()));
    }
    let mut panels = commands.spawn((
        PrimaryEguiContext,
        Camera2d,
        RenderLayers::none(),
        Camera {
            order: 1,
            output_mode: CameraOutputMode::Write {
                blend_state: Some(BlendState::PREMULTIPLIED_ALPHA_BLENDING),
                clear_color: ClearColorConfig::None,
            },
            clear_color: ClearColorConfig::Custom(Color::NONE),
            // It starts from nothing and is laid over the scene, which need not be copied first.
            msaa_writeback: MsaaWriteback::Off,
            ..default()
        },
    ));
    if let Some(target) = &target {
        panels.insert(bevy::camera::RenderTarget::from(target.0.clone()));
    }
}

/// The image to draw into, where there is no window.
#[derive(Resource, Clone)]
pub struct PictureTarget(pub Handle<Image>);
