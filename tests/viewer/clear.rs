//! The eye stays above the ground and outside of bodies, and an empty scene is said.

use super::plugin::{seeing, settle, showing, state};
use super::site;
use bevy::math::{Vec2, Vec3};
use bevy::prelude::*;
use standwell::assembly::Role;
use standwell::viewer::camera::{Eye, SceneCamera};
use standwell::viewer::clear::{ABOVE, CLEAR, InSight, clear};
use standwell::viewer::members::Bodies;
use standwell::viewer::pose::Pose;
use standwell::viewer::sight::Sight;
use standwell::viewer::stage_paint::{Paint, Painted};

/// How far a point is from the line between a member's ends.
fn away(point: Vec3, [a, b]: [Vec3; 2]) -> f32 {
    let way = b - a;
    let share = ((point - a).dot(way) / way.length_squared().max(1e-9)).clamp(0.0, 1.0);
    point.distance(a + way * share)
}

/// Somebody who turns the wheel at a place of the picture until nothing moves any more.
#[test]
fn zoomed_in_as_far_as_it_goes_the_eye_is_clear_of_all() {
    let app = showing(site::review(3, 2));
    let (bodies, painted) = (app.world().resource::<Bodies>(), app.world().resource::<Painted>());
    let review = state(&app).review.clone().unwrap();
    let ground = bodies.bounds.unwrap()[0].y;
    let (mut lowest, mut nearest, mut into) = (f32::INFINITY, f32::INFINITY, 0);
    for yaw in 0..6 {
        for pitch in [-0.1, 0.1, 0.42, 0.9, 1.5] {
            for place in [[0.0, 0.0], [0.0, 0.3], [0.4, 0.1], [-0.4, 0.2], [0.1, -0.2]] {
                let mut pose = Pose { yaw: yaw as f32, pitch, ..Pose::default() };
                let mut free = pose;
                for _ in 0..60 {
                    let place = Vec2::from_array(place);
                    free = free.zoomed(0.87, place);
                    pose = clear(pose.zoomed(0.87, place), bodies, &painted.paints);
                }
                let eye = pose.transform().translation;
                lowest = lowest.min(eye.y - ground);
                for (member, body) in review.assembly.members.iter().zip(&bodies.members) {
                    // Of a post the line is its own middle: its shaft is all about it.
                    let there = painted.paints[member.id.index()].coat.is_some();
                    if there && member.role == Role::Post {
                        nearest = nearest.min(away(eye, body.ends));
                    }
                }
                into += usize::from(free.transform().translation.y < ground);
            }
        }
    }
    println!("{into} of 150 would be in the ground; {lowest} m above it, {nearest} m from a post");
    assert!(into > 10, "without it the eye goes into the ground");
    assert!(lowest > ABOVE - 1e-3 && nearest > CLEAR, "{lowest} {nearest}");
}

/// From within a post the eye comes out of it; where no post is drawn it stays.
#[test]
fn out_of_a_body_and_not_out_of_nothing() {
    let app = showing(site::review(3, 2));
    let (bodies, painted) = (app.world().resource::<Bodies>(), app.world().resource::<Painted>());
    let review = state(&app).review.clone().unwrap();
    let post = review.assembly.find("main.post.A1").unwrap().index();
    let ends = bodies.members[post].ends;
    let mut pose = Pose { span: 0.5, ..Pose::default() };
    // The eye in the middle of the post's height.
    let back = pose.transform().translation - pose.target;
    pose.target = ends[0].lerp(ends[1], 0.45) - back;
    let there = pose.transform().translation;
    assert!(away(there, ends) < 1e-3);
    let out = clear(pose, bodies, &painted.paints).transform().translation;
    assert!(away(out, ends) > CLEAR && out.distance(there) < 1.5, "{out} from {there}");
    let nothing = vec![Paint::NOTHING; painted.paints.len()];
    assert_eq!(clear(pose, bodies, &nothing), pose);
}

#[test]
fn in_the_window_it_holds_for_keys_and_wheel_alike() {
    let mut app = showing(site::review(3, 2));
    let ground = app.world().resource::<Bodies>().bounds.unwrap()[0].y;
    let mut eye = app.world_mut().resource_mut::<Eye>();
    eye.goal = Pose { target: Vec3::new(0.0, -3.0, 0.0), span: 1.0, ..eye.goal };
    settle(&mut app);
    let eye = app.world().resource::<Eye>();
    assert!(!eye.is_moving() && eye.now.transform().translation.y > ground + ABOVE - 1e-3);
}

/// Whatever is in the middle of the picture is in sight; turned away from all of it, nothing is.
#[test]
fn nothing_in_sight_is_noticed_and_nothing_else() {
    let mut app = seeing(site::review(3, 2));
    let members = app.world().resource::<Bodies>().members.clone();
    let mut look = |pose: Pose, only: Option<usize>| {
        app.world_mut().resource_mut::<Eye>().jump(pose);
        app.update();
        let mut cameras =
            app.world_mut().query_filtered::<(&Camera, &GlobalTransform), With<SceneCamera>>();
        let (camera, at) = cameras.single(app.world()).unwrap();
        let sight = Sight::of(camera, at).unwrap();
        let bodies = app.world().resource::<Bodies>();
        let mut paints = app.world().resource::<Painted>().paints.clone();
        if let Some(only) = only {
            let kept = paints[only];
            paints.fill(Paint::NOTHING);
            paints[only] = kept;
        }
        InSight::default().is_empty(&sight, bodies, &paints)
    };
    let whole = Pose::default();
    assert!(!look(whole, None));
    // A short piece of a long member fills the picture, both its ends are outside of it.
    let long = (0..members.len())
        .max_by(|&a, &b| {
            let length = |i: usize| members[i].ends[0].distance(members[i].ends[1]);
            length(a).total_cmp(&length(b))
        })
        .unwrap();
    let middle = members[long].ends[0].lerp(members[long].ends[1], 0.4);
    assert!(!look(Pose { target: middle, span: 0.6, ..whole }, Some(long)));
    // Behind the eye, beside it, far above it.
    let away = Pose { pitch: 0.0, span: 2.0, ..whole };
    for by in [Vec3::Z * -200.0, Vec3::X * 200.0, Vec3::Y * 80.0] {
        let target = whole.target + away.rotation() * by;
        assert!(look(Pose { target, ..away }, None), "{by}");
    }
}
