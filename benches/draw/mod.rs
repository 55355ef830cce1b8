//! Draws the floor off-screen with a graphics card: frame times at 1920 by 1080 and the count of
//! draw calls. The eye turns a little every frame, so that nothing is left from the one before; it is drawn as
//! the window draws while the eye turns.
//!
//! Two times are told. *From frame to frame*: as the window runs, which gets a frame ready while the
//! one before is drawn; so many frames there are in a second. *A frame by itself*: from its start until
//! the card is done with it, with nothing else under way; so old is what one sees.
//!
//! `--one-by-one` leaves one thing after another out of the finished floor; `--card` asks the card for
//! its own time, part by part, which costs time itself.

mod clocks;
mod switches;

use bevy::core_pipeline::core_3d::{Opaque3d, Transparent3d};
use bevy::diagnostic::DiagnosticsStore;
use bevy::pbr::{RenderMeshInstances, Shadow};
use bevy::prelude::*;
use bevy::render::diagnostic::{
    DiagnosticsRecorder, RecordDiagnostics, RenderDiagnosticsPlugin, resolve_encoder,
};
use bevy::render::mesh::{RenderMesh, RenderMeshBufferInfo};
use bevy::render::render_asset::RenderAssets;
use bevy::render::render_phase::{BinnedPhaseItem, ViewBinnedRenderPhases, ViewSortedRenderPhases};
use bevy::render::render_resource::PollType;
use bevy::render::renderer::{
    PendingCommandBuffers, RenderAdapterInfo, RenderDevice, RenderGraph, RenderGraphSystems,
};
use bevy::render::view::RenderVisibleEntities;
use bevy::render::{Render, RenderApp, RenderSystems};
use clocks::{Clocks, PARTS};
use standwell::review::Review;
use standwell::viewer::camera::{Eye, SceneRect};
use standwell::viewer::loading::Judge;
use standwell::viewer::picture::unseen;
use standwell::viewer::shade::Shade;
use standwell::viewer::state::ViewerState;
use standwell::viewer::thrift::Thrift;
use standwell::viewer::vocab::Intent;
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};
use switches::{LeftOut, Written};

const SIZE: (u32, u32) = (1920, 1080);
/// The frame time aimed at on a data-centre card.
const TARGET: Duration = Duration::from_millis(4);
/// No frame takes so long.
const ENOUGH: Duration = Duration::from_secs(3600);
const FRAMES: usize = 300;

/// Of the last frame.
#[derive(Clone, Copy, Default)]
struct Counts {
    /// Draw calls: of the picture itself, of its shadows, of what shines through.
    calls: [usize; 3],
    /// Corners and indices of what is solid in the picture.
    corners: usize,
    indices: usize,
}

#[derive(Resource, Clone, Default)]
struct Draws(Arc<Mutex<Counts>>);

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
    seen: Query<'_, '_, &RenderVisibleEntities>,
    instances: Res<'_, RenderMeshInstances>,
    meshes: Res<'_, RenderAssets<RenderMesh>>,
    draws: Res<'_, Draws>,
) {
    let Ok(mut draws) = draws.0.lock() else { return };
    let clear = clear.0.values().map(|p| p.items.len()).sum();
    *draws = Counts { calls: [calls(&opaque), calls(&shadow), clear], ..Counts::default() };
    let classes = seen.iter().flat_map(|s| s.classes.values());
    for (_, entity) in classes.flat_map(|c| &c.entities_cpu_culling) {
        let Some(mesh) = instances.mesh_asset_id(*entity).and_then(|m| meshes.get(m)) else {
            continue;
        };
        draws.corners += mesh.vertex_count as usize;
        if let RenderMeshBufferInfo::Indexed { count, .. } = mesh.buffer_info {
            draws.indices += count as usize;
        }
    }
}

/// What the card's time for a whole frame is told as, from the first pass to the last.
const WHOLE: &str = "whole_frame";

/// Has the card tell its time for a whole frame, also of what tells none by itself.
fn time_the_whole(app: &mut App) {
    let Some(render) = app.get_sub_app_mut(RenderApp) else { return };
    let stamp = |world: &mut World, begins: bool| {
        let Some(device) = world.get_resource::<RenderDevice>() else { return };
        let mut encoder = device.create_command_encoder(&default());
        let Some(recorder) = world.get_resource::<DiagnosticsRecorder>() else { return };
        if begins {
            recorder.begin_time_span(&mut encoder, WHOLE.into());
        } else {
            recorder.end_time_span(&mut encoder);
        }
        // Encoders are handed over after buffers: this one has its place among the buffers.
        world.resource_mut::<PendingCommandBuffers>().push([encoder.finish()]);
    };
    let begin = move |world: &mut World| stamp(world, true);
    let end = move |world: &mut World| stamp(world, false);
    render.add_systems(
        RenderGraph,
        (
            begin.after(RenderGraphSystems::Begin).before(RenderGraphSystems::Render),
            end.after(RenderGraphSystems::Render).before(resolve_encoder),
        ),
    );
}

/// The window's app with the clocks on it.
struct Bench {
    app: App,
    clocks: Clocks,
    draws: Draws,
    frames: usize,
    updates: usize,
}

impl Bench {
    fn new(review: Review, quick: bool, card: bool) -> Result<Self, String> {
        let judge = Judge(Arc::new(|_, _| Err("nothing is read here".to_owned())));
        let (mut app, _) = unseen(SIZE, judge).map_err(|e| e.to_string())?;
        if card {
            app.add_plugins(RenderDiagnosticsPlugin);
            time_the_whole(&mut app);
        }
        app.add_plugins(switches::plugin);
        let (clocks, draws) = (Clocks::default(), Draws::default());
        app.get_sub_app_mut(RenderApp)
            .ok_or("nothing is drawn here")?
            .insert_resource(draws.clone())
            .add_systems(Render, count.in_set(RenderSystems::Cleanup));
        clocks.hang(&mut app)?;
        app.finish();
        app.cleanup();
        let full = Rect::new(0.0, 0.0, SIZE.0 as f32, SIZE.1 as f32);
        app.world_mut().insert_resource(SceneRect(Some(full)));
        // As the window draws, not as a picture is drawn.
        app.world_mut().resource_mut::<Thrift>().budget = Some(ENOUGH);
        let review = Arc::new(review);
        app.world_mut().resource_mut::<ViewerState>().show(Path::new("floor.ron"), review);
        Ok(Self { app, clocks, draws, frames: if quick { 3 } else { FRAMES }, updates: 0 })
    }

    /// One frame of the eye on its way round; it is being drawn when this returns.
    fn frame(&mut self) {
        let mut eye = self.app.world_mut().resource_mut::<Eye>();
        let mut pose = eye.now;
        pose.yaw += 0.01;
        eye.jump(pose);
        self.app.update();
        self.clocks.handed_over();
        self.updates += 1;
    }

    /// Until the card is done with every frame.
    fn wait(&self) -> Result<(), String> {
        // The thread that draws may still be at it.
        let start = Instant::now();
        while self.clocks.drawn() < self.updates {
            if start.elapsed() > Duration::from_secs(60) {
                return Err("the thread that draws does not come to an end".to_owned());
            }
            std::thread::yield_now();
        }
        let device = self.app.world().get_resource::<RenderDevice>();
        let device = device.ok_or("no graphics adapter")?;
        let wait = PollType::Wait { submission_index: None, timeout: None };
        device.wgpu_device().poll(wait).map_err(|e| e.to_string())?;
        Ok(())
    }

    /// A while, so that what is made once is made.
    fn settle(&mut self) -> Result<(), String> {
        for _ in 0..(self.frames / 8).max(2) {
            self.frame();
        }
        self.wait()
    }

    /// From frame to frame, as the window runs; and what both threads did meanwhile.
    fn steady(&mut self, what: &str) -> Result<(), String> {
        self.settle()?;
        self.clocks.restart();
        let maps = self.app.world().resource::<Shade>().drawn();
        let mut times = Vec::new();
        let mut before = Instant::now();
        for _ in 0..self.frames {
            self.frame();
            let now = Instant::now();
            times.push(now - before);
            before = now;
        }
        let sums = self.clocks.sums();
        self.wait()?;
        super::say(what, times, TARGET);
        let ms = |d: Duration| d.as_secs_f64() * 1e3 / self.frames as f64;
        let drawing: Duration = sums.drawing[1..].iter().sum();
        println!(
            "    mean: main thread {:.2} ms, handing over {:.2}, waiting for the other {:.2}; the \
             one that draws {:.2}, waiting for the card {:.2}",
            ms(sums.main),
            ms(sums.hand_over),
            ms(sums.waiting),
            ms(drawing),
            ms(sums.drawing[0]),
        );
        let maps = self.app.world().resource::<Shade>().drawn() - maps;
        println!("    {maps} shadow maps drawn in {} frames", self.frames);
        if what == LeftOut::Nothing.words() || !LeftOut::ALL.iter().any(|l| l.words() == what) {
            let parts: Vec<String> = PARTS
                .iter()
                .zip(sums.drawing)
                .skip(1)
                .map(|(part, time)| format!("{part} {:.2}", ms(time)))
                .collect();
            println!("    it {}", parts.join(", "));
        }
        Ok(())
    }

    /// Each frame until the card is done with it, with nothing else under way.
    fn alone(&mut self, what: &str) -> Result<(), String> {
        let mut times = Vec::new();
        for _ in 0..(self.frames / 3).max(2) {
            let start = Instant::now();
            self.frame();
            self.wait()?;
            times.push(start.elapsed());
        }
        super::say(what, times, TARGET);
        Ok(())
    }
}

pub fn main(review: Review, quick: bool) -> Result<(), String> {
    let asked = |what: &str| std::env::args().any(|a| a == what);
    let stages = review.sequence.stages.len();
    let mut bench = Bench::new(review, quick, asked("--card"))?;
    if let Some(info) = bench.app.world().get_resource::<RenderAdapterInfo>() {
        println!("drawn by {} ({:?}, {:?})", info.name, info.backend, info.device_type);
    }
    println!("{}x{}, the eye turning; milliseconds", SIZE.0, SIZE.1);
    println!("{:<34} {:>9} {:>9} {:>9}", "", "middle", "95 %", "most");
    for (what, stage) in [("half built", stages / 2), ("finished", stages - 1)] {
        bench.app.world_mut().write_message(Intent::GoToStage(stage));
        bench.settle()?;
        bench.steady(&format!("{what}, from frame to frame"))?;
        bench.alone(&format!("{what}, a frame by itself"))?;
        let counts = bench.draws.0.lock().map(|d| *d).unwrap_or_default();
        let [opaque, shadow, clear] = counts.calls;
        println!(
            "    draw calls: {opaque} of the picture, {shadow} of its shadows, {clear} of what \
             shines through; {} corners, {} triangles",
            counts.corners,
            counts.indices / 3,
        );
        let written = bench.app.world().resource::<Written>();
        println!("    of panels and labels: {written:?}");
    }
    let thrift = bench.app.world().resource::<Thrift>();
    println!(
        "    drawn with {:?} effort, {:?}",
        thrift.effort(),
        thrift.effort().samples(thrift.turning)
    );
    spans(&bench.app);
    bench.app.world_mut().resource_mut::<Thrift>().budget = Some(TARGET);
    bench.steady("finished, less if it takes longer")?;
    println!("    drawn with {:?} effort", bench.app.world().resource::<Thrift>().effort());
    bench.app.world_mut().resource_mut::<Thrift>().budget = Some(ENOUGH);
    if asked("--one-by-one") {
        println!("finished floor, from frame to frame, one thing left out:");
        for out in [LeftOut::Nothing].into_iter().chain(LeftOut::ALL).chain([LeftOut::Nothing]) {
            bench.app.insert_resource(out);
            bench.steady(out.words())?;
        }
    }
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
    if all.is_empty() {
        return;
    }
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    println!("the card's own time:");
    for (time, path) in all.iter().take(16) {
        println!("{time:>9.3} ms  {path}");
    }
}
