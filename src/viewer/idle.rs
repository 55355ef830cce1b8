//! At rest nothing is drawn. Frames come from input, and from parts that ask for one.

use bevy::prelude::*;
use bevy::window::RequestRedraw;
use bevy_egui::{
    EguiContext, EguiInput, EguiPostUpdateSet, EguiPreUpdateSet, EguiRenderOutput, egui,
};

/// Parts that move ask here for another frame.
#[derive(Resource, Default)]
pub struct Wake(bool);

impl Wake {
    pub fn ask(&mut self) {
        self.0 = true;
    }
}

pub fn plugin(app: &mut App) {
    app.init_resource::<Wake>()
        .add_message::<RequestRedraw>()
        .add_systems(
            PreUpdate,
            drop_unchanged_modifiers
                .after(EguiPreUpdateSet::ProcessInput)
                .before(EguiPreUpdateSet::BeginPass),
        )
        .add_systems(
            PostUpdate,
            see_new_letters
                .after(EguiPostUpdateSet::ProcessOutput)
                .before(EguiPostUpdateSet::PostProcessOutput),
        )
        .add_systems(Last, answer);
}

/// A letter that is new to the picture of all letters, or all of them where that picture grows, is
/// missing from the very frame that asks for it, and where the picture is a new one from the next too:
/// two more are drawn.
pub(super) fn see_new_letters(
    outputs: Query<'_, '_, &EguiRenderOutput>,
    mut more: Local<'_, u8>,
    mut wake: ResMut<'_, Wake>,
) {
    if outputs.iter().any(|o| !o.textures_delta.set.is_empty()) {
        *more = 2;
    }
    if *more > 0 {
        *more -= 1;
        wake.ask();
    }
}

/// bevy_egui sends the state of the modifier keys on every frame, and egui takes any input as a
/// reason to draw again: the window would never rest.
fn drop_unchanged_modifiers(mut contexts: Query<'_, '_, (&mut EguiContext, &mut EguiInput)>) {
    for (mut context, mut input) in &mut contexts {
        let current = context.get_mut().input(|i| i.modifiers);
        input.events.retain(|e| !matches!(e, egui::Event::ModifiersChanged(m) if *m == current));
    }
}

fn answer(mut wake: ResMut<'_, Wake>, mut redraw: MessageWriter<'_, RequestRedraw>) {
    if wake.0 {
        redraw.write(RequestRedraw);
        wake.0 = false;
    }
}
