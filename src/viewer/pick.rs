//! What the pointer is over: the nearest member within a few points, thin braces included.

use crate::assembly::model::Point;
use crate::assembly::{Assembly, MemberId, Role};
use crate::viewer::camera::{Eye, SceneCamera, SceneRect};
use crate::viewer::members::Bodies;
use crate::viewer::sight::Sight;
use crate::viewer::stage_paint::Painted;
use crate::viewer::state::ViewerState;
use crate::viewer::vocab::{Intent, Item};
use bevy::prelude::*;
use bevy::window::PrimaryWindow;
use bevy_egui::input::EguiWantsInput;

/// How far off a member the pointer may be, in points.
pub const PICK_RADIUS: f32 = 6.0;

/// Where the pointer is.
#[derive(Resource, Default, Debug)]
pub struct PointerInScene {
    /// Over the scene and not over a panel or pop-up.
    pub inside: bool,
    /// In points of the window.
    pub position: Vec2,
    pub over: Option<MemberId>,
    /// The end of that member, or its middle, that lies nearest on the screen.
    pub end: Option<Point>,
}

/// Keeps [`PointerInScene`] and tells what is hovered.
pub fn track(
    windows: Query<'_, '_, &Window, With<PrimaryWindow>>,
    rect: Res<'_, SceneRect>,
    wants: Option<Res<'_, EguiWantsInput>>,
    cameras: Query<'_, '_, (&Camera, &GlobalTransform), With<SceneCamera>>,
    bodies: Res<'_, Bodies>,
    painted: Res<'_, Painted>,
    state: Res<'_, ViewerState>,
    eye: Res<'_, Eye>,
    mut at: ResMut<'_, PointerInScene>,
    mut intents: MessageWriter<'_, Intent>,
) {
    let cursor = windows.single().ok().and_then(Window::cursor_position);
    // Panels belong to the background layer, over which the second test says nothing.
    let over_ui = wants.is_some_and(|w| w.wants_any_pointer_input());
    let inside = cursor.is_some_and(|c| rect.0.is_some_and(|r| r.contains(c))) && !over_ui;
    let position = cursor.unwrap_or(at.position);
    // What is turned under the pointer is not pointed at.
    let sight = cameras.single().ok().filter(|_| inside && !eye.is_turned());
    let sight = sight.and_then(|(camera, transform)| Sight::of(camera, transform));
    let over = match (sight, &state.review) {
        (Some(sight), Some(review)) if bodies.revision == state.revision => {
            // Counted from the window's corner, as the pointer is.
            let project = |p: Vec3| sight.with_depth(p);
            let visible =
                |id: MemberId| painted.paints.get(id.index()).is_some_and(|p| p.coat.is_some());
            pick(&review.assembly, &bodies, project, visible, position)
        }
        _ => None,
    };
    let end = match (over, sight, &state.review) {
        (Some(id), Some(sight), Some(review)) => {
            let seen = |p: &Point| {
                let p = bodies.origin.point(*p);
                sight.at(p).map_or(f32::MAX, |v| v.distance(position))
            };
            let [a, b] = review.assembly.member(id).ends;
            let ends = [a, b, nalgebra::center(&a, &b)];
            ends.into_iter().min_by(|a, b| seen(a).total_cmp(&seen(b)))
        }
        _ => None,
    };
    if at.inside != inside || at.position != position || at.over != over || at.end != end {
        *at = PointerInScene { inside, position, over, end };
    }
    let hovered = over.map(Item::Member);
    let from_scene = matches!(state.selection.hovered, None | Some(Item::Member(_)));
    if hovered != state.selection.hovered && from_scene && (inside || hovered.is_some()) {
        intents.write(Intent::Hover(hovered));
    }
}

/// The visible member nearest to the eye under a point of the screen. `project` gives points and
/// depth, or nothing for what is behind the eye.
pub fn pick(
    assembly: &Assembly,
    bodies: &Bodies,
    project: impl Fn(Vec3) -> Option<Vec3>,
    visible: impl Fn(MemberId) -> bool,
    at: Vec2,
) -> Option<MemberId> {
    let mut best: Option<(f32, MemberId)> = None;
    for (member, body) in assembly.members.iter().zip(&bodies.members) {
        if !visible(member.id) {
            continue;
        }
        let depth = match member.role {
            Role::Sheet | Role::Sill => over_sheet(body.ends, body.turned, &project, at),
            _ => near_bar(body.ends, &project, at),
        };
        // A bar a little behind a sheet's face still wins over the sheet it carries.
        let handicap = if member.role == Role::Sheet { 0.25 } else { 0.0 };
        if let Some(depth) = depth.map(|d| d + handicap)
            && best.is_none_or(|(b, _)| depth < b)
        {
            best = Some((depth, member.id));
        }
    }
    best.map(|(_, id)| id)
}

/// Depth of the bar's nearest point, if the pointer is close to it on the screen.
fn near_bar(ends: [Vec3; 2], project: &impl Fn(Vec3) -> Option<Vec3>, at: Vec2) -> Option<f32> {
    let (a, b) = (project(ends[0])?, project(ends[1])?);
    let along = b.truncate() - a.truncate();
    let length = along.length_squared();
    let share =
        if length > 1e-6 { ((at - a.truncate()).dot(along) / length).clamp(0.0, 1.0) } else { 0.0 };
    let nearest = a.lerp(b, share);
    (nearest.truncate().distance(at) <= PICK_RADIUS).then_some(nearest.z)
}

/// Depth of a flat piece under the pointer.
fn over_sheet(
    ends: [Vec3; 2],
    turned: f32,
    project: &impl Fn(Vec3) -> Option<Vec3>,
    at: Vec2,
) -> Option<f32> {
    let across = ends[1] - ends[0];
    let x = Quat::from_rotation_y(turned) * Vec3::X;
    let along = x * across.dot(x);
    let quad = [ends[0], ends[0] + along, ends[1], ends[1] - along];
    let mut seen = [Vec3::ZERO; 4];
    for (s, q) in seen.iter_mut().zip(quad) {
        *s = project(q)?;
    }
    let mut sign = 0.0f32;
    for k in 0..4 {
        let (p, q) = (seen[k].truncate(), seen[(k + 1) % 4].truncate());
        let side = (q - p).perp_dot(at - p);
        if side * sign < 0.0 {
            return None;
        }
        if side != 0.0 {
            sign = side;
        }
    }
    (sign != 0.0).then(|| seen.iter().map(|s| s.z).sum::<f32>() / 4.0)
}
