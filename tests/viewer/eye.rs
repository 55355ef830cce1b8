//! Where the eye is: views, fitting, zooming at the pointer.

use bevy::math::{Vec2, Vec3};
use standwell::viewer::camera::corners;
use standwell::viewer::overlay::y_on_screen;
use standwell::viewer::pose::{LENS, Pose};
use standwell::viewer::space::turn;
use standwell::viewer::vocab::NamedView;

/// A point on the picture, in parts of its height from the middle, y down.
fn on_picture(pose: &Pose, point: Vec3) -> Vec2 {
    let local = pose.transform().to_matrix().inverse().transform_point3(point);
    assert!(local.z < 0.0, "in front of the eye");
    let tall = 2.0 * (pose.lens / 2.0).tan();
    Vec2::new(local.x, -local.y) / (-local.z * tall)
}

fn views() -> Vec<Pose> {
    let mut poses: Vec<Pose> =
        NamedView::ALL.iter().map(|&v| Pose::default().seen_from(v)).collect();
    for k in 0..12 {
        let yaw = k as f32 * 0.55 - 3.0;
        poses.push(Pose { yaw, pitch: 0.1 + 0.12 * k as f32, ..Pose::default() });
    }
    poses
}

#[test]
fn fitting_fills_the_picture_and_cuts_nothing_off() {
    let points = corners(Some([Vec3::new(-11.0, 0.0, -7.0), Vec3::new(12.0, 3.0, 8.0)]));
    for pose in views() {
        for aspect in [0.7, 1.0, 1.6, 2.4] {
            let fitted = pose.fitted(&points, aspect, 0.2);
            let seen: Vec<Vec2> = points.iter().map(|p| on_picture(&fitted, *p)).collect();
            let low = seen.iter().copied().reduce(Vec2::min).unwrap();
            let high = seen.iter().copied().reduce(Vec2::max).unwrap();
            let (width, height) = (aspect * 0.5, 0.5);
            assert!(low.x > -width && high.x < width && low.y > -height && high.y < height);
            let filled = ((high.x - low.x) / aspect).max(high.y - low.y);
            assert!((0.76..0.84).contains(&filled), "fills {filled} at {pose:?}");
            let middle = (low + high) * 0.5;
            assert!(middle.length() < 0.03, "off the middle by {middle} at {pose:?}");
        }
    }
}

#[test]
fn the_north_arrow_points_the_way_y_goes() {
    for pose in views() {
        let to = on_picture(&pose, pose.target + turn([0.0, 0.01, 0.0]));
        let arrow = y_on_screen(&pose);
        // Sideways exactly; up and down in sense, where there is any to see.
        assert!((to.x * arrow.x) >= -1e-7, "{pose:?}");
        if to.y.abs() > 1e-5 {
            assert!(to.y * arrow.y > 0.0, "{pose:?}: {to} and {arrow:?}");
        }
    }
}

#[test]
fn named_views_look_the_way_they_say() {
    let at = |view, v: [f64; 3]| {
        let pose = Pose::default().seen_from(view);
        on_picture(&pose, pose.target + turn(v))
    };
    // Plan: x to the right, y up the page.
    assert!(at(NamedView::Plan, [1.0, 0.0, 0.0]).x > 0.01);
    assert!(at(NamedView::Plan, [0.0, 1.0, 0.0]).y < -0.01);
    // Front: x to the right, z up the page.
    assert!(at(NamedView::Front, [1.0, 0.0, 0.0]).x > 0.01);
    assert!(at(NamedView::Front, [0.0, 0.0, 1.0]).y < -0.01);
    // Side, from the high side of x: y to the right.
    assert!(at(NamedView::Side, [0.0, 1.0, 0.0]).x > 0.01);
    assert!(at(NamedView::Side, [0.0, 0.0, 1.0]).y < -0.01);
}

#[test]
fn zooming_keeps_what_is_under_the_pointer() {
    for pose in views() {
        let pointer = Vec2::new(0.31, -0.22);
        let rotation = pose.rotation();
        let there = pose.target + rotation * Vec3::new(pointer.x, -pointer.y, 0.0) * pose.span;
        let closer = pose.zoomed(0.5, pointer);
        assert!((on_picture(&closer, there) - pointer).length() < 1e-3, "{pose:?}");
    }
}

#[test]
fn a_move_arrives_and_ends() {
    let from = Pose::default();
    let goal = from.seen_from(NamedView::Side).zoomed(0.2, Vec2::ZERO);
    let mut now = from;
    for step in 0..400 {
        if now == goal {
            assert!(step > 5, "eased");
            return;
        }
        now = now.toward(&goal, 0.12);
    }
    panic!("never arrives: {now:?}");
}

#[test]
fn dragging_from_a_drawing_brings_the_common_lens_back() {
    let pose = Pose::default().seen_from(NamedView::Plan);
    assert!(pose.lens < LENS);
    let turned = pose.orbited(Vec2::new(0.1, -0.2));
    assert!((turned.lens - LENS).abs() < 1e-6 && turned.pitch < pose.pitch);
}

/// Many points at a time, to the last bit what the camera says of each.
#[test]
fn points_lie_where_the_camera_says() {
    use bevy::prelude::{Camera, GlobalTransform, With};
    use standwell::viewer::camera::{Eye, SceneCamera};
    use standwell::viewer::sight::Sight;
    let mut app = super::plugin::seeing(super::site::review(3, 2));
    let mut counts = [0; 2];
    for pose in views() {
        app.world_mut().resource_mut::<Eye>().jump(pose);
        app.update();
        let mut cameras =
            app.world_mut().query_filtered::<(&Camera, &GlobalTransform), With<SceneCamera>>();
        let (camera, transform) = cameras.single(app.world()).unwrap();
        let sight = Sight::of(camera, transform).unwrap();
        for k in 0..500 {
            let along = |n: f32| (k as f32 * n).sin() * 40.0;
            let point = Vec3::new(along(1.3), along(0.7), along(2.1));
            let said = camera.world_to_viewport_with_depth(transform, point).ok();
            assert_eq!(sight.with_depth(point), said, "{point} from {pose:?}");
            counts[usize::from(said.is_some())] += 1;
        }
    }
    assert!(counts[0] > 200 && counts[1] > 200, "{counts:?}");
}
