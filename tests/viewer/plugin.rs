//! The window's systems without a window: built, run, at rest, and on a change of stage.

use super::site;
use bevy::ecs::schedule::{Schedules, SingleThreadedExecutor};
use bevy::input::InputPlugin;
use bevy::prelude::*;
use bevy::window::RequestRedraw;
use bevy_egui::{EguiPlugin, EguiRenderOutput};
use standwell::review::Review;
use standwell::viewer::camera::{Eye, SceneRect};
use standwell::viewer::coats::Coats;
use standwell::viewer::loading::Judge;
use standwell::viewer::members::{Bodies, Coming};
use standwell::viewer::motion::Mover;
use standwell::viewer::plugin::ViewerPlugin;
use standwell::viewer::stage_paint::{Paint, Painted};
use standwell::viewer::state::ViewerState;
use standwell::viewer::theme::Theme;
use standwell::viewer::vocab::{Intent, Item, NamedView};
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Frames asked for since the last look.
#[derive(Resource, Default)]
struct Asked(usize);

pub fn app(judge: Judge) -> App {
    let mut app = App::new();
    app.add_plugins((
        MinimalPlugins,
        AssetPlugin::default(),
        WindowPlugin::default(),
        InputPlugin,
        TransformPlugin,
        bevy::camera::CameraPlugin,
    ));
    app.init_asset::<Mesh>()
        .init_asset::<Image>()
        .init_asset::<StandardMaterial>()
        .init_asset::<GizmoAsset>()
        .init_asset::<bevy::mesh::skinning::SkinnedMeshInverseBindposes>()
        .init_asset::<bevy::shader::Shader>()
        .add_plugins(EguiPlugin::default())
        .add_plugins(ViewerPlugin { theme: Theme::shipped().unwrap(), judge })
        .init_resource::<Asked>()
        // Nobody draws: what egui hands to the renderer has to be let go.
        .add_systems(Last, |mut outputs: Query<'_, '_, &mut EguiRenderOutput>| {
            for mut output in &mut outputs {
                output.textures_delta.clear();
            }
        })
        .add_systems(
            Last,
            |mut asked: ResMut<'_, Asked>, mut redraws: MessageReader<'_, '_, RequestRedraw>| {
                asked.0 += redraws.read().count();
            },
        );
    app.finish();
    app.cleanup();
    app
}

fn nothing() -> Judge {
    Judge(Arc::new(|_, _| Err("nothing to read here".to_owned())))
}

pub fn showing(review: Review) -> App {
    let mut app = app(nothing());
    app.update();
    app.world_mut().resource_mut::<ViewerState>().show(Path::new("floor.ron"), Arc::new(review));
    settle(&mut app);
    app
}

/// As [`showing`], with cameras that know the window's size, as they do where there is a renderer.
pub fn seeing(review: Review) -> App {
    use bevy::camera::CameraUpdateSystems;
    use bevy::render::camera::camera_system;
    use bevy::render::texture::ManualTextureViews;
    let mut app = showing(review);
    app.init_resource::<ManualTextureViews>()
        .add_systems(PostUpdate, camera_system.in_set(CameraUpdateSystems));
    for _ in 0..3 {
        app.update();
    }
    settle(&mut app);
    app
}

/// Runs until nothing moves any more.
pub fn settle(app: &mut App) {
    for _ in 0..200 {
        app.update();
        std::thread::sleep(Duration::from_millis(4));
        let eye = app.world().resource::<Eye>();
        if !eye.is_moving() && app.world().resource::<Asked>().0 == 0 {
            break;
        }
        app.world_mut().resource_mut::<Asked>().0 = 0;
    }
}

/// How many frames were asked for.
pub fn asked(app: &App) -> usize {
    app.world().resource::<Asked>().0
}

pub fn state(app: &App) -> &ViewerState {
    app.world().resource::<ViewerState>()
}

#[test]
fn the_whole_window_builds_and_runs_without_a_scene() {
    let mut app = app(nothing());
    app.update();
    app.update();
    assert!(state(&app).review.is_none());
    assert!(app.world().resource::<SceneRect>().0.is_some());
}

#[test]
fn every_member_has_a_body_and_alike_ones_share_a_shape() {
    let app = showing(site::review(4, 3));
    let members = state(&app).review.as_ref().unwrap().assembly.members.len();
    let bodies = app.world().resource::<Bodies>();
    assert_eq!(bodies.members.len(), members);
    assert!(bodies.shapes.len() <= 14, "{}", bodies.shapes.len());
    let mut drawn: Vec<usize> = bodies.squares.iter().flat_map(|s| s.members.clone()).collect();
    drawn.sort_unstable();
    assert_eq!(drawn, (0..members).collect::<Vec<_>>(), "each in one square");
    let there =
        app.world().resource::<Painted>().paints.iter().filter(|p| p.coat.is_some()).count();
    assert!(there > 0 && there < members);
}

/// Of a large floor what is seen from near comes later, and until it is there the square is drawn as
/// from far off: at no frame is a square with something to draw not drawn, or drawn twice.
#[test]
fn a_large_floor_is_drawn_from_the_first_frame_on() {
    let mut app = app(nothing());
    app.update();
    let review = Arc::new(site::review(24, 20));
    let members = review.assembly.members.len();
    assert!(members > 2000, "{members}");
    app.world_mut().resource_mut::<ViewerState>().show(Path::new("floor.ron"), review);
    let mut late = 0;
    for _ in 0..400 {
        app.update();
        let world = app.world();
        let bodies = world.resource::<Bodies>();
        let on = |entities: [Entity; 2]| {
            entities.map(|e| world.get::<Visibility>(e) == Some(&Visibility::Inherited))
        };
        let paints = &world.resource::<Painted>().paints;
        for square in &bodies.squares {
            let drawn = |i: &usize| paints.get(*i).is_some_and(|p| *p != Paint::NOTHING);
            let any = square.members.iter().any(drawn);
            let (near, far) = (on(square.near), on(square.far));
            assert_eq!(near, [near[0]; 2]);
            assert_eq!((near[0] ^ far[0], near[1] ^ far[1]), (any, any), "once, and near or far");
            assert!(!near[0] || square.near_is_there);
            if near[0] {
                assert!(square.near.iter().all(|e| world.get::<Mesh3d>(*e).is_some()));
            }
            late += usize::from(!square.near_is_there);
        }
        let left = world.resource::<Coming>().left();
        if !bodies.squares.is_empty() && left == 0 {
            assert!(bodies.squares.iter().all(|s| s.near_is_there));
            assert!(late > 0, "the first frame did not wait for all of it");
            return;
        }
        std::thread::sleep(Duration::from_millis(2));
    }
    panic!("it never came");
}

#[test]
fn at_rest_no_frame_is_asked_for() {
    let mut app = showing(site::review(12, 8));
    app.world_mut().resource_mut::<Asked>().0 = 0;
    for _ in 0..60 {
        app.update();
    }
    assert_eq!(app.world().resource::<Asked>().0, 0, "redraws in 60 idle frames");
    // The counter counts: a move of the eye asks for frames.
    app.world_mut().write_message(Intent::View(NamedView::Plan));
    app.update();
    app.update();
    assert!(app.world().resource::<Asked>().0 > 0);
}

#[test]
fn a_view_is_reached_and_then_it_rests() {
    let mut app = showing(site::review(3, 2));
    app.world_mut().write_message(Intent::View(NamedView::Plan));
    app.update();
    assert!(app.world().resource::<Eye>().is_moving());
    settle(&mut app);
    let eye = app.world().resource::<Eye>();
    assert!(!eye.is_moving());
    assert!((eye.now.pitch - std::f32::consts::FRAC_PI_2).abs() < 0.01);
}

/// Time on this thread alone, where the system tells it; else time by the wall.
fn own_time() -> Duration {
    let schedstat = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanos = schedstat.and_then(|s| s.split_whitespace().next()?.parse().ok());
    static START: std::sync::OnceLock<Instant> = std::sync::OnceLock::new();
    nanos.map_or_else(|| START.get_or_init(Instant::now).elapsed(), Duration::from_nanos)
}

/// A whole frame with everything on one thread, panels and all but drawing included.
#[test]
fn a_change_of_stage_on_the_demo_sized_floor_takes_at_most_16_ms() {
    let mut app = showing(site::review(12, 8));
    let all: Vec<_> = app.world().resource::<Schedules>().iter().map(|(_, s)| s.label()).collect();
    for label in all {
        app.edit_schedule(label, |s| {
            s.set_executor(SingleThreadedExecutor::new());
        });
    }
    let last = state(&app).last_stage();
    app.world_mut().write_message(Intent::GoToStage(0));
    settle(&mut app);
    let mut times = Vec::new();
    // Steps one by one, and jumps over half the sequence.
    let stages = (0..20).map(|k| k * last / 40).chain([last, 0, last / 2, last, 1]);
    for stage in stages {
        app.world_mut().write_message(Intent::GoToStage(stage));
        let before = own_time();
        app.update();
        times.push(own_time() - before);
        assert_eq!(state(&app).stage, stage);
        let painted = app.world().resource::<Painted>();
        assert_eq!(
            painted.paints.len(),
            state(&app).review.as_ref().unwrap().assembly.members.len()
        );
    }
    times.sort();
    let (median, worst) = (times[times.len() / 2], times[times.len() - 1]);
    println!("stage change: median {median:?}, worst {worst:?}");
    assert!(worst <= Duration::from_millis(16), "worst {worst:?}, median {median:?}");
}

#[test]
fn a_motion_moves_and_is_put_back() {
    let mut app = showing(site::review(3, 2));
    let id = state(&app).review.as_ref().unwrap().assembly.find("main.post.C3").unwrap();
    let body = app.world().resource::<Bodies>().members[id.index()].clone();
    // The copy that moves, where there is one; its body and its lines are at one place.
    let copy = |app: &mut App| {
        let mut movers = app.world_mut().query::<(&Mover, &Transform)>();
        let mine = movers.iter(app.world()).filter(|m| m.0.member == id.index());
        let places: Vec<Transform> = mine.map(|m| *m.1).collect();
        assert!(places.is_empty() || places.len() == 2 && places[0] == places[1]);
        let hidden = app.world().resource::<Coats>().is_moving(id.index());
        assert_eq!(hidden, !places.is_empty(), "hidden while its copy moves, and only then");
        places.first().copied()
    };
    assert_eq!(copy(&mut app), None);
    app.world_mut().write_message(Intent::Choose(Some(Item::Finding(0))));
    app.world_mut().write_message(Intent::Move(true));
    app.update();
    let mut most = 0.0f32;
    for _ in 0..40 {
        std::thread::sleep(Duration::from_millis(5));
        app.update();
        let now = copy(&mut app).unwrap();
        let head = now.transform_point(Vec3::Y * 3.0);
        most = most.max(head.distance(body.ends[1]));
        let foot = now.translation;
        assert!(foot.distance(body.ends[0]) < 1e-5, "the foot stays");
    }
    assert!(most > 0.05, "the head moved {most} m");
    app.world_mut().write_message(Intent::Move(false));
    app.update();
    app.update();
    assert_eq!(copy(&mut app), None);
}

pub fn wait(app: &mut App, what: &str, done: impl Fn(&App) -> bool) {
    let start = Instant::now();
    while !done(app) {
        assert!(start.elapsed() < Duration::from_secs(30), "waited too long: {what}");
        app.update();
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// A collar about a post that is in danger is an answer: while a question is open there is none.
#[test]
fn collars_wait_until_the_question_is_answered() {
    use standwell::viewer::guide::Wish;
    use standwell::viewer::marks::Collar;
    let mut app = showing(site::review(3, 2));
    let collars = |app: &mut App| {
        app.update();
        app.update();
        app.world_mut().query_filtered::<(), With<Collar>>().iter(app.world()).count()
    };
    app.world_mut().write_message(Intent::Guide(Wish::Lesson("next-post".to_owned())));
    app.update();
    let mut open = 0;
    for _ in 0..8 {
        if state(&app).guide.conceals() {
            assert_eq!(collars(&mut app), 0);
            open += 1;
        }
        for wish in [Wish::AnswerMarks, Wish::GoOn(true), Wish::Pick(0)] {
            app.world_mut().write_message(Intent::Guide(wish));
        }
        let asked = open > 0 && state(&app).stage == 5;
        if collars(&mut app) > 0 && asked {
            return;
        }
        app.world_mut().write_message(Intent::Guide(Wish::Next));
        app.update();
    }
    panic!("{open} questions, and never a collar after one");
}
