//! Panels are laid out when there is a reason to, and only then; what is written over the scene follows
//! the eye in every frame.

use super::plugin::{seeing, state};
use super::site;
use bevy::prelude::*;
use bevy::window::{PrimaryWindow, WindowResized};
use bevy_egui::input::EguiInputEvent;
use bevy_egui::{EguiContext, EguiOutput, EguiRenderOutput, PrimaryEguiContext, egui};
use egui::{Event, Modifiers, PointerButton, Pos2, TextureId, epaint::Primitive};
use standwell::units::UnitSystem;
use standwell::viewer::camera::{Eye, SceneRect};
use standwell::viewer::panel_pass::{PanelPass, Pointer, sift};
use standwell::viewer::state::ViewerState;
use standwell::viewer::vocab::Intent;
use std::time::{Duration, Instant};

/// A window on a floor, at rest, that names its widgets.
fn window() -> App {
    let mut app = seeing(site::review(4, 3));
    let mut contexts = app.world_mut().query::<&mut EguiContext>();
    for mut context in contexts.iter_mut(app.world_mut()) {
        context.get_mut().enable_accesskit();
    }
    app.world_mut().write_message(Intent::Units(UnitSystem::Metres));
    rest(&mut app);
    app
}

/// Until nothing is laid out any more.
fn rest(app: &mut App) {
    for _ in 0..100 {
        let before = passes(app);
        for _ in 0..3 {
            app.update();
        }
        if passes(app) == before {
            return;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("panels are laid out for ever");
}

fn passes(app: &App) -> u64 {
    app.world().resource::<PanelPass>().passes()
}

fn turn(app: &mut App) {
    let mut eye = app.world_mut().resource_mut::<Eye>();
    let mut pose = eye.now;
    pose.yaw += 0.01;
    eye.jump(pose);
    app.update();
}

/// Every corner of what is drawn over the scene, and of the panels.
fn drawn(app: &mut App) -> [Vec<Pos2>; 2] {
    let mut outputs = app.world_mut().query::<&EguiRenderOutput>();
    let mut out = [Vec::new(), Vec::new()];
    let output = outputs.single(app.world()).unwrap();
    for job in &output.paint_jobs {
        if let Primitive::Mesh(mesh) = &job.primitive {
            // Panels have the first picture of letters, what is written over the scene another.
            let panel = mesh.texture_id == TextureId::Managed(0);
            out[usize::from(panel)].extend(mesh.vertices.iter().map(|v| v.pos));
        }
    }
    out
}

/// The middle of the first widget of that name, if it is there.
fn place(app: &mut App, name: &str) -> Option<Pos2> {
    let mut outputs = app.world_mut().query::<&EguiOutput>();
    let output = outputs.single(app.world()).unwrap();
    let tree = output.platform_output.accesskit_update.as_ref().expect("widgets are named");
    let named = |n: &egui::accesskit::Node| n.label() == Some(name) || n.value() == Some(name);
    let node = tree.nodes.iter().map(|(_, n)| n).find(|n| named(n) && n.bounds().is_some())?;
    let b = node.bounds()?;
    Some(egui::pos2((b.x0 + b.x1) as f32 / 2.0, (b.y0 + b.y1) as f32 / 2.0))
}

fn happens(app: &mut App, event: Event) {
    let mut contexts = app.world_mut().query_filtered::<Entity, With<PrimaryEguiContext>>();
    let context = contexts.single(app.world()).unwrap();
    app.world_mut().write_message(EguiInputEvent { context, event });
    app.update();
}

fn click(app: &mut App, pos: Pos2) {
    happens(app, Event::PointerMoved(pos));
    for pressed in [true, false] {
        let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
        happens(app, Event::PointerButton { pos, button, pressed, modifiers });
    }
    app.update();
}

#[test]
fn a_turn_of_the_eye_moves_the_labels_and_lays_no_panel_out() {
    let mut app = window();
    let before = passes(&app);
    let [mut written, panels] = drawn(&mut app);
    assert!(written.len() > 100 && panels.len() > 1000, "{} {}", written.len(), panels.len());
    for _ in 0..20 {
        turn(&mut app);
        let [now, still] = drawn(&mut app);
        assert!(still == panels, "panels are drawn as they were");
        assert!(now != written, "labels follow the eye in the very frame");
        written = now;
    }
    assert_eq!(passes(&app), before);
    // Over the scene, and nowhere else.
    let scene = app.world().resource::<SceneRect>().0.unwrap();
    let inside = |p: &&Pos2| scene.inflate(1.0).contains(Vec2::new(p.x, p.y));
    let middle = written.iter().filter(inside).count();
    assert!(middle * 10 > written.len() * 9, "{middle} of {}", written.len());
}

#[test]
fn a_panel_answers_after_a_turn_of_the_eye() {
    let mut app = window();
    let button = place(&mut app, "m").unwrap();
    for _ in 0..5 {
        turn(&mut app);
    }
    // Named also in frames in which nothing is laid out.
    assert_eq!(place(&mut app, "m"), Some(button));
    let before = passes(&app);
    click(&mut app, button);
    assert!(passes(&app) > before);
    assert_eq!(state(&app).units, UnitSystem::Feet);
    app.update();
    assert!(place(&mut app, "ft-in").is_some() && place(&mut app, "m").is_none());
}

#[test]
fn what_another_system_changes_is_shown_in_the_next_frame() {
    let mut app = window();
    turn(&mut app);
    let [_, panels] = drawn(&mut app);
    let before = passes(&app);
    app.add_systems(Update, |mut state: ResMut<'_, ViewerState>, mut done: Local<'_, bool>| {
        if !std::mem::replace(&mut *done, true) {
            state.units = UnitSystem::Feet;
        }
    });
    turn(&mut app);
    assert!(passes(&app) > before);
    assert!(drawn(&mut app)[1] != panels);
    assert!(place(&mut app, "ft-in").is_some() && place(&mut app, "m").is_none());
}

#[test]
fn another_size_of_the_window_or_of_its_points_lays_the_panels_out() {
    let mut app = window();
    let right = |app: &App| app.world().resource::<SceneRect>().0.unwrap().max.x;
    let (before, wide) = (passes(&app), right(&app));
    let mut windows =
        app.world_mut().query_filtered::<(Entity, &mut Window), With<PrimaryWindow>>();
    let (window, mut there) = windows.single_mut(app.world_mut()).unwrap();
    there.resolution.set(900.0, 600.0);
    app.world_mut().write_message(WindowResized { window, width: 900.0, height: 600.0 });
    app.update();
    app.update();
    assert!(passes(&app) > before);
    assert!(right(&app) < wide.min(900.0), "{} and {wide} before", right(&app));
    rest(&mut app);
    let before = passes(&app);
    let mut contexts = app.world_mut().query::<&mut EguiContext>();
    let mut context = contexts.single_mut(app.world_mut()).unwrap();
    context.get_mut().set_zoom_factor(1.5);
    app.update();
    app.update();
    assert!(passes(&app) > before);
}

/// What was found out of one stage is not shown at another: at each, labels are those of a window that
/// never showed another.
#[test]
fn labels_are_those_of_the_stage_on_screen() {
    let written = |app: &mut App, stage: usize| {
        app.world_mut().write_message(Intent::GoToStage(stage));
        rest(app);
        drawn(app)[0].clone()
    };
    let mut app = window();
    let last = state(&app).last_stage();
    let stages = [0, last / 2, last, last / 3, 0];
    let seen: Vec<Vec<Pos2>> = stages.iter().map(|&s| written(&mut app, s)).collect();
    assert!(seen[0] == seen[4] && seen[0] != seen[1] && seen[1] != seen[2]);
    for (stage, seen) in stages.into_iter().zip(seen) {
        let mut fresh = window();
        assert!(written(&mut fresh, stage) == seen, "stage {stage}");
    }
}

/// A tip appears a while after the pointer came to rest, with nothing else happening, also while the eye
/// turns.
#[test]
fn what_egui_wants_to_do_later_is_done_then() {
    let tip = "feet and inches, or metres (U)";
    let mut app = window();
    let button = place(&mut app, "m").unwrap();
    happens(&mut app, Event::PointerMoved(button));
    let start = Instant::now();
    let (before, mut frames) = (passes(&app), 0);
    while place(&mut app, tip).is_none() {
        assert!(start.elapsed() < Duration::from_secs(20), "no tip appears");
        turn(&mut app);
        frames += 1;
        std::thread::sleep(Duration::from_millis(2));
    }
    assert!(start.elapsed() > Duration::from_millis(300), "it takes its time");
    assert!(passes(&app) - before < frames / 2, "it waits without laying anything out");
}

#[test]
fn the_pointer_that_turns_the_eye_is_no_panels_affair() {
    let moved = |x: f32| Event::PointerMoved(egui::pos2(x, 0.0));
    let wheel = || Event::MouseWheel {
        unit: egui::MouseWheelUnit::Line,
        delta: egui::vec2(0.0, 1.0),
        phase: egui::TouchPhase::Move,
        modifiers: Modifiers::NONE,
    };
    let after = |events: &[Event], turns_eye: bool, in_scene: bool| {
        let mut events = events.to_vec();
        sift(&mut events, Pointer { turns_eye, in_scene });
        events
    };
    let all = [moved(1.0), moved(2.0), wheel(), Event::Copy, moved(3.0), moved(4.0)];
    assert_eq!(after(&all, false, false), all);
    assert_eq!(after(&all, true, false), [moved(2.0), wheel(), Event::Copy, moved(4.0)]);
    assert_eq!(after(&all[1..4], false, true), [moved(2.0), Event::Copy]);
}
