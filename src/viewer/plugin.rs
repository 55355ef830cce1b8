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
use crate::viewer::{
    clear, coats, factor, ground, guide, histories, keys, marks, overlay_pass, panel_pass, places,
    play, scenery, shade, sky, thrift, title,
};
use bevy::camera::visibility::RenderLayers;
use bevy::camera::{CameraOutputMode, CameraUpdateSystems, MsaaWriteback};
use bevy::core_pipeline::tonemapping::Tonemapping;
use bevy::core_pipeline::upscaling::upscaling;
use bevy::ecs::schedule::{ScheduleBuildSettings, ScheduleLabel};
use bevy::light::cluster::ClusterConfig;
use bevy::prelude::*;
use bevy::render::RenderApp;
use bevy::render::camera::CameraRenderGraph;
use bevy::render::render_resource::BlendState;
use bevy_egui::render::{egui_pass, prepare_egui_pass};
use bevy_egui::{
    EguiContextSettings, EguiGlobalSettings, EguiPostUpdateSet, EguiPrimaryContextPass,
    PrimaryEguiContext,
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
            .init_resource::<histories::Working>()
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
            .init_resource::<thrift::Thrift>()
            .init_resource::<ClearColor>()
            .init_resource::<GlobalAmbientLight>()
            .init_resource::<bevy::light::DirectionalLightShadowMap>()
            .add_message::<Intent>()
            .add_message::<Framing>()
            .add_plugins((
                idle::plugin,
                places::plugin,
                coats::plugin,
                panel_pass::plugin,
                overlay_pass::plugin,
                ground::plugin,
                shade::plugin,
                sky::plugin,
                over_scene,
            ))
            .add_systems(
                Startup,
                (cameras, scenery::light, loading::hang_bell, guide::shot::open_eyes, thrift::ask),
            );
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
                        guide::shot::take,
                        loading::collect,
                    ),
                    loading::act_on_intents,
                    guide::lookout::follow,
                    factor::seek,
                    histories::follow,
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
                    clear::keep,
                    camera::ease,
                    thrift::weigh,
                    scenery::follow_eye,
                    sky::follow_eye,
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

/// What the panels' camera does: it draws them over what the scene's camera has left, and shows both. A
/// camera's usual way begins with an empty picture and a depth of its own, and lays that over the other's.
#[derive(ScheduleLabel, Clone, Debug, PartialEq, Eq, Hash)]
struct OverScene;

fn over_scene(app: &mut App) {
    let Some(render) = app.get_sub_app_mut(RenderApp) else { return };
    let mut schedule = Schedule::new(OverScene);
    // As the ways of other cameras: what they have to say is handed over at the end, in their order.
    schedule.set_build_settings(ScheduleBuildSettings {
        auto_insert_apply_deferred: false,
        ..default()
    });
    schedule.add_systems((prepare_egui_pass, egui_pass, upscaling).chain());
    render.add_schedule(schedule);
}

/// One camera for the scene, and one above it for the panels: egui takes its size from the camera
/// it is on.
fn cameras(
    mut commands: Commands<'_, '_>,
    theme: Res<'_, Theme>,
    state: Res<'_, ViewerState>,
    mut meshes: ResMut<'_, Assets<Mesh>>,
    mut assets: ResMut<'_, Assets<sky::SkyMaterial>>,
    target: Option<Res<'_, PictureTarget>>,
) {
    let palette = theme.palette(state.look);
    let backdrop = sky::backdrop_bundle(palette, &mut meshes, &mut assets);
    let mut scene = commands.spawn((
        SceneCamera,
        Camera3d::default(),
        // Seen once the panels are drawn over it.
        Camera { order: 0, output_mode: CameraOutputMode::Skip, ..default() },
        // There is one light, and it is everywhere.
        ClusterConfig::Single,
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
        // Run by `panel_pass`, where there is anything to do.
        EguiContextSettings { run_manually: true, ..default() },
        Camera2d,
        // The scene's own picture, which both share, and nothing but what egui draws.
        Msaa::Sample4,
        CameraRenderGraph::new(OverScene),
        RenderLayers::none(),
        Camera {
            order: 1,
            output_mode: CameraOutputMode::Write {
                blend_state: Some(BlendState::REPLACE),
                clear_color: ClearColorConfig::None,
            },
            // It starts from what there is of the scene: see `camera::apply_rect`.
            clear_color: ClearColorConfig::Default,
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
