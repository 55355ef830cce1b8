//! Draws the floor off-screen with a graphics card: frame times at 1920 by 1080 and the count of
//! draw calls. The eye turns a little every frame, so that nothing is left from the one before.

use bevy::core_pipeline::core_3d::{Opaque3d, Transparent3d};
use bevy::diagnostic::DiagnosticsStore;
use bevy::pbr::Shadow;
use bevy::prelude::*;
use bevy::render::diagnostic::RenderDiagnosticsPlugin;
use bevy::render::render_phase::{BinnedPhaseItem, ViewBinnedRenderPhases, ViewSortedRenderPhases};
use bevy::render::render_resource::PollType;
use bevy::render::renderer::{RenderAdapterInfo, RenderDevice};
use bevy::render::{Render, RenderApp, RenderSystems};
use standwell::review::Review;
use standwell::viewer::camera::{Eye, SceneRect};
use standwell::viewer::loading::Judge;
use standwell::viewer::picture::unseen;
use standwell::viewer::state::ViewerState;
use standwell::viewer::vocab::Intent;
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

const SIZE: (u32, u32) = (1920, 1080);
/// The frame time aimed at on a data-centre card.
const TARGET: Duration = Duration::from_millis(4);
const FRAMES: usize = 300;

/// Draw calls of the last frame: of the picture itself, of its shadows, of what shines through.
#[derive(Resource, Clone, Default)]
struct Draws(Arc<Mutex<[usize; 3]>>);

fn calls<I: BinnedPhaseItem>(phases: &ViewBinnedRenderPhases<I>) -> usize {
    let of = |p: &bevy::render::render_phase::BinnedRenderPhase<I>| {
        let single: usize = p.unbatchable_meshes.values().map(|m| m.entities.len()).sum();
        p.multidrawable_meshes.len() + p.batchable_meshes.len() + single
    };
    phases.0.values().map(of).sum()
}

fn count(
    opaque: Res<'_, ViewBinnedRenderPhases<Opaque3d>>,
    shadow: Res<'_, ViewBinnedRenderPhases<Shadow>>,
    clear: Res<'_, ViewSortedRenderPhases<Transparent3d>>,
    draws: Res<'_, Draws>,
) {
    if let Ok(mut draws) = draws.0.lock() {
        let clear = clear.0.values().map(|p| p.items.len()).sum();
        *draws = [calls(&opaque), calls(&shadow), clear];
    }
}

fn app(review: Arc<Review>, draws: &Draws, work: &Work) -> Result<App, String> {
    let judge = Judge(Arc::new(|_, _| Err("nothing is read here".to_owned())));
    let (mut app, _) = unseen(SIZE, judge).map_err(|e| e.to_string())?;
    app.add_plugins(RenderDiagnosticsPlugin);
    app.get_sub_app_mut(RenderApp)
        .ok_or("nothing is drawn here")?
        .insert_resource(draws.clone())
        .add_systems(Render, count.in_set(RenderSystems::Render));
    clocks(&mut app, work)?;
    app.finish();
    app.cleanup();
    let full = Rect::new(0.0, 0.0, SIZE.0 as f32, SIZE.1 as f32);
    app.world_mut().insert_resource(SceneRect(Some(full)));
    app.world_mut().resource_mut::<ViewerState>().show(Path::new("floor.ron"), review);
    Ok(app)
}

/// How long the two threads are at work in a frame: the main one, and the one that draws.
#[derive(Resource, Clone, Default)]
struct Work(Arc<Mutex<[Duration; 2]>>);

/// Measures both.
fn clocks(app: &mut App, work: &Work) -> Result<(), String> {
    let started = Arc::new(Mutex::new(Instant::now()));
    let [begin, end] = [(started.clone(), work.clone()), (started, work.clone())];
    app.add_systems(First, move || set(&begin.0)).add_systems(Last, move || add(&end.0, &end.1, 0));
    let started = Arc::new(Mutex::new(Instant::now()));
    let [begin, end] = [(started.clone(), work.clone()), (started, work.clone())];
    app.get_sub_app_mut(RenderApp)
        .ok_or("nothing is drawn here")?
        .add_systems(ExtractSchedule, move || set(&begin.0))
        .add_systems(Render, (move || add(&end.0, &end.1, 1)).in_set(RenderSystems::PostCleanup));
    Ok(())
}

fn set(started: &Mutex<Instant>) {
    if let Ok(mut started) = started.lock() {
        *started = Instant::now();
    }
}

fn add(started: &Mutex<Instant>, work: &Work, thread: usize) {
    if let (Ok(started), Ok(mut work)) = (started.lock(), work.0.lock()) {
        work[thread] += started.elapsed();
    }
}

/// One frame, until the card is done with it.
fn frame(app: &mut App) -> Result<Duration, String> {
    let start = Instant::now();
    app.update();
    let device = app.world().get_resource::<RenderDevice>().ok_or("no graphics adapter")?;
    let wait = PollType::Wait { submission_index: None, timeout: None };
    device.wgpu_device().poll(wait).map_err(|e| e.to_string())?;
    Ok(start.elapsed())
}

pub fn main(review: Review, quick: bool) -> Result<(), String> {
    let stages = review.sequence.stages.len();
    let draws = Draws::default();
    let work = Work::default();
    let mut app = app(Arc::new(review), &draws, &work)?;
    if let Some(info) = app.world().get_resource::<RenderAdapterInfo>() {
        println!("drawn by {} ({:?}, {:?})", info.name, info.backend, info.device_type);
    }
    let frames = if quick { 3 } else { FRAMES };
    println!(
        "{}x{}; milliseconds from the start of a frame until the card is done",
        SIZE.0, SIZE.1
    );
    println!("{:<34} {:>9} {:>9} {:>9}", "", "middle", "95 %", "most");
    for (what, stage) in [("half built", stages / 2), ("finished", stages - 1)] {
        app.world_mut().write_message(Intent::GoToStage(stage));
        for _ in 0..if quick { 2 } else { 40 } {
            frame(&mut app)?;
        }
        let mut times = Vec::new();
        if let Ok(mut work) = work.0.lock() {
            *work = default();
        }
        for _ in 0..frames {
            let mut eye = app.world_mut().resource_mut::<Eye>();
            let mut pose = eye.now;
            pose.yaw += 0.01;
            eye.jump(pose);
            times.push(frame(&mut app)?);
        }
        super::say(what, times, TARGET);
        let [main, drawing] = work.0.lock().map(|w| *w).unwrap_or_default();
        let mean = |d: Duration| d.as_secs_f64() * 1e3 / frames as f64;
        println!(
            "at work, mean: main thread {:.2} ms, the one that draws {:.2} ms",
            mean(main),
            mean(drawing)
        );
        let [opaque, shadow, clear] = draws.0.lock().map(|d| *d).unwrap_or_default();
        println!(
            "draw calls: {opaque} of the picture, {shadow} of its shadows, {clear} of what shines \
             through"
        );
    }
    spans(&app);
    Ok(())
}

/// Where the card's time goes, where it tells: parts of the frame, longest first.
fn spans(app: &App) {
    let Some(store) = app.world().get_resource::<DiagnosticsStore>() else { return };
    let mut all: Vec<(f64, &str)> = store
        .iter()
        .filter(|d| d.path().as_str().ends_with("elapsed_gpu"))
        .filter_map(|d| Some((d.smoothed()?, d.path().as_str())))
        .collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    let sum: f64 = all.iter().map(|s| s.0).sum();
    println!("the card's own time, {sum:.3} ms in all:");
    for (time, path) in all.iter().take(12) {
        println!("{time:>9.3} ms  {path}");
    }
}
