//! Clocks at both threads. The window draws one frame while it gets the next one ready, and at most
//! two frames are on their way to the screen: here, where there is no screen that would hold the
//! program back, the thread that draws waits for the card instead, as it waits for a window's next image.

use bevy::prelude::*;
use bevy::render::render_resource::PollType;
use bevy::render::renderer::{RenderDevice, RenderGraph, RenderGraphSystems, RenderQueue};
use bevy::render::{Render, RenderApp, RenderSystems};
use std::collections::VecDeque;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Frames that may be on their way at a time, as a window asks for by default.
const ON_THEIR_WAY: usize = 2;

/// What the drawing thread does, in its order; the clock stops after each.
pub const PARTS: [&str; 9] = [
    "waits for the card",
    "assets and meshes",
    "views, pipelines",
    "queues",
    "sorts",
    "buffers, bind groups",
    "encodes",
    "submits",
    "cleans up",
];

/// Sums over the frames since the last [`Clocks::restart`].
#[derive(Clone, Copy, Default)]
pub struct Sums {
    /// Panels, labels, everything of the main thread, without the handing over.
    pub main: Duration,
    /// Copying what is drawn to the drawing thread, which waits meanwhile.
    pub hand_over: Duration,
    /// The main thread waits for the drawing thread.
    pub waiting: Duration,
    /// By [`PARTS`].
    pub drawing: [Duration; PARTS.len()],
}

#[derive(Default)]
struct Marks {
    sums: Sums,
    begun: Option<Instant>,
    main_done: Option<Instant>,
    drawn: Option<Instant>,
    last: Option<Instant>,
}

/// Shared by both threads.
#[derive(Resource, Clone, Default)]
pub struct Clocks {
    marks: Arc<Mutex<Marks>>,
    /// Frames the drawing thread is done with.
    drawn: Arc<AtomicUsize>,
}

/// What was handed to the card, oldest first.
#[derive(Resource, Default)]
struct Submitted(VecDeque<PollType>);

impl Clocks {
    pub fn hang(&self, app: &mut App) -> Result<(), String> {
        let (begin, end) = (self.clone(), self.clone());
        app.add_systems(First, move || begin.with(|m| m.begun = Some(Instant::now())))
            .add_systems(Last, move || end.with(Marks::end_main));
        let render = app.get_sub_app_mut(RenderApp).ok_or("nothing is drawn here")?;
        render.insert_resource(self.clone()).init_resource::<Submitted>();
        let part = |i: usize| {
            let clocks = self.clone();
            move || clocks.with(|m| m.stop(i))
        };
        let start = self.clone();
        let after = [
            (RenderSystems::PrepareMeshes, RenderSystems::CreateViews),
            (RenderSystems::PrepareViews, RenderSystems::Queue),
            (RenderSystems::Queue, RenderSystems::PhaseSort),
            (RenderSystems::PhaseSort, RenderSystems::Prepare),
            (RenderSystems::Prepare, RenderSystems::Render),
        ];
        render.add_systems(
            Render,
            (move || start.with(|m| m.last = Some(Instant::now())), wait, part(0))
                .chain()
                .before(RenderSystems::ExtractCommands),
        );
        for (i, (done, next)) in after.into_iter().enumerate() {
            render.add_systems(Render, part(i + 1).after(done).before(next));
        }
        render
            .add_systems(
                RenderGraph,
                part(6).after(RenderGraphSystems::Render).before(RenderGraphSystems::Submit),
            )
            .add_systems(
                Render,
                (part(7), submitted)
                    .chain()
                    .after(RenderSystems::Render)
                    .before(RenderSystems::Cleanup),
            )
            .add_systems(Render, (part(8), finish).chain().after(RenderSystems::PostCleanup));
        Ok(())
    }

    fn with(&self, act: impl FnOnce(&mut Marks)) {
        if let Ok(mut marks) = self.marks.lock() {
            act(&mut marks);
        }
    }

    /// Called when the main thread goes on: the frame is handed over.
    pub fn handed_over(&self) {
        self.with(|m| {
            let (Some(done), now) = (m.main_done.take(), Instant::now()) else { return };
            let free = m.drawn.map_or(done, |d| d.max(done)).min(now);
            m.sums.waiting += free - done;
            m.sums.hand_over += now - free;
        });
    }

    pub fn restart(&self) {
        self.with(|m| m.sums = Sums::default());
    }

    #[must_use]
    pub fn sums(&self) -> Sums {
        self.marks.lock().map(|m| m.sums).unwrap_or_default()
    }

    /// Frames the drawing thread is done with.
    #[must_use]
    pub fn drawn(&self) -> usize {
        self.drawn.load(Ordering::Acquire)
    }
}

impl Marks {
    fn end_main(&mut self) {
        let now = Instant::now();
        if let Some(begun) = self.begun.take() {
            self.sums.main += now - begun;
        }
        self.main_done = Some(now);
    }

    fn stop(&mut self, part: usize) {
        let now = Instant::now();
        if let Some(last) = self.last.replace(now) {
            self.sums.drawing[part] += now - last;
        }
    }
}

/// Waits until the card is done with the frame before the last.
fn wait(mut submitted: ResMut<'_, Submitted>, device: Res<'_, RenderDevice>) {
    while submitted.0.len() >= ON_THEIR_WAY {
        if let Some(oldest) = submitted.0.pop_front() {
            // A card that is lost stops the program elsewhere.
            let _ = device.wgpu_device().poll(oldest);
        }
    }
}

fn submitted(mut submitted: ResMut<'_, Submitted>, queue: Res<'_, RenderQueue>) {
    let index = queue.submit([]);
    submitted.0.push_back(PollType::Wait { submission_index: Some(index), timeout: None });
}

fn finish(clocks: Res<'_, Clocks>) {
    clocks.with(|m| m.drawn = Some(Instant::now()));
    clocks.drawn.fetch_add(1, Ordering::Release);
}
