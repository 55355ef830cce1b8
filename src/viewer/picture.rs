//! A picture of a stage, without a window.

use crate::review::Review;
use crate::viewer::adapter::{CannotDraw, guarded, quiet_log};
use crate::viewer::camera::{Eye, SceneRect, framed, points_of};
use crate::viewer::clear::clear;
use crate::viewer::loading::Judge;
use crate::viewer::members::{Bodies, Coming};
use crate::viewer::plugin::{PictureTarget, ViewerPlugin};
use crate::viewer::pose::Pose;
use crate::viewer::rooms;
use crate::viewer::stage_paint::Painted;
use crate::viewer::state::ViewerState;
use crate::viewer::theme::{Look, Theme};
use crate::viewer::vocab::{Item, NamedView, Unfolded};
use anyhow::Context;
use bevy::image::TextureFormatPixelInfo;
use bevy::prelude::*;
use bevy::render::RenderPlugin;
use bevy::render::render_resource::{PollType, TextureFormat};
use bevy::render::renderer::RenderDevice;
use bevy::render::view::screenshot::{Screenshot, ScreenshotCaptured};
use bevy::window::ExitCondition;
use bevy::winit::WinitPlugin;
use bevy_egui::{EguiContext, EguiPlugin, PrimaryEguiContext};
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// How a picture is taken.
#[derive(Clone, Debug)]
pub struct Options {
    pub view: NamedView,
    pub look: Look,
    /// Brought into the middle, with the rest out of focus.
    pub item: Option<Item>,
    /// Signs, bubbles and levels.
    pub labels: bool,
    /// The whole window with its panels, instead of the scene alone.
    pub panels: bool,
    /// What of the card is unfolded.
    pub unfolded: Unfolded,
    /// With panels: how many times its own size their text has.
    pub text: f32,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            view: NamedView::Corner,
            look: Look::Day,
            item: None,
            labels: true,
            panels: false,
            unfolded: Unfolded::default(),
            text: 1.0,
        }
    }
}

/// Draws a stage of a judged scene to a PNG file of so many pixels.
///
/// # Errors
/// If there is no graphics adapter, or the file cannot be written.
pub fn picture(
    review: Arc<Review>,
    stage: usize,
    out: &Path,
    size: (u32, u32),
    options: &Options,
) -> anyhow::Result<()> {
    let pixels = pixels(review, stage, size, options)?;
    let image = pixels.try_into_dynamic().context("the picture's pixels cannot be read")?;
    image.to_rgb8().save(out).with_context(|| format!("cannot write {}", out.display()))?;
    Ok(())
}

/// Draws a stage into an image.
///
/// # Errors
/// If there is no graphics adapter.
pub fn pixels(
    review: Arc<Review>,
    stage: usize,
    size: (u32, u32),
    options: &Options,
) -> anyhow::Result<Image> {
    pixels_of(review, stage, size, options, |_| {})
}

/// As [`pixels`], of a window that somebody has been at: `prepare` does to its state what they did.
///
/// # Errors
/// If there is no graphics adapter.
pub fn pixels_of(
    review: Arc<Review>,
    stage: usize,
    size: (u32, u32),
    options: &Options,
    prepare: impl FnOnce(&mut ViewerState),
) -> anyhow::Result<Image> {
    Studio::new(size)?.take(review, stage, options, prepare)
}

/// Where pictures are taken: it is set up once, which takes longer than a picture.
pub struct Studio {
    app: App,
    target: Handle<Image>,
    size: (u32, u32),
    /// The typeface is set and everything that draws is ready.
    warm: bool,
}

/// The window's app without a window: it draws into an image of so many pixels.
///
/// # Errors
/// If there is no graphics adapter.
pub fn unseen(size: (u32, u32), judge: Judge) -> anyhow::Result<(App, Handle<Image>)> {
    let plugins = DefaultPlugins
        .set(WindowPlugin {
            primary_window: None,
            exit_condition: ExitCondition::DontExit,
            ..default()
        })
        .set(RenderPlugin { synchronous_pipeline_compilation: true, ..default() })
        .set(quiet_log())
        .disable::<WinitPlugin>();
    let mut app = guarded(|| {
        let mut app = App::new();
        app.set_error_handler(bevy::ecs::error::warn).add_plugins(plugins);
        app
    })?;
    app.add_plugins(EguiPlugin::default());
    let target = Image::new_target_texture(size.0, size.1, TextureFormat::Rgba8UnormSrgb, None);
    let target = app.world_mut().resource_mut::<Assets<Image>>().add(target);
    app.insert_resource(PictureTarget(target.clone()));
    app.add_plugins(ViewerPlugin { theme: Theme::shipped()?, judge });
    Ok((app, target))
}

impl Studio {
    /// For pictures of so many pixels.
    ///
    /// # Errors
    /// If there is no graphics adapter.
    pub fn new(size: (u32, u32)) -> anyhow::Result<Self> {
        let (mut app, target) = unseen(size, never())?;
        app.finish();
        app.cleanup();
        app.world_mut().resource_mut::<ViewerState>().scenes = rooms::shipped_scenes();
        Ok(Self { app, target, size, warm: false })
    }

    /// Takes a picture of a stage; `prepare` does to the window's state what somebody did.
    ///
    /// # Errors
    /// If there is no graphics adapter.
    pub fn take(
        &mut self,
        review: Arc<Review>,
        stage: usize,
        options: &Options,
        prepare: impl FnOnce(&mut ViewerState),
    ) -> anyhow::Result<Image> {
        let app = &mut self.app;
        if options.panels {
            app.world_mut().remove_resource::<Bare>();
        } else {
            app.insert_resource(Bare { labels: options.labels });
        }
        let mut state = app.world_mut().resource_mut::<ViewerState>();
        state.show(Path::new(&review.assembly.scene.title), review.clone());
        state.look = options.look;
        state.stage = stage.min(state.last_stage());
        state.selection.chosen = options.item;
        state.unfolded = options.unfolded;
        state.rolled_to_unfolded = options.unfolded != Unfolded::default();
        prepare(&mut state);
        let review = state.review.clone().unwrap_or(review);
        let full = Rect::new(0.0, 0.0, self.size.0 as f32, self.size.1 as f32);
        // Until it is aimed, next to nothing is drawn of the scene; panels find their own room.
        let corner = Rect::new(0.0, 0.0, 16.0, 16.0);
        app.world_mut().insert_resource(SceneRect(Some(corner)));
        // The first pass sets the typeface, the second lays the panels out: then the room is known.
        pump(app, 1)?;
        let zoom = if options.panels { options.text } else { 1.0 };
        let world = app.world_mut();
        let mut contexts = world.query_filtered::<&mut EguiContext, With<PrimaryEguiContext>>();
        for mut context in contexts.iter_mut(world) {
            context.get_mut().set_zoom_factor(zoom);
        }
        pump(app, if self.warm { 3 } else { 6 })?;
        if !options.panels {
            app.world_mut().insert_resource(SceneRect(Some(full)));
        }
        // What is seen from near may come later than the rest.
        let patience = Instant::now();
        while app.world().resource::<Coming>().left() > 0 {
            anyhow::ensure!(patience.elapsed().as_secs() < 120, "the shapes are not made in time");
            std::thread::sleep(Duration::from_millis(2));
            pump(app, 1)?;
        }
        aim(app, &review, options);
        pump(app, if self.warm { 2 } else { 3 })?;
        self.warm = true;
        let taken = shoot(app, &self.target);
        self.wait(&taken)
    }

    /// So many frames one after the other, each as it is drawn: the first is the one after `then`.
    ///
    /// # Errors
    /// If there is no graphics adapter.
    pub fn frames(
        &mut self,
        count: usize,
        then: impl FnOnce(&mut World),
    ) -> anyhow::Result<Vec<Image>> {
        then(self.app.world_mut());
        let mut taken = Vec::new();
        for _ in 0..count {
            taken.push(shoot(&mut self.app, &self.target));
            pump(&mut self.app, 1)?;
        }
        taken.iter().map(|t| self.wait(t)).collect()
    }

    fn wait(&mut self, taken: &Taken) -> anyhow::Result<Image> {
        for _ in 0..60 {
            if let Some(image) = taken.lock().ok().and_then(|mut t| t.take()) {
                anyhow::ensure!(image.texture_descriptor.format.pixel_size().is_ok(), "odd pixels");
                return Ok(image);
            }
            pump(&mut self.app, 1)?;
        }
        anyhow::bail!("the graphics adapter gave no picture back")
    }
}

/// Where a picture comes to, once it is there.
type Taken = Arc<Mutex<Option<Image>>>;

/// Asks for the picture of the next frame.
fn shoot(app: &mut App, target: &Handle<Image>) -> Taken {
    let taken = Taken::default();
    let there = taken.clone();
    app.world_mut().spawn(Screenshot::image(target.clone())).observe(
        move |shot: On<'_, '_, ScreenshotCaptured>| {
            if let Ok(mut there) = there.lock() {
                *there = Some(shot.image.clone());
            }
        },
    );
    taken
}

/// The scene is drawn without the panels, with signs and labels or without.
#[derive(Resource)]
pub struct Bare {
    pub labels: bool,
}

fn aim(app: &mut App, review: &Review, options: &Options) {
    let world = app.world_mut();
    let aspect = world.resource::<SceneRect>().aspect();
    let bodies = world.resource::<Bodies>();
    let whole = framed(bodies);
    let mut pose = Pose::default().seen_from(options.view).fitted(&whole, aspect, 0.1);
    if let Some(item) = options.item {
        let points = points_of(review, bodies, item);
        if !points.is_empty() {
            pose = pose.fitted(&points, aspect, 0.5);
        }
    }
    let pose = clear(pose, world.resource::<Bodies>(), &world.resource::<Painted>().paints);
    world.resource_mut::<Eye>().jump(pose);
}

fn pump(app: &mut App, times: u32) -> anyhow::Result<()> {
    for _ in 0..times {
        app.update();
        let device = app.world().get_resource::<RenderDevice>();
        let device = device.ok_or(CannotDraw::NoAdapter)?;
        device
            .wgpu_device()
            .poll(PollType::Wait { submission_index: None, timeout: None })
            .context("the graphics adapter stopped answering")?;
    }
    Ok(())
}

/// A picture is of a scene that is judged already.
fn never() -> Judge {
    Judge(Arc::new(|path, _| Err(format!("{} is not read for a picture", path.display()))))
}
