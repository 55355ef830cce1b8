//! Orbit, pan, zoom and fit with the pointer, and eased moves to views, members and findings.

use crate::review::Review;
use crate::viewer::idle::Wake;
use crate::viewer::members::Bodies;
use crate::viewer::pick::PointerInScene;
use crate::viewer::pose::{LENS, Pose};
use crate::viewer::state::ViewerState;
use crate::viewer::vocab::{Intent, Item};
use bevy::camera::Viewport;
use bevy::input::mouse::{AccumulatedMouseMotion, AccumulatedMouseScroll, MouseScrollUnit};
use bevy::prelude::*;
use bevy_egui::PrimaryEguiContext;

/// Marks the camera that sees the scene.
#[derive(Component)]
pub struct SceneCamera;

/// Where the eye is and where it is going.
#[derive(Resource)]
pub struct Eye {
    pub now: Pose,
    pub goal: Pose,
    /// Revision that was last brought into view as a whole.
    fitted: Option<(u64, Option<std::path::PathBuf>)>,
    drag: Option<Drag>,
    last_click: f64,
}

impl Default for Eye {
    fn default() -> Self {
        Self {
            now: Pose::default(),
            goal: Pose::default(),
            fitted: None,
            drag: None,
            last_click: -1.0,
        }
    }
}

impl Eye {
    /// There at once, without a move.
    pub fn jump(&mut self, pose: Pose) {
        self.now = pose;
        self.goal = pose;
    }
    #[must_use]
    pub fn is_moving(&self) -> bool {
        self.now != self.goal
    }
    /// Whether the pointer moves the eye: it was pressed in the scene and has moved since.
    #[must_use]
    pub fn is_turned(&self) -> bool {
        self.drag.is_some_and(|d| d.moved > CLICK)
    }
    /// Whether the pointer was pressed in the scene and is still held.
    #[must_use]
    pub fn is_dragged(&self) -> bool {
        self.drag.is_some()
    }
}

/// A pointer that moved no farther while it was pressed has clicked, points.
const CLICK: f32 = 4.0;

#[derive(Clone, Copy)]
struct Drag {
    pan: bool,
    moved: f32,
}

/// The part of the window the scene has, in logical points.
#[derive(Resource, Clone, Copy, Debug, Default, PartialEq)]
pub struct SceneRect(pub Option<Rect>);

impl SceneRect {
    #[must_use]
    pub fn aspect(&self) -> f32 {
        self.0.map_or(1.6, |r| r.width() / r.height().max(1.0))
    }
}

/// The pointer moves the eye, or chooses what it clicks on.
pub fn pointer(
    mut eye: ResMut<'_, Eye>,
    buttons: Res<'_, ButtonInput<MouseButton>>,
    keys: Res<'_, ButtonInput<KeyCode>>,
    motion: Res<'_, AccumulatedMouseMotion>,
    scroll: Res<'_, AccumulatedMouseScroll>,
    rect: Res<'_, SceneRect>,
    at: Res<'_, PointerInScene>,
    time: Res<'_, Time<Real>>,
    state: Res<'_, ViewerState>,
    mut intents: MessageWriter<'_, Intent>,
) {
    let Some(area) = rect.0 else { return };
    let height = area.height().max(1.0);
    let pressed = [MouseButton::Left, MouseButton::Right, MouseButton::Middle];
    if at.inside && eye.drag.is_none() && buttons.any_just_pressed(pressed) {
        let pan = !buttons.pressed(MouseButton::Left)
            || keys.any_pressed([KeyCode::ShiftLeft, KeyCode::ShiftRight]);
        eye.drag = Some(Drag { pan, moved: 0.0 });
    }
    if let Some(mut drag) = eye.drag {
        drag.moved += motion.delta.length();
        if drag.moved > CLICK && motion.delta != Vec2::ZERO {
            let goal = if drag.pan {
                eye.goal.panned(motion.delta / height)
            } else {
                eye.goal.orbited(motion.delta * 0.007)
            };
            eye.goal = goal;
        }
        eye.drag = Some(drag);
        if !buttons.any_pressed(pressed) {
            if drag.moved <= CLICK && buttons.just_released(MouseButton::Left) && at.inside {
                let item = at.over.map(Item::Member);
                let double = time.elapsed_secs_f64() - eye.last_click < 0.35;
                eye.last_click = time.elapsed_secs_f64();
                match item {
                    _ if state.measure.is_some() => {
                        if let Some(end) = at.end {
                            intents.write(Intent::MeasureAt(end));
                        }
                    }
                    Some(item) if double => {
                        intents.write(Intent::LookAt(item));
                    }
                    _ if item != state.selection.chosen => {
                        intents.write(Intent::Choose(item));
                    }
                    _ => {}
                }
            }
            eye.drag = None;
        }
    }
    if at.inside && scroll.delta.y != 0.0 {
        let lines = match scroll.unit {
            MouseScrollUnit::Line => scroll.delta.y,
            MouseScrollUnit::Pixel => scroll.delta.y / 40.0,
        };
        let from_middle = (at.position - area.center()) / height;
        eye.goal = eye.goal.zoomed((-0.13 * lines).exp(), from_middle);
    }
}

/// Named views, fitting, and bringing something into the middle.
pub fn follow_intents(
    mut eye: ResMut<'_, Eye>,
    mut intents: MessageReader<'_, '_, Intent>,
    mut errands: MessageReader<'_, '_, Framing>,
    bodies: Res<'_, Bodies>,
    state: Res<'_, ViewerState>,
    rect: Res<'_, SceneRect>,
) {
    let aspect = rect.aspect();
    for intent in intents.read() {
        if let Intent::View(view) = intent {
            let pose = eye.goal.seen_from(*view);
            eye.goal = pose.fitted(&framed(&bodies), aspect, 0.1);
        }
    }
    for framing in errands.read() {
        let points = match framing {
            Framing::All => framed(&bodies),
            Framing::Item(item) => {
                state.review.as_ref().map_or(Vec::new(), |r| points_of(r, &bodies, *item))
            }
        };
        let margin = if matches!(framing, Framing::All) { 0.1 } else { 0.45 };
        let goal = eye.goal.fitted(&points, aspect, margin);
        eye.goal = if points.is_empty() { eye.goal } else { goal };
    }
    // A scene just opened is brought into view, without a move; a reloaded one stays where it is.
    let shown = (state.revision, state.path.clone());
    if bodies.revision == state.revision
        && state.review.is_some()
        && rect.0.is_some()
        && eye.fitted.as_ref() != Some(&shown)
    {
        if eye.fitted.as_ref().map(|f| &f.1) != Some(&shown.1) {
            let pose = Pose::default().fitted(&framed(&bodies), aspect, 0.1);
            eye.jump(pose);
        }
        eye.fitted = Some(shown);
    }
}

/// What has to be seen when all is: everything built, with room around its foot for the names of
/// the grid lines.
#[must_use]
pub fn framed(bodies: &Bodies) -> Vec<Vec3> {
    const ROOM: f32 = 1.7;
    let mut points = corners(bodies.bounds);
    if let Some([low, high]) = bodies.bounds {
        let room = Vec3::new(ROOM, 0.0, ROOM);
        points.extend(corners(Some([low - room, Vec3::new(high.x, low.y, high.z) + room])));
    }
    points
}

/// What the eye is asked to bring into the middle.
#[derive(Message, Clone, Copy, Debug, PartialEq)]
pub enum Framing {
    All,
    Item(Item),
}

/// The eight corners of a box.
#[must_use]
pub fn corners(bounds: Option<[Vec3; 2]>) -> Vec<Vec3> {
    let Some([low, high]) = bounds else { return Vec::new() };
    (0..8)
        .map(|k| {
            Vec3::new(
                if k & 1 == 0 { low.x } else { high.x },
                if k & 2 == 0 { low.y } else { high.y },
                if k & 4 == 0 { low.z } else { high.z },
            )
        })
        .collect()
}

/// Ends of the members an item is about.
#[must_use]
pub fn points_of(review: &Review, bodies: &Bodies, item: Item) -> Vec<Vec3> {
    let of = |id: crate::assembly::MemberId| {
        bodies.members.get(id.index()).map_or(Vec::new(), |b| b.ends.to_vec())
    };
    match item {
        Item::Member(id) => of(id),
        Item::Finding(i) => review
            .findings
            .get(i)
            .iter()
            .flat_map(|f| &f.subjects)
            .filter_map(|n| review.assembly.find(n))
            .flat_map(of)
            .collect(),
    }
}

/// Moves the eye towards its goal and sets the camera.
pub fn ease(
    mut eye: ResMut<'_, Eye>,
    time: Res<'_, Time<Real>>,
    mut cameras: Query<'_, '_, (&mut Transform, &mut Projection), With<SceneCamera>>,
    mut wake: ResMut<'_, Wake>,
) {
    if eye.is_moving() {
        // After a rest the first frame's time is the rest's length.
        let dt = time.delta_secs().clamp(0.004, 0.05);
        let next = eye.now.toward(&eye.goal, 1.0 - (-8.0 * dt).exp());
        eye.now = next;
        wake.ask();
    }
    for (mut transform, mut projection) in &mut cameras {
        transform.set_if_neq(eye.now.transform());
        let lens = eye.now.lens;
        let same =
            matches!(&*projection, Projection::Perspective(p) if (p.fov - lens).abs() < 1e-7);
        if !same && let Projection::Perspective(p) = &mut *projection {
            p.fov = lens;
            p.near = 0.05;
        }
    }
}

/// Gives the camera its part of the window.
pub fn apply_rect(
    rect: Res<'_, SceneRect>,
    windows: Query<'_, '_, &Window, With<bevy::window::PrimaryWindow>>,
    mut cameras: Query<'_, '_, &mut Camera, With<SceneCamera>>,
    mut panels: Query<'_, '_, &mut Camera, (With<PrimaryEguiContext>, Without<SceneCamera>)>,
) {
    let window = windows.single().ok();
    let scale = window.map_or(1.0, Window::scale_factor);
    for mut camera in &mut cameras {
        // Without a window, a picture: its own size is the limit.
        let size = window.map(|w| UVec2::new(w.physical_width(), w.physical_height()));
        let Some(limit) = size.or_else(|| camera.physical_target_size()) else { continue };
        let viewport = rect.0.and_then(|r| {
            let low = (r.min.max(Vec2::ZERO) * scale).round().as_uvec2().min(limit);
            let high = (r.max.max(Vec2::ZERO) * scale).round().as_uvec2().min(limit);
            let size = high.saturating_sub(low);
            (size.x >= 8 && size.y >= 8).then_some((low, size))
        });
        let active = viewport.is_some();
        if camera.is_active != active {
            camera.is_active = active;
        }
        // Panels are drawn over the scene; where there is none, over its ground colour.
        for mut panels in &mut panels {
            let over_scene = matches!(panels.clear_color, ClearColorConfig::None);
            if over_scene != active {
                panels.clear_color =
                    if active { ClearColorConfig::None } else { ClearColorConfig::Default };
            }
        }
        if let Some((physical_position, physical_size)) = viewport {
            let same = camera.viewport.as_ref().is_some_and(|v| {
                v.physical_position == physical_position && v.physical_size == physical_size
            });
            if !same {
                camera.viewport = Some(Viewport { physical_position, physical_size, ..default() });
            }
        }
    }
}

/// Whether the lens is one for drawings.
#[must_use]
pub fn is_drawing(pose: &Pose) -> bool {
    pose.lens < LENS * 0.5
}

/// How a world point lies on the screen, in logical points of the window.
#[must_use]
pub fn on_screen(camera: &Camera, transform: &GlobalTransform, point: Vec3) -> Option<Vec2> {
    // The camera counts from the window's corner, not from that of its own part of the window.
    camera.world_to_viewport(transform, point).ok()
}
