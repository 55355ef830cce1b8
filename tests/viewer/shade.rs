//! Shadows are drawn when what casts them changes and not when only the eye turns; they lie where the sun
//! puts them. Pictures are skipped where there is no graphics adapter, except when `CI` is set.

use super::pictures::drawn;
use super::site;
use bevy::math::{Quat, Vec3};
use bevy::prelude::*;
use bevy::render::render_resource::PollType;
use bevy::render::renderer::RenderDevice;
use bevy::render::view::screenshot::{Screenshot, ScreenshotCaptured};
use standwell::viewer::camera::{Eye, SceneRect};
use standwell::viewer::loading::Judge;
use standwell::viewer::picture::{Bare, unseen};
use standwell::viewer::pose::Pose;
use standwell::viewer::scenery::Sun;
use standwell::viewer::shade::Shade;
use standwell::viewer::shade::fit::{Fit, Map};
use standwell::viewer::state::ViewerState;
use standwell::viewer::vocab::Intent;
use std::path::Path;
use std::sync::{Arc, Mutex};

/// The way the sun shines, as the scene has it.
const SUN: Vec3 = Vec3::new(-0.52, -1.0, -0.34);

fn turn_of_the_sun() -> Quat {
    Transform::default().looking_to(SUN, Vec3::Y).rotation
}

/// What is drawn of a floor, without labels.
struct Stand {
    app: App,
    target: Handle<Image>,
}

const SIZE: (u32, u32) = (320, 200);

impl Stand {
    fn new() -> Option<Self> {
        let judge = Judge(Arc::new(|_, _| Err("nothing is read here".to_owned())));
        let (mut app, target) = drawn(unseen(SIZE, judge))?;
        app.finish();
        app.cleanup();
        let full = Rect::new(0.0, 0.0, SIZE.0 as f32, SIZE.1 as f32);
        app.insert_resource(SceneRect(Some(full))).insert_resource(Bare { labels: false });
        let review = Arc::new(site::review(3, 2));
        let last = review.sequence.stages.len() - 1;
        let mut state = app.world_mut().resource_mut::<ViewerState>();
        state.show(Path::new("floor.ron"), review);
        state.stage = last;
        let mut stand = Self { app, target };
        stand.frames(8);
        Some(stand)
    }

    fn frames(&mut self, count: usize) {
        for _ in 0..count {
            self.app.update();
            let device = self.app.world().resource::<RenderDevice>().wgpu_device();
            device.poll(PollType::Wait { submission_index: None, timeout: None }).unwrap();
        }
    }

    fn pose(&self) -> Pose {
        self.app.world().resource::<Eye>().now
    }

    fn look(&mut self, change: impl FnOnce(&mut Pose)) {
        let mut pose = self.pose();
        change(&mut pose);
        self.app.world_mut().resource_mut::<Eye>().jump(pose);
        self.frames(1);
    }

    /// Maps drawn by what is done, and until nothing more is: the thread that draws is a frame behind.
    fn maps(&mut self, act: impl FnOnce(&mut Self)) -> usize {
        self.frames(6);
        let before = self.app.world().resource::<Shade>().drawn();
        act(self);
        self.frames(2);
        self.app.world().resource::<Shade>().drawn() - before
    }

    fn picture(&mut self) -> Vec<u8> {
        self.frames(6);
        let taken: Arc<Mutex<Option<Image>>> = Arc::default();
        let there = taken.clone();
        self.app.world_mut().spawn(Screenshot::image(self.target.clone())).observe(
            move |shot: On<'_, '_, ScreenshotCaptured>| {
                *there.lock().unwrap() = Some(shot.image.clone());
            },
        );
        for _ in 0..60 {
            self.frames(1);
            if let Some(image) = taken.lock().unwrap().take() {
                return image.try_into_dynamic().unwrap().to_rgb8().into_raw();
            }
        }
        panic!("no picture came back");
    }
}

/// Pixels that are darker in the first than in the second by more than a shade, and the other way round.
fn darker(a: &[u8], b: &[u8]) -> [usize; 2] {
    let sum = |p: &[u8]| p.iter().map(|&v| i32::from(v)).sum::<i32>();
    let by: Vec<i32> = a.chunks(3).zip(b.chunks(3)).map(|(a, b)| sum(b) - sum(a)).collect();
    [by.iter().filter(|d| **d > 30).count(), by.iter().filter(|d| **d < -30).count()]
}

#[test]
fn a_turn_of_the_eye_draws_no_map_and_a_change_of_stage_does() {
    let Some(mut stand) = Stand::new() else { return };
    let turned = stand.maps(|s| {
        for _ in 0..40 {
            s.look(|p| p.yaw += 0.01);
        }
    });
    assert_eq!(turned, 0, "by a turn of the eye");
    let rested = stand.maps(|s| s.frames(5));
    assert_eq!(rested, 0, "at rest");
    let stage = stand.app.world().resource::<ViewerState>().stage;
    let stepped = stand.maps(|s| {
        s.app.world_mut().write_message(Intent::GoToStage(stage - 3));
        s.frames(1);
    });
    assert!((1..=6).contains(&stepped), "{stepped} maps by a change of stage");
    // Near enough for a map of its own, which is drawn once the eye rests.
    let near = stand.maps(|s| s.look(|p| p.span /= 8.0));
    assert!((1..=6).contains(&near), "{near} maps by going near");
    let fit = stand.app.world().resource::<Shade>().fit.unwrap();
    assert!(fit.near.is_some());
}

/// What is seen after a turn with the maps kept is what is seen with the maps drawn in every frame. Control:
/// the change of stage without its shadows, which is another picture.
#[test]
fn kept_shadows_are_those_drawn_anew_and_missing_ones_are_told() {
    let Some(mut stand) = Stand::new() else { return };
    let near = |s: &mut Stand| s.look(|p| p.span /= 5.0);
    for prepare in [None, Some(near)] {
        if let Some(prepare) = prepare {
            prepare(&mut stand);
        }
        for _ in 0..30 {
            stand.look(|p| p.yaw += 0.02);
        }
        let kept = stand.picture();
        stand.app.world_mut().resource_mut::<Shade>().always = true;
        let anew = stand.picture();
        stand.app.world_mut().resource_mut::<Shade>().always = false;
        assert_eq!(darker(&kept, &anew), [0, 0]);
        let mut suns = stand.app.world_mut().query_filtered::<&mut DirectionalLight, With<Sun>>();
        let world = stand.app.world_mut();
        let mut sun = suns.single_mut(world).unwrap();
        sun.shadow_maps_enabled = false;
        let without = stand.picture();
        let mut sun = suns.single_mut(stand.app.world_mut()).unwrap();
        sun.shadow_maps_enabled = true;
        let [dark, light] = darker(&kept, &without);
        println!("in shade {dark} of {} pixels", SIZE.0 * SIZE.1);
        assert!(dark > 1500 && light == 0, "{dark} darker, {light} lighter with shadows");
    }
}

fn shown() -> (Pose, [Vec3; 2]) {
    let pose = Pose { target: Vec3::new(3.0, 1.0, -2.0), ..Pose::default() };
    (pose, [Vec3::new(-20.0, 0.0, -50.0), Vec3::new(25.0, 4.0, 60.0)])
}

fn inside(map: Map, fit: &Fit, point: Vec3) -> bool {
    let [near, whole] = fit.cascades(turn_of_the_sun(), 4096);
    let cascade = if map == fit.whole { whole } else { near };
    let at = cascade.clip_from_world.project_point3(point);
    at.x.abs() <= 1.0 && at.y.abs() <= 1.0 && (0.0..=1.0).contains(&at.z)
}

/// By the sun's own way, traced here point by point.
#[test]
fn what_casts_and_its_shadow_lie_in_the_whole_map_and_what_is_looked_at_in_the_near_one() {
    let (pose, [low, high]) = shown();
    let fit = Fit::of(Some([low, high]), turn_of_the_sun(), &pose);
    for k in 0..1000u32 {
        let share = Vec3::new((k % 10) as f32, (k / 10 % 10) as f32, (k / 100) as f32) / 9.0;
        let point = low + (high - low) * share;
        let shadow = point + SUN * (point.y - low.y);
        assert!(inside(fit.whole, &fit, point), "{point}");
        assert!(inside(fit.whole, &fit, shadow), "the shadow of {point}");
    }
    let near = fit.near.unwrap();
    let (sin, cos) = pose.yaw.sin_cos();
    for away in [-0.8, -0.4, 0.0, 0.4, 0.8] {
        let by = Vec3::new(sin, 0.0, cos) * away * pose.distance();
        assert!(inside(near, &fit, pose.target + by), "{away} of the distance");
    }
    assert!(near.extent * 1.5 < fit.whole.extent);
    // A scene that is small as seen has one map.
    let far = Pose { span: 200.0, ..pose };
    assert_eq!(Fit::of(Some([low, high]), turn_of_the_sun(), &far).near, None);
}

#[test]
fn a_turn_or_a_small_step_asks_for_no_other_map_and_a_large_one_does() {
    let (pose, casters) = shown();
    let of = |pose: &Pose| Fit::of(Some(casters), turn_of_the_sun(), pose);
    let held = of(&pose);
    for yaw in 0..20 {
        assert_eq!(of(&Pose { yaw: yaw as f32, ..pose }), held);
    }
    let serves = |pose: Pose| held.serves(&of(&pose));
    assert!(serves(Pose { span: pose.span * 1.4, ..pose }));
    assert!(serves(Pose { target: pose.target + Vec3::X, ..pose }));
    assert!(!serves(Pose { span: pose.span / 8.0, ..pose }));
    assert!(!serves(Pose { target: pose.target + Vec3::X * 40.0, ..pose }));
}

/// The matrices against each other and against the size that Bevy is told.
#[test]
fn the_maps_are_as_the_renderer_takes_them() {
    let (pose, casters) = shown();
    let fit = Fit::of(Some(casters), turn_of_the_sun(), &pose);
    for cascade in fit.cascades(turn_of_the_sun(), 4096) {
        let made = cascade.clip_from_cascade * cascade.world_from_cascade.inverse();
        let off = (made - cascade.clip_from_world).to_cols_array();
        let size = cascade.clip_from_world.to_cols_array();
        let most = size.iter().fold(1.0f32, |m, v| m.max(v.abs()));
        assert!(off.iter().all(|v| v.abs() < 1e-4 * most), "{off:?}");
        let back = made.inverse();
        let across = back.project_point3(Vec3::X) - back.project_point3(Vec3::NEG_X);
        assert!((across.length() / 4096.0 - cascade.texel_size).abs() < 1e-2 * cascade.texel_size);
    }
}
