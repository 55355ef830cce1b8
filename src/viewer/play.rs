//! Plays the stages one after the other.

use crate::viewer::idle::Wake;
use crate::viewer::state::ViewerState;
use crate::viewer::vocab::Intent;
use bevy::prelude::*;

/// Seconds a stage stays on screen.
const PACE: f32 = 0.7;

pub fn advance(
    state: Res<'_, ViewerState>,
    time: Res<'_, Time<Real>>,
    mut since: Local<'_, f32>,
    mut intents: MessageWriter<'_, Intent>,
    mut wake: ResMut<'_, Wake>,
) {
    if !state.playing {
        *since = 0.0;
        return;
    }
    wake.ask();
    *since += time.delta_secs().min(PACE);
    if *since < PACE {
        return;
    }
    *since = 0.0;
    if state.stage >= state.last_stage() {
        intents.write(Intent::Play(false));
    } else {
        intents.write(Intent::GoToStage(state.stage + 1));
    }
}
