//! Lays the panels out only where they may look or answer otherwise than before.
//!
//! Panels read a [`View`](crate::viewer::panels::View), which is the state and the theme, and what
//! egui remembers of them. So they are as they were as long as neither changed, nothing was done to
//! them, egui asks for no other pass (for an animation, a tip that is to appear, a cursor that blinks) and
//! their room is the same. In such a frame, the one in which only the eye moved above all, what was
//! drawn of them is drawn again: it need be neither laid out nor cut into triangles.
//!
//! Known to work by `tests/viewer/passes.rs`: a turn of the eye runs no panel, and after it a panel
//! answers a click as before; what another system changes is shown by the very frame.

use crate::viewer::camera::Eye;
use crate::viewer::idle::Wake;
use crate::viewer::pick::PointerInScene;
use crate::viewer::picture::Bare;
use crate::viewer::state::ViewerState;
use crate::viewer::theme::Theme;
use bevy::prelude::*;
use bevy_egui::{
    EguiContext, EguiFullOutput, EguiInput, EguiPostUpdateSet, EguiPrimaryContextPass,
    PrimaryEguiContext, egui,
};
use std::time::Duration;

/// What is kept from the last pass of the panels, and whether another is due.
#[derive(Resource, Default)]
pub struct PanelPass {
    /// Something the panels show, or something done to them, is new.
    news: bool,
    /// When egui wants to be run again, in time since the start.
    due: Option<Duration>,
    /// Whether it had asked for that when its pass was over.
    asked: bool,
    room: Option<Room>,
    kept: Option<(egui::PlatformOutput, f32)>,
    /// Counts the passes.
    passes: u64,
}

impl PanelPass {
    /// How often the panels were laid out.
    #[must_use]
    pub fn passes(&self) -> u64 {
        self.passes
    }
}

/// What the panels are laid out for, beside what they show.
#[derive(Clone, Copy, PartialEq)]
struct Room {
    screen: Option<egui::Rect>,
    scale: Option<f32>,
    zoom: f32,
    focused: bool,
}

pub fn plugin(app: &mut App) {
    app.init_resource::<PanelPass>().add_systems(
        PostUpdate,
        (look.before(EguiPostUpdateSet::EndPass), run.in_set(EguiPostUpdateSet::EndPass)),
    );
}

/// Sees whether there is anything new for the panels.
fn look(
    mut pass: ResMut<'_, PanelPass>,
    state: Res<'_, ViewerState>,
    theme: Res<'_, Theme>,
    bare: Option<Res<'_, Bare>>,
    eye: Res<'_, Eye>,
    at: Res<'_, PointerInScene>,
    mut contexts: Query<'_, '_, (&mut EguiContext, &mut EguiInput), With<PrimaryEguiContext>>,
    mut was_bare: Local<'_, bool>,
) {
    let bared = std::mem::replace(&mut *was_bare, bare.is_some()) != bare.is_some();
    let mut news = state.is_changed() || theme.is_changed() || bared;
    for (mut context, mut input) in &mut contexts {
        let popup = context.get_mut().any_popup_open();
        let pointer = Pointer { turns_eye: eye.is_dragged(), in_scene: at.inside && !popup };
        sift(&mut input.events, pointer);
        let only_moved = |e: &egui::Event| matches!(e, egui::Event::PointerMoved(_));
        news |=
            !(input.events.is_empty() || pointer.turns_eye && input.events.iter().all(only_moved));
        news |= !(input.hovered_files.is_empty() && input.dropped_files.is_empty());
    }
    pass.news |= news;
}

/// Whose the pointer is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pointer {
    /// It was pressed in the scene and turns or moves the eye until it is let go.
    pub turns_eye: bool,
    /// It is over the scene, and over nothing that lies on it.
    pub in_scene: bool,
}

/// Takes out of what happened what is no panel's affair. A wheel turned over the scene zooms it. While
/// the pointer turns the eye it is only told where it came to, when there is something else to tell.
pub fn sift(events: &mut Vec<egui::Event>, pointer: Pointer) {
    if pointer.in_scene {
        events.retain(|e| !matches!(e, egui::Event::MouseWheel { .. }));
    }
    if pointer.turns_eye {
        events.dedup_by(|later, earlier| match (later, earlier) {
            (egui::Event::PointerMoved(to), egui::Event::PointerMoved(from)) => {
                *from = *to;
                true
            }
            _ => false,
        });
    }
}

/// Runs the panels where that is needed, else hands on what they gave before.
fn run(
    world: &mut World,
    contexts: &mut QueryState<(Entity, &mut EguiContext, &mut EguiInput), With<PrimaryEguiContext>>,
) -> Result {
    let now = world.resource::<Time<Real>>().elapsed();
    let Ok((entity, mut context, input)) = contexts.single_mut(world) else { return Ok(()) };
    let ctx = context.get_mut().clone();
    let room = Room {
        screen: input.screen_rect,
        scale: input.viewport().native_pixels_per_point,
        zoom: ctx.zoom_factor(),
        focused: input.focused,
    };
    let pass = world.resource::<PanelPass>();
    let due = pass.due.is_some_and(|d| now >= d) || ctx.has_requested_repaint() && !pass.asked;
    let kept = pass.kept.as_ref().filter(|_| !(pass.news || due || pass.room != Some(room)));
    let output = if let Some((platform_output, pixels_per_point)) = kept {
        let output = egui::FullOutput {
            platform_output: platform_output.clone(),
            pixels_per_point: *pixels_per_point,
            ..default()
        };
        // It waits for its time: no frame may come by itself until then.
        if pass.due.is_some() {
            world.resource_mut::<Wake>().ask();
        }
        output
    } else {
        let (_, _, mut input) = contexts.get_mut(world, entity)?;
        let input = input.take();
        let mut result = Ok(());
        let output = ctx.run_ui(input, |_| result = world.try_run_schedule(EguiPrimaryContextPass));
        if let Err(why) = result {
            // What is not shown need not be uploaded.
            let mut output = output;
            output.textures_delta.clear();
            return Err(why.into());
        }
        let delay = output.viewport_output.get(&egui::ViewportId::ROOT).map(|v| v.repaint_delay);
        let mut pass = world.resource_mut::<PanelPass>();
        pass.news = false;
        pass.due = delay.and_then(|delay| now.checked_add(delay));
        pass.asked = ctx.has_requested_repaint();
        pass.room = Some(room);
        pass.passes += 1;
        let mut again = output.platform_output.clone();
        again.commands.clear();
        again.events.clear();
        pass.kept = Some((again, output.pixels_per_point));
        output
    };
    if let Some(mut full) = world.get_mut::<EguiFullOutput>(entity) {
        full.0 = Some(output);
    }
    Ok(())
}
