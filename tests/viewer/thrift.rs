//! Less is drawn while the eye moves and frames are slow, and only then.

use super::plugin::showing;
use super::site;
use bevy::camera::visibility::SetViewVisibility;
use bevy::prelude::*;
use standwell::viewer::camera::{Eye, SceneCamera};
use standwell::viewer::picture::Bare;
use standwell::viewer::plugin::PictureTarget;
use standwell::viewer::thrift::{Course, Effort, Thrift};
use standwell::viewer::vocab::Intent;
use std::time::Duration;

const BUDGET: Duration = Duration::from_millis(20);
const SLOW: Duration = Duration::from_millis(45);
const QUICK: Duration = Duration::from_millis(8);

/// Frames of a move, each so long, after a rest.
fn efforts(course: &mut Course, rest: Duration, frames: &[Duration]) -> Vec<Effort> {
    let mut out = Vec::new();
    for (k, took) in frames.iter().enumerate() {
        // A first frame's time is the time since the last one before the rest.
        out.push(course.next(true, if k == 0 { rest } else { *took }, BUDGET));
    }
    out
}

#[test]
fn a_move_whose_frames_are_slow_goes_on_with_less_until_it_rests() {
    use Effort::{Full, Less, Turning};
    let mut course = Course::default();
    let long = Duration::from_secs(60);
    assert_eq!(
        efforts(&mut course, long, &[SLOW; 6]),
        [Turning, Turning, Turning, Less, Less, Less],
        "the rest before a move is no slow frame, and three are"
    );
    // Quick now, since less is drawn: it stays so.
    assert_eq!(course.next(true, QUICK, BUDGET), Less);
    assert_eq!(course.next(false, QUICK, BUDGET), Full, "the very first frame at rest");
    // Soon after, it is known to be slow; long after, it is tried again.
    assert_eq!(efforts(&mut course, Duration::from_millis(300), &[QUICK; 2]), [Less, Less]);
    assert_eq!(course.next(false, QUICK, BUDGET), Full);
    assert_eq!(efforts(&mut course, long, &[QUICK; 2]), [Turning, Turning]);
}

#[test]
fn a_move_that_is_quick_or_seldom_slow_is_not_drawn_with_less() {
    let mut course = Course::default();
    let frames: Vec<Duration> = (0..60).map(|k| if k % 3 == 0 { QUICK } else { SLOW }).collect();
    let all = efforts(&mut course, Duration::ZERO, &frames);
    assert!(all.iter().all(|e| *e == Effort::Turning));
    // Never at rest, however slow.
    for _ in 0..10 {
        assert_eq!(course.next(false, SLOW, BUDGET), Effort::Full);
    }
}

/// Samples a pixel that the card is asked for.
fn asked(app: &mut App) -> Msaa {
    let mut cameras = app.world_mut().query_filtered::<&Msaa, With<SceneCamera>>();
    *cameras.single(app.world()).unwrap()
}

const FULL: Msaa = Msaa::Sample4;
const TURNING: Msaa = Msaa::Sample2;
const LESS: Msaa = Msaa::Off;

fn turn(app: &mut App, frames: usize) {
    for _ in 0..frames {
        std::thread::sleep(Duration::from_millis(3));
        let mut eye = app.world_mut().resource_mut::<Eye>();
        let mut pose = eye.now;
        pose.yaw += 0.01;
        eye.jump(pose);
        app.update();
    }
}

/// Every frame takes longer than a budget of nothing, and none than one of an hour.
#[test]
fn the_window_draws_with_less_where_it_is_slow_and_in_full_at_rest() {
    let mut app = showing(site::review(3, 2));
    let budget = |app: &mut App, time: Duration| {
        app.world_mut().resource_mut::<Thrift>().budget = Some(time);
    };
    budget(&mut app, Duration::from_secs(3600));
    app.update();
    assert_eq!(asked(&mut app), FULL);
    turn(&mut app, 8);
    assert_eq!(asked(&mut app), FULL, "an adapter that has four samples or one");
    app.world_mut().resource_mut::<Thrift>().turning = TURNING;
    turn(&mut app, 1);
    assert_eq!(asked(&mut app), TURNING);
    budget(&mut app, Duration::ZERO);
    app.update();
    assert_eq!(asked(&mut app), FULL, "at rest");
    turn(&mut app, 8);
    assert_eq!(asked(&mut app), LESS);
    app.update();
    assert_eq!(asked(&mut app), FULL, "one frame after it came to rest");
    // Somebody wants all of it.
    app.world_mut().write_message(Intent::AlwaysFull(true));
    turn(&mut app, 8);
    assert_eq!(asked(&mut app), FULL);
    app.world_mut().write_message(Intent::AlwaysFull(false));
    turn(&mut app, 8);
    assert_eq!(asked(&mut app), LESS);
}

/// What is new in sight is drawn with less at once, while it is new anyway, and not again.
#[test]
fn what_is_new_is_made_ready_for_a_move() {
    let mut app = showing(site::review(3, 2));
    app.world_mut().resource_mut::<Thrift>().turning = TURNING;
    for _ in 0..6 {
        app.update();
    }
    assert_eq!(asked(&mut app), FULL);
    let frames = |app: &mut App, material: &Handle<StandardMaterial>| {
        let thing = (MeshMaterial3d(material.clone()), Visibility::Inherited);
        let thing = app.world_mut().spawn(thing).id();
        let mut sight = app.world_mut().get_mut::<ViewVisibility>(thing).unwrap();
        sight.set_visible();
        let mut seen = Vec::new();
        for _ in 0..5 {
            app.update();
            seen.push(asked(app));
        }
        seen
    };
    let material = app.world_mut().resource_mut::<Assets<StandardMaterial>>();
    let material = material.into_inner().add(StandardMaterial::default());
    assert_eq!(frames(&mut app, &material), [LESS, LESS, TURNING, TURNING, FULL]);
    assert_eq!(frames(&mut app, &material), [FULL; 5], "known by now");
}

/// A picture is drawn in full however long it takes.
#[test]
fn a_picture_is_never_drawn_with_less() {
    let mut app = showing(site::review(3, 2));
    app.insert_resource(PictureTarget(Handle::default())).insert_resource(Bare { labels: true });
    for _ in 0..6 {
        // Longer than any screen's budget.
        std::thread::sleep(Duration::from_millis(40));
        turn(&mut app, 1);
        assert_eq!(asked(&mut app), FULL);
    }
}
