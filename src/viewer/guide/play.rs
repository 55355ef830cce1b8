//! Lets time go by in a replay.

use super::{Mode, Wish};
use crate::lessons::{Phase, Replay};
use crate::viewer::idle::Wake;
use crate::viewer::state::ViewerState;
use crate::viewer::vocab::Intent;
use bevy::prelude::*;

/// A tick while a replay runs.
pub fn advance(
    state: Res<'_, ViewerState>,
    time: Res<'_, Time<Real>>,
    mut intents: MessageWriter<'_, Intent>,
    mut wake: ResMut<'_, Wake>,
) {
    let Mode::Teach(teaching) = &state.guide.mode else { return };
    let Some((_, clock)) = &teaching.replay else { return };
    if Replay::shown(*clock).phase == Phase::Over {
        return;
    }
    wake.ask();
    intents.write(Intent::Guide(Wish::Tick(f64::from(time.delta_secs()))));
}
