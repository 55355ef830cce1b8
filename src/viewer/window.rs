//! Opens the window.

use crate::viewer::adapter::{End, guarded, on_error, quiet_log};
use crate::viewer::idle::Wake;
use crate::viewer::loading::Desk;
use crate::viewer::plugin::ViewerPlugin;
use crate::viewer::rooms;
use crate::viewer::state::ViewerState;
use crate::viewer::theme::Theme;
use crate::viewer::vocab::Intent;
use bevy::prelude::*;
use bevy::render::RenderPlugin;
use bevy::render::error_handler::RenderErrorHandler;
use bevy::window::{ExitCondition, WindowResolution};
use bevy::winit::WinitSettings;
use bevy_egui::EguiPlugin;
use std::path::PathBuf;

/// Opens the window on a scene, or empty, and stays until it is closed. A scene that comes with
/// the program has a path beginning with [`rooms::SHIPPED`].
///
/// # Errors
/// If there is no display or no graphics adapter.
pub fn open(path: Option<PathBuf>) -> anyhow::Result<()> {
    let theme = Theme::shipped()?;
    let window = Window {
        title: "Standwell".to_owned(),
        resolution: WindowResolution::new(1600, 1000),
        ..default()
    };
    let plugins = DefaultPlugins
        .set(WindowPlugin {
            primary_window: Some(window),
            exit_condition: ExitCondition::OnPrimaryClosed,
            ..default()
        })
        .set(RenderPlugin { synchronous_pipeline_compilation: false, ..default() })
        .set(quiet_log());
    let mut app = guarded(|| {
        let mut app = App::new();
        app.set_error_handler(bevy::ecs::error::warn)
            .insert_resource(WinitSettings::desktop_app())
            .add_plugins(plugins);
        app
    })?;
    app.add_plugins(EguiPlugin::default())
        .add_plugins(ViewerPlugin { theme, judge: rooms::judge() });
    let own = crate::scene::keep::own_folder();
    app.world_mut().resource_mut::<Desk>().keeps.clone_from(&own);
    let mut state = app.world_mut().resource_mut::<ViewerState>();
    state.guide.results = own.map(|folder| folder.join("results.jsonl"));
    state.scenes = rooms::shipped_scenes();
    if let Some(path) = path {
        app.world_mut().write_message(Intent::Open(path));
        app.world_mut().resource_mut::<Wake>().ask();
    }
    let end = End::default();
    app.insert_resource(end.clone()).insert_resource(RenderErrorHandler(on_error));
    match (app.run(), end.taken()) {
        (_, Some(lost)) => Err(lost.into()),
        (AppExit::Success, None) => Ok(()),
        (AppExit::Error(code), None) => anyhow::bail!("the window closed with error {code}"),
    }
}
