//! Keys reach the edits, also those that go down and up within one slow frame.

use super::panels::state;
use bevy::prelude::*;
use standwell::viewer::camera::Eye;
use standwell::viewer::idle::Wake;
use standwell::viewer::keys;
use standwell::viewer::vocab::{EditIntent, Intent};

fn pressed(chord: &[KeyCode], released: bool) -> Vec<Intent> {
    let mut app = App::new();
    app.add_plugins(MinimalPlugins)
        .add_message::<Intent>()
        .init_resource::<ButtonInput<KeyCode>>()
        .init_resource::<Eye>()
        .init_resource::<Wake>()
        .insert_resource(state())
        .add_systems(Update, keys::press);
    let mut input = app.world_mut().resource_mut::<ButtonInput<KeyCode>>();
    for key in chord {
        input.press(*key);
    }
    if released {
        for key in chord {
            input.release(*key);
        }
    }
    app.update();
    let messages = app.world().resource::<Messages<Intent>>();
    messages.iter_current_update_messages().cloned().collect()
}

#[test]
fn chords_undo_redo_and_save() {
    use KeyCode::{ControlLeft, KeyS, KeyY, KeyZ, ShiftLeft};
    for released in [false, true] {
        let only = |edit: EditIntent| vec![Intent::Edit(edit)];
        assert_eq!(pressed(&[ControlLeft, KeyZ], released), only(EditIntent::Undo));
        assert_eq!(pressed(&[ControlLeft, ShiftLeft, KeyZ], released), only(EditIntent::Redo));
        assert_eq!(pressed(&[ControlLeft, KeyY], released), only(EditIntent::Redo));
        assert_eq!(pressed(&[ControlLeft, KeyS], released), only(EditIntent::Save));
        assert_eq!(pressed(&[KeyS], released), []);
    }
}

#[test]
fn a_stage_is_pinned_and_let_go_and_measuring_begins() {
    assert_eq!(pressed(&[KeyCode::KeyC], false), [Intent::Pin(Some(state().stage))]);
    assert_eq!(pressed(&[KeyCode::KeyX], false), [Intent::Measure(true)]);
}
