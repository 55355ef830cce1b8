//! The keyboard: everything can be reached without a pointer. One table is the help page, too.

use crate::units::UnitSystem;
use crate::viewer::camera::Eye;
use crate::viewer::idle::Wake;
use crate::viewer::state::ViewerState;
use crate::viewer::theme::Look;
use crate::viewer::vocab::{EditIntent, Intent, NamedView};
use bevy::prelude::*;
use bevy_egui::input::EguiWantsInput;

/// What a key does.
pub struct Key {
    pub key: KeyCode,
    /// As it is named to a person.
    pub name: &'static str,
    pub words: &'static str,
    pub intent: fn(&ViewerState) -> Option<Intent>,
}

/// All keys but those that move the eye a little.
pub static KEYS: &[Key] = &[
    Key {
        key: KeyCode::ArrowRight,
        name: "→",
        words: "next stage",
        intent: |_| Some(Intent::StepBy(1)),
    },
    Key {
        key: KeyCode::ArrowLeft,
        name: "←",
        words: "stage before",
        intent: |_| Some(Intent::StepBy(-1)),
    },
    Key {
        key: KeyCode::PageDown,
        name: "Page down",
        words: "ten stages on",
        intent: |_| Some(Intent::StepBy(10)),
    },
    Key {
        key: KeyCode::PageUp,
        name: "Page up",
        words: "ten stages back",
        intent: |_| Some(Intent::StepBy(-10)),
    },
    Key {
        key: KeyCode::Home,
        name: "Home",
        words: "first stage",
        intent: |_| Some(Intent::GoToStage(0)),
    },
    Key {
        key: KeyCode::End,
        name: "End",
        words: "last stage",
        intent: |s| Some(Intent::GoToStage(s.last_stage())),
    },
    Key {
        key: KeyCode::Space,
        name: "Space",
        words: "play the stages, or pause",
        intent: |s| Some(Intent::Play(!s.playing)),
    },
    Key {
        key: KeyCode::ArrowDown,
        name: "↓",
        words: "next finding in the list",
        intent: |_| Some(Intent::NextFinding(1)),
    },
    Key {
        key: KeyCode::ArrowUp,
        name: "↑",
        words: "finding before",
        intent: |_| Some(Intent::NextFinding(-1)),
    },
    Key {
        key: KeyCode::Enter,
        name: "Enter",
        words: "bring the chosen thing into the middle",
        intent: |s| s.selection.chosen.map(Intent::LookAt),
    },
    Key {
        key: KeyCode::KeyM,
        name: "M",
        words: "let the chosen finding's motion move, or stop it",
        intent: |s| Some(Intent::Move(!s.moving)),
    },
    Key {
        key: KeyCode::Escape,
        name: "Esc",
        words: "choose nothing; put a message away",
        intent: escape,
    },
    Key { key: KeyCode::KeyF, name: "F", words: "fit everything", intent: |_| Some(Intent::Fit) },
    Key {
        key: KeyCode::Digit1,
        name: "1",
        words: "view from the corner",
        intent: |_| Some(Intent::View(NamedView::Corner)),
    },
    Key {
        key: KeyCode::Digit2,
        name: "2",
        words: "plan",
        intent: |_| Some(Intent::View(NamedView::Plan)),
    },
    Key {
        key: KeyCode::Digit3,
        name: "3",
        words: "front",
        intent: |_| Some(Intent::View(NamedView::Front)),
    },
    Key {
        key: KeyCode::Digit4,
        name: "4",
        words: "side",
        intent: |_| Some(Intent::View(NamedView::Side)),
    },
    Key {
        key: KeyCode::KeyC,
        name: "C",
        words: "compare with this stage from now on, or no longer",
        intent: |s| Some(Intent::Pin(if s.pinned.is_some() { None } else { Some(s.stage) })),
    },
    Key {
        key: KeyCode::KeyG,
        name: "G",
        words: "go to a member by its name",
        intent: |_| Some(Intent::AskForName(true)),
    },
    Key {
        key: KeyCode::KeyX,
        name: "X",
        words: "measure between two points, or stop",
        intent: |s| Some(Intent::Measure(s.measure.is_none())),
    },
    Key {
        key: KeyCode::KeyL,
        name: "L",
        words: "day, dark or high-contrast colours",
        intent: |s| Some(Intent::Look(other_look(s.look))),
    },
    Key {
        key: KeyCode::KeyU,
        name: "U",
        words: "feet and inches, or metres",
        intent: |s| Some(Intent::Units(other_units(s.units))),
    },
    Key {
        key: KeyCode::KeyO,
        name: "O",
        words: "open a scene with the desktop's dialog",
        intent: |_| Some(Intent::AskForFile),
    },
    Key {
        key: KeyCode::KeyP,
        name: "P",
        words: "open a scene by typing its path",
        intent: |_| Some(Intent::AskForPath(true)),
    },
    Key {
        key: KeyCode::F5,
        name: "F5",
        words: "read the scene again",
        intent: |_| Some(Intent::Reload),
    },
    Key {
        key: KeyCode::F1,
        name: "F1",
        words: "this page",
        intent: |s| Some(Intent::Help(!s.help)),
    },
];

/// Keys pressed with Control; the second is with Shift as well.
pub static CONTROL_KEYS: &[(KeyCode, bool, &str, &str, EditIntent)] = &[
    (KeyCode::KeyZ, false, "Ctrl Z", "take the last change back", EditIntent::Undo),
    (KeyCode::KeyZ, true, "Ctrl Shift Z", "do it again", EditIntent::Redo),
    (KeyCode::KeyY, false, "Ctrl Y", "do it again", EditIntent::Redo),
    (KeyCode::KeyS, false, "Ctrl S", "save the changes", EditIntent::Save),
];

/// The keys that move the eye a little, for the help page.
pub const EYE_KEYS: &[(&str, &str)] = &[
    ("A  D", "turn"),
    ("W  S", "tilt"),
    ("Shift and these", "move across"),
    ("Q  E", "farther, closer"),
    ("Drag", "turn; with the right button or Shift, move across"),
    ("Wheel", "closer or farther, at the pointer"),
    ("Double click", "bring into the middle"),
    ("Ctrl +  Ctrl -", "larger or smaller text"),
    ("Ctrl ↓  Ctrl ↑", "roll the card at the right"),
    ("Tab, Enter", "from button to button, and press it"),
];

fn escape(state: &ViewerState) -> Option<Intent> {
    if state.help {
        Some(Intent::Help(false))
    } else if state.asks_path {
        Some(Intent::AskForPath(false))
    } else if state.asks_name {
        Some(Intent::AskForName(false))
    } else if state.problem.is_some() {
        Some(Intent::Dismiss)
    } else if state.measure.is_some() {
        Some(Intent::Measure(false))
    } else if state.loading.is_some() {
        Some(Intent::CancelLoading)
    } else {
        Some(Intent::Choose(None))
    }
}

#[must_use]
pub fn other_look(look: Look) -> Look {
    match look {
        Look::Day => Look::Dark,
        Look::Dark => Look::Contrast,
        Look::Contrast => Look::Day,
    }
}

#[must_use]
pub fn other_units(units: UnitSystem) -> UnitSystem {
    if units == UnitSystem::Feet { UnitSystem::Metres } else { UnitSystem::Feet }
}

/// Sends what the keys pressed mean, unless a text field has them.
pub fn press(
    keys: Res<'_, ButtonInput<KeyCode>>,
    wants: Option<Res<'_, EguiWantsInput>>,
    state: Res<'_, ViewerState>,
    mut intents: MessageWriter<'_, Intent>,
    mut eye: ResMut<'_, Eye>,
    time: Res<'_, Time<Real>>,
    mut wake: ResMut<'_, Wake>,
) {
    if wants.is_some_and(|w| w.wants_keyboard_input()) {
        return;
    }
    let control =
        [KeyCode::ControlLeft, KeyCode::ControlRight, KeyCode::AltLeft, KeyCode::AltRight];
    // In a slow frame a key may go down and up again.
    let any = |all: &[KeyCode]| all.iter().any(|&k| keys.pressed(k) || keys.just_released(k));
    if any(&control) {
        let shift = any(&[KeyCode::ShiftLeft, KeyCode::ShiftRight]);
        let alt = any(&[KeyCode::AltLeft, KeyCode::AltRight]);
        let pressed = |k: &&(KeyCode, bool, &str, &str, EditIntent)| {
            !alt && keys.just_pressed(k.0) && k.1 == shift
        };
        for (.., edit) in CONTROL_KEYS.iter().filter(pressed) {
            intents.write(Intent::Edit(edit.clone()));
        }
        return;
    }
    if let Some(wish) = crate::viewer::guide::keys::wish(&keys, &state) {
        intents.write(Intent::Guide(wish));
        wake.ask();
    }
    let free = |k: &&Key| !crate::viewer::guide::keys::keeps(&state, k.key);
    for key in KEYS.iter().filter(|k| keys.just_pressed(k.key)).filter(free) {
        if let Some(intent) = (key.intent)(&state) {
            intents.write(intent);
        }
    }
    let held = |key| if keys.pressed(key) { 1.0 } else { 0.0 };
    let turn = held(KeyCode::KeyA) - held(KeyCode::KeyD);
    let tilt = held(KeyCode::KeyW) - held(KeyCode::KeyS);
    let zoom = held(KeyCode::KeyQ) - held(KeyCode::KeyE);
    if turn != 0.0 || tilt != 0.0 || zoom != 0.0 {
        let dt = time.delta_secs().clamp(0.004, 0.05);
        let mut goal = eye.goal;
        let across = any(&[KeyCode::ShiftLeft, KeyCode::ShiftRight]);
        if across {
            // To the right is to where D lies, up to where W does.
            goal = goal.panned(Vec2::new(turn, tilt) * dt * 0.9);
        } else if turn != 0.0 || tilt != 0.0 {
            goal = goal.orbited(Vec2::new(turn, tilt) * dt * 1.4);
        }
        if zoom != 0.0 {
            goal = goal.zoomed((zoom * dt * 1.2f32).exp(), Vec2::ZERO);
        }
        eye.goal = goal;
        wake.ask();
    }
}
