//! Draws with less while the eye moves. Edges have two samples a pixel then instead of four, where the
//! adapter can: nobody sees that of a picture that moves, and on a data-centre card it is a quarter of a frame.
//! Where frames still come too late to follow the eye they have one, until it rests: on an adapter made of
//! software that halves a frame. Nothing is left out that says something about a member. The frame after
//! the eye has come to rest is drawn in full.
//!
//! Pictures are always drawn in full. A person can switch it off (in the menu *Show*).
//!
//! Known to work by `tests/viewer/thrift.rs`, without a graphics card: the course of a move in numbers,
//! and the camera in the window's app, on a move that is slow, one that is not, and at rest.

use crate::viewer::camera::{Eye, SceneCamera};
use crate::viewer::idle::Wake;
use crate::viewer::members::Bodies;
use crate::viewer::plugin::PictureTarget;
use crate::viewer::pose::Pose;
use crate::viewer::state::ViewerState;
use bevy::platform::collections::HashSet;
use bevy::prelude::*;
use bevy::render::render_resource::TextureFormat;
use bevy::render::renderer::RenderAdapter;
use bevy::window::{Monitor, PrimaryMonitor};
use bevy_egui::PrimaryEguiContext;
use std::time::Duration;

/// So many slow frames in a row are no chance.
const SLOW: u8 = 3;
/// After so long a rest that is forgotten: what was slow then may not be now.
const FORGOTTEN: Duration = Duration::from_secs(3);
/// Seconds from picture to picture of a screen that does not say.
const USUAL: f64 = 1.0 / 60.0;
/// A frame that took longer than so many pictures of the screen came too late for one of them.
const LATE: f64 = 1.25;

/// How much is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Effort {
    /// At rest.
    #[default]
    Full,
    /// While the eye moves.
    Turning,
    /// While it moves and frames come too late.
    Less,
}

impl Effort {
    /// Samples a pixel; `turning` is what the adapter can while the eye moves.
    #[must_use]
    pub fn samples(self, turning: Msaa) -> Msaa {
        match self {
            Self::Full => Msaa::Sample4,
            Self::Turning => turning,
            Self::Less => Msaa::Off,
        }
    }
}

/// The course of moves and rests.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Course {
    effort: Effort,
    /// Slow frames in a row.
    slow: u8,
    moves: bool,
    /// What the last move ended with.
    last: Effort,
    rested: Duration,
}

impl Course {
    /// How the next frame is drawn. `took`: from the frame before the last to the last.
    pub fn next(&mut self, moves: bool, took: Duration, budget: Duration) -> Effort {
        if !moves {
            let rested = if self.moves { Duration::ZERO } else { self.rested };
            let last = if self.moves { self.effort } else { self.last };
            *self = Self { last, rested: rested.saturating_add(took), ..Self::default() };
            return self.effort;
        }
        if self.moves {
            self.slow = if took > budget { (self.slow + 1).min(SLOW) } else { 0 };
            if self.slow == SLOW {
                // Until it rests: to and fro would be worse than either.
                self.effort = Effort::Less;
            }
        } else {
            // The time of the first frame is that of the rest before it.
            let rested = self.rested.saturating_add(took);
            let late = rested < FORGOTTEN && self.last == Effort::Less;
            self.effort = if late { Effort::Less } else { Effort::Turning };
            self.slow = 0;
        }
        self.moves = true;
        self.effort
    }
}

/// How the scene is drawn now.
#[derive(Resource)]
pub struct Thrift {
    effort: Effort,
    course: Course,
    eye: Option<Pose>,
    /// The review that was last made ready to be drawn with less, and frames left until it is.
    ready: (u64, u8),
    /// Materials of what is not painted as members are that were seen so far.
    kinds: HashSet<AssetId<StandardMaterial>>,
    /// Samples a pixel while the eye moves: as many as there are fewer than four and more than one.
    pub turning: Msaa,
    /// Longest frame; none: as the screen asks for. Given for measuring, also where there is no screen.
    pub budget: Option<Duration>,
}

impl Default for Thrift {
    fn default() -> Self {
        Self {
            effort: Effort::Full,
            course: Course::default(),
            eye: None,
            ready: (0, 0),
            kinds: HashSet::new(),
            turning: Msaa::Sample4,
            budget: None,
        }
    }
}

impl Thrift {
    #[must_use]
    pub fn effort(&self) -> Effort {
        self.effort
    }
}

/// Both cameras: they draw into the same picture.
type OfTheWindow = Or<(With<SceneCamera>, With<PrimaryEguiContext>)>;

/// Asks the adapter whether it can draw with two samples a pixel: not every one can.
pub fn ask(mut thrift: ResMut<'_, Thrift>, adapter: Option<Res<'_, RenderAdapter>>) {
    let Some(adapter) = adapter else { return };
    let formats = [TextureFormat::Rgba8UnormSrgb, TextureFormat::Depth32Float];
    let can = |f| adapter.get_texture_format_features(f).flags.sample_count_supported(2);
    if formats.into_iter().all(can) {
        thrift.turning = Msaa::Sample2;
    }
}

/// Materials of entities that came into sight, or went out of it.
type Sighted<'w, 's> = Query<
    'w,
    's,
    (&'static MeshMaterial3d<StandardMaterial>, &'static ViewVisibility),
    Changed<ViewVisibility>,
>;

/// Decides how the next frame is drawn, and sets samples.
pub fn weigh(
    mut thrift: ResMut<'_, Thrift>,
    eye: Res<'_, Eye>,
    bodies: Res<'_, Bodies>,
    time: Res<'_, Time<Real>>,
    state: Res<'_, ViewerState>,
    picture: Option<Res<'_, PictureTarget>>,
    monitors: Query<'_, '_, &Monitor, With<PrimaryMonitor>>,
    sighted: Sighted<'_, '_>,
    mut cameras: Query<'_, '_, &mut Msaa, OfTheWindow>,
    mut wake: ResMut<'_, Wake>,
) {
    let thrift = &mut *thrift;
    let moves = thrift.eye.replace(eye.now).is_some_and(|before| before != eye.now);
    let rate = monitors.iter().find_map(|m| m.refresh_rate_millihertz).filter(|&r| r > 0);
    let screen = rate.map_or(USUAL, |r| 1e3 / f64::from(r));
    let budget = thrift.budget.unwrap_or(Duration::from_secs_f64(LATE * screen));
    let mut effort = thrift.course.next(moves, time.delta(), budget);
    // What draws with less is made ready beforehand, when something is new anyway: else it would be missing
    // from the first frames of a move.
    let mut new = std::mem::replace(&mut thrift.ready.0, bodies.revision) != bodies.revision;
    for (material, sight) in &sighted {
        new |= sight.get() && thrift.kinds.insert(material.id());
    }
    if new {
        thrift.ready.1 = 4;
    }
    if thrift.ready.1 > 0 {
        thrift.ready.1 -= 1;
        effort = if thrift.ready.1 > 1 { Effort::Less } else { Effort::Turning };
    }
    if state.always_full || picture.is_some() && thrift.budget.is_none() {
        effort = Effort::Full;
    }
    thrift.effort = effort;
    if effort != Effort::Full {
        // There is a next frame, to be drawn in full.
        wake.ask();
    }
    for mut samples in &mut cameras {
        samples.set_if_neq(effort.samples(thrift.turning));
    }
}
