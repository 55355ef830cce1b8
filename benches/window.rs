//! Times the window's own work on its main thread, without a window: frames at rest, frames in
//! which the stage changes, and the first frames of a scene of 20 000 members. Nothing is drawn:
//! what the graphics card does is not in these numbers. With `--draw` it is drawn off-screen instead,
//! by whatever graphics adapter there is, and timed until the card is done.
#![allow(clippy::print_stdout, reason = "a benchmark prints what it measured")]

mod draw;

#[allow(dead_code, reason = "shared with the tests, which use more of it")]
#[path = "../tests/viewer/site.rs"]
mod site;

use bevy::camera::CameraUpdateSystems;
use bevy::input::InputPlugin;
use bevy::prelude::*;
use bevy::render::camera::camera_system;
use bevy::render::texture::ManualTextureViews;
use bevy_egui::{EguiPlugin, EguiRenderOutput};
use standwell::viewer::camera::Eye;
use standwell::viewer::loading::Judge;
use standwell::viewer::plugin::ViewerPlugin;
use standwell::viewer::stage_paint::Painted;
use standwell::viewer::state::ViewerState;
use standwell::viewer::theme::Theme;
use standwell::viewer::vocab::Intent;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A frame may take so long at 60 frames a second.
const TARGET: Duration = Duration::from_millis(16);

/// A floor of 24 by `rows` bays that goes up a line of posts a step, and then bay by bay.
fn text(rows: u8) -> String {
    let floor = site::floor_text(24, rows);
    let (head, _) = floor.split_once("    sequence: [").unwrap_or((&floor, ""));
    let mut steps = String::new();
    for x in b'A'..=b'Y' {
        let line = char::from(x);
        steps.push_str(&format!(
            "        Step((id: \"line.{line}\", do: [Set(\"main.post.{line}*\"), \
             Set(\"main.joist.{line}*-{line}*\")])),\n"
        ));
        if x > b'A' {
            let before = char::from(x - 1);
            steps.push_str(&format!(
                "        Step((id: \"span.{before}\", do: [Set(\"main.ledger.{before}*\")])),\n"
            ));
        }
    }
    for x in b'A'..b'Y' {
        let line = char::from(x);
        steps.push_str(&format!(
            "        Step((id: \"deck.{line}\", do: [Set(\"main.filler.{line}*\"), \
             Deck(sheets: \"main.sheet.{line}*\", nailed: false)])),\n"
        ));
    }
    format!("{head}    sequence: [\n{steps}    ],\n)\n")
}

fn app() -> Result<App, String> {
    let mut app = App::new();
    app.add_plugins((
        MinimalPlugins,
        AssetPlugin::default(),
        WindowPlugin::default(),
        InputPlugin,
        TransformPlugin,
        bevy::camera::CameraPlugin,
    ));
    let theme = Theme::shipped().map_err(|e| e.to_string())?;
    let judge = Judge(Arc::new(|_, _| Err("nothing is read here".to_owned())));
    app.init_asset::<Mesh>()
        .init_asset::<Image>()
        .init_asset::<StandardMaterial>()
        .init_asset::<GizmoAsset>()
        .init_asset::<bevy::mesh::skinning::SkinnedMeshInverseBindposes>()
        .init_asset::<bevy::shader::Shader>()
        .add_plugins(EguiPlugin::default())
        .add_plugins(ViewerPlugin { theme, judge })
        // Cameras know the window's size, so that there is something to write over the scene.
        .init_resource::<ManualTextureViews>()
        .add_systems(PostUpdate, camera_system.in_set(CameraUpdateSystems))
        // Nobody draws: what egui hands to the renderer has to be let go.
        .add_systems(Last, |mut outputs: Query<'_, '_, &mut EguiRenderOutput>| {
            for mut output in &mut outputs {
                output.textures_delta.clear();
            }
        });
    app.finish();
    app.cleanup();
    Ok(app)
}

fn timed(app: &mut App) -> Duration {
    let start = Instant::now();
    app.update();
    start.elapsed()
}

/// The middle one, the twentieth from the top of a hundred, and the longest.
fn say(what: &str, mut times: Vec<Duration>, target: Duration) {
    times.sort();
    let at = |share: f64| {
        let index = ((times.len() as f64 * share) as usize).min(times.len().saturating_sub(1));
        times.get(index).copied().unwrap_or_default().as_secs_f64() * 1e3
    };
    let most = at(1.0);
    let verdict = if at(0.95) <= target.as_secs_f64() * 1e3 { "kept" } else { "missed" };
    println!(
        "{what:<34} {:>9.2} {:>9.2} {most:>9.2}   {verdict} (95 of 100 within {} ms)",
        at(0.5),
        at(0.95),
        target.as_millis()
    );
}

fn main() -> Result<(), String> {
    // `cargo bench` hands on its own arguments; `cargo test --benches` asks for a quick run.
    let quick = std::env::args().any(|a| a == "--test");
    let review = site::of_text(&text(if quick { 6 } else { 106 }));
    let stages = review.sequence.stages.len();
    println!(
        "{} members, {} joints, {stages} stages; milliseconds on the main thread",
        review.assembly.members.len(),
        review.assembly.joints.len()
    );
    if std::env::args().any(|a| a == "--draw") {
        return draw::main(review, quick);
    }
    let mut app = app()?;
    for _ in 0..4 {
        app.update();
    }
    let show = Arc::new(review);
    app.world_mut().resource_mut::<ViewerState>().show(Path::new("floor.ron"), show);
    let first = (0..6).map(|_| timed(&mut app)).max().unwrap_or_default();
    println!("{:<34} {:>9} {:>9} {:>9.2}", "the first frame", "", "", first.as_secs_f64() * 1e3);
    println!("{:<34} {:>9} {:>9} {:>9}", "", "middle", "95 %", "most");
    let mut changes = Vec::new();
    let mut after = Vec::new();
    let mut touched = Vec::new();
    for pass in 0..2 {
        for k in 0..stages {
            let stage = if pass == 0 { k } else { stages - 1 - k };
            app.world_mut().write_message(Intent::GoToStage(stage));
            changes.push(timed(&mut app));
            touched.push(app.world().resource::<Painted>().touched);
            after.push(timed(&mut app));
        }
    }
    touched.sort_unstable();
    say("a change of stage", changes, TARGET);
    say("the frame after it", after, TARGET);
    say("a frame at rest", (0..200).map(|_| timed(&mut app)).collect(), TARGET);
    for (what, stage) in [("half built", stages / 2), ("finished", stages - 1)] {
        app.world_mut().write_message(Intent::GoToStage(stage));
        for _ in 0..10 {
            app.update();
        }
        let turns = (0..200).map(|_| {
            let mut eye = app.world_mut().resource_mut::<Eye>();
            let mut pose = eye.now;
            pose.yaw += 0.01;
            eye.jump(pose);
            timed(&mut app)
        });
        say(&format!("the eye turning, {what}"), turns.collect(), TARGET);
    }
    println!(
        "members repainted by a change: {} in the middle, {} at most",
        touched.get(touched.len() / 2).copied().unwrap_or_default(),
        touched.last().copied().unwrap_or_default()
    );
    Ok(())
}
