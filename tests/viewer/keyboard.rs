//! Keys reach the edits, also those that go down and up within one slow frame.

use super::panels::state;
use bevy::prelude::*;
use standwell::viewer::camera::Eye;
use standwell::viewer::idle::Wake;
use standwell::viewer::keys;
use standwell::viewer::vocab::{EditIntent, Intent};

fn keyboard() -> App {
    let mut app = App::new();
    app.add_plugins(MinimalPlugins)
        .add_message::<Intent>()
        .init_resource::<ButtonInput<KeyCode>>()
        .init_resource::<Eye>()
        .init_resource::<Wake>()
        .insert_resource(state())
        .add_systems(Update, keys::press);
    app
}

fn pressed(chord: &[KeyCode], released: bool) -> Vec<Intent> {
    let mut app = keyboard();
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

/// With Shift the same keys move the eye across instead of turning it: to the side its key lies on.
#[test]
fn shift_moves_the_eye_across() {
    let goal = |chord: &[KeyCode]| {
        let mut app = keyboard();
        let before = app.world().resource::<Eye>().goal;
        for key in chord {
            app.world_mut().resource_mut::<ButtonInput<KeyCode>>().press(*key);
        }
        app.update();
        let after = app.world().resource::<Eye>().goal;
        let by = before.rotation().inverse() * (after.target - before.target);
        (by, after.yaw - before.yaw)
    };
    let (by, turned) = goal(&[KeyCode::ShiftLeft, KeyCode::KeyD]);
    assert!(by.x > 1e-4 && by.y.abs() < 1e-5 && turned == 0.0, "{by} {turned}");
    let (by, _) = goal(&[KeyCode::ShiftLeft, KeyCode::KeyW]);
    assert!(by.y > 1e-4 && by.x.abs() < 1e-5, "{by}");
    let (by, turned) = goal(&[KeyCode::KeyD]);
    assert!(by.length() < 1e-6 && turned != 0.0);
}
