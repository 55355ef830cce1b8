//! The window's title: what is open and where one stands, for the task bar and the window list.

use crate::viewer::guide::Mode;
use crate::viewer::panels::top::name_of;
use crate::viewer::state::ViewerState;
use bevy::prelude::*;
use bevy::window::PrimaryWindow;

const PROGRAM: &str = "Standwell";

/// The title for a state.
#[must_use]
pub fn words(state: &ViewerState) -> String {
    if let Some(progress) = &state.loading
        && !state.trying.judging
    {
        return format!("reading {} – {PROGRAM}", name_of(&progress.path));
    }
    if state.asks_path {
        return format!("a scene's path – {PROGRAM}");
    }
    if state.asks_name {
        return format!("a member's name – {PROGRAM}");
    }
    let (Some(path), Some(review)) = (&state.path, &state.review) else {
        return PROGRAM.to_owned();
    };
    let place = match &state.guide.mode {
        Mode::Teach(t) => {
            let of = t.session.opened.lesson.cards.len();
            let (right, all) = t.session.tally();
            let card = (t.session.at + 1).min(of);
            return format!(
                "{}, card {card} of {of}, {right} of {all} right – {PROGRAM}",
                t.session.opened.lesson.title
            );
        }
        Mode::Walk(w) => format!("walk, station {} of {}", w.at + 1, w.walk.stations.len()),
        Mode::Permit(s) => {
            let void = s.lying.as_ref().is_some_and(|l| !l.voids.is_empty());
            let state = match s.issued() {
                Some(_) if void => "void",
                Some(_) => "issued",
                None => "not issued",
            };
            format!("{}, {state}", s.kind.words())
        }
        Mode::Off => {
            let step = review.sequence.stages.get(state.stage).map_or("", |s| s.step.as_str());
            format!("stage {} of {}, {step}", state.stage, state.last_stage())
        }
    };
    let unsaved = if state.trying.is_unsaved() { " (not saved)" } else { "" };
    format!("{}{unsaved}: {place} – {PROGRAM}", name_of(path))
}

/// Keeps the title as the state has it.
pub fn follow(
    state: Res<'_, ViewerState>,
    mut windows: Query<'_, '_, &mut Window, With<PrimaryWindow>>,
) {
    if !state.is_changed() {
        return;
    }
    for mut window in &mut windows {
        let title = words(&state);
        if window.title != title {
            window.title = title;
        }
    }
}
