//! Keys while the guide is on. A clicker sends Page up and Page down, which is all it takes.

use super::{Mode, Wish};
use crate::lessons::Card;
use crate::viewer::state::ViewerState;
use bevy::prelude::{ButtonInput, KeyCode};

/// What the keys just pressed mean to the guide; none: they keep their meaning.
#[must_use]
pub fn wish(keys: &ButtonInput<KeyCode>, state: &ViewerState) -> Option<Wish> {
    let guide = &state.guide;
    if !guide.is_on() {
        return None;
    }
    let hit = |key| keys.just_pressed(key);
    if hit(KeyCode::Escape) {
        return Some(Wish::Leave);
    }
    match &guide.mode {
        Mode::Off | Mode::Permit(_) => None,
        Mode::Walk(_) => {
            if hit(KeyCode::PageDown) || hit(KeyCode::Space) || hit(KeyCode::ArrowRight) {
                Some(Wish::Next)
            } else if hit(KeyCode::PageUp) || hit(KeyCode::ArrowLeft) {
                Some(Wish::Back)
            } else if hit(KeyCode::KeyY) {
                Some(Wish::Seen(true))
            } else if hit(KeyCode::KeyN) {
                Some(Wish::Seen(false))
            } else {
                None
            }
        }
        Mode::Teach(t) => {
            if hit(KeyCode::PageDown) || hit(KeyCode::ArrowRight) {
                return Some(Wish::Next);
            }
            if hit(KeyCode::PageUp) || hit(KeyCode::ArrowLeft) {
                return Some(Wish::Back);
            }
            let digits = [KeyCode::Digit1, KeyCode::Digit2, KeyCode::Digit3, KeyCode::Digit4];
            let number = digits.into_iter().position(hit);
            let waits = t.session.told.is_none();
            match t.session.card() {
                Some(Card::Mark { .. }) if waits && hit(KeyCode::Enter) => Some(Wish::AnswerMarks),
                Some(Card::GoOn { .. }) if waits => {
                    number.filter(|n| *n < 2).map(|n| Wish::GoOn(n == 0))
                }
                Some(Card::Choose { .. }) if waits => number.map(Wish::Pick),
                Some(Card::Replay { .. }) if hit(KeyCode::Enter) => Some(Wish::Replay(true)),
                _ => None,
            }
        }
    }
}

/// Keys that must not move through the stages while the guide is on: the stage is the card's.
#[must_use]
pub fn keeps(state: &ViewerState, key: KeyCode) -> bool {
    let stages = [
        KeyCode::ArrowRight,
        KeyCode::ArrowLeft,
        KeyCode::ArrowDown,
        KeyCode::ArrowUp,
        KeyCode::PageDown,
        KeyCode::PageUp,
        KeyCode::Home,
        KeyCode::End,
        KeyCode::Space,
        KeyCode::Enter,
        KeyCode::Escape,
        KeyCode::Digit1,
        KeyCode::Digit2,
        KeyCode::Digit3,
        KeyCode::Digit4,
        KeyCode::KeyM,
    ];
    match &state.guide.mode {
        Mode::Off => false,
        Mode::Permit(_) => key == KeyCode::Escape,
        Mode::Walk(_) | Mode::Teach(_) => stages.contains(&key),
    }
}
