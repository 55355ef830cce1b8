//! At rest nothing is drawn. Frames come from input, and from parts that ask for one. Each is whole: see
//! `tests/viewer/letters.rs`.

use bevy::asset::AssetEventSystems;
use bevy::prelude::*;
use bevy::window::RequestRedraw;
use bevy_egui::{EguiContext, EguiInput, EguiPostUpdateSet, EguiPreUpdateSet, egui};

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
        .add_systems(Last, answer);
    // A letter that is new to the picture of all letters is written into it after the panels are drawn.
    // What was written is told to the renderer at the end of the frame: were it told before, the letter
    // would be missing until the next frame, which at rest does not come.
    app.configure_sets(PostUpdate, EguiPostUpdateSet::PostProcessOutput.before(AssetEventSystems));
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
