//! Changes on the disk under a walk or a permit: seen without a click, and no frame without one.

use super::fixture::Job;
use super::plugin::{app, asked, settle, state, wait};
use bevy::prelude::*;
use standwell::record::PermitKind;
use standwell::viewer::guide::{Fields, Mode, Wish};
use standwell::viewer::rooms;
use standwell::viewer::title::words;
use standwell::viewer::vocab::Intent;
use std::time::Duration;

fn open(job: &Job, wish: Wish) -> App {
    let mut app = app(rooms::judge());
    app.world_mut().write_message(Intent::Open(job.path("job.ron")));
    wait(&mut app, "opening", |a| state(a).review.is_some());
    want(&mut app, wish);
    app
}

fn want(app: &mut App, wish: Wish) {
    app.world_mut().write_message(Intent::Guide(wish));
    app.update();
}

/// Runs for longer than the lookout takes to look.
fn at_rest(app: &mut App) -> usize {
    settle(app);
    let before = asked(app);
    for _ in 0..60 {
        std::thread::sleep(Duration::from_millis(40));
        app.update();
    }
    asked(app) - before
}

#[test]
fn a_record_changed_by_others_voids_the_permit_on_screen_by_itself() {
    let job = Job::new();
    let mut app = open(&job, Wish::Permit(PermitKind::Load));
    want(&mut app, Wish::Fields(Fields { signer: "A. Sample".to_owned(), ..Fields::default() }));
    want(&mut app, Wish::Issue);
    assert_eq!(state(&app).guide.problem, None);
    assert_eq!(at_rest(&mut app), 0, "while nothing changes no frame is asked for");
    assert!(
        words(state(&app)).contains("permit to load, issued"),
        "what it wrote itself is no news"
    );
    job.write("job.asbuilt.ron", &format!("{}// seen again\n", job.read("job.asbuilt.ron")));
    wait(&mut app, "the void", |a| words(state(a)).contains("permit to load, void"));
    // Its own file altered by hand.
    let json = "job.permit-to-load.json";
    job.write("job.asbuilt.ron", super::fixture::RECORD);
    wait(&mut app, "as it was", |a| words(state(a)).contains("permit to load, issued"));
    job.write(json, &job.read(json).replace("A. Sample", "B. Sample"));
    wait(&mut app, "the void", |a| words(state(a)).contains("permit to load, void"));
}

#[test]
fn a_draft_is_made_again_and_what_is_typed_stays() {
    let job = Job::new();
    let mut app = open(&job, Wish::Permit(PermitKind::Load));
    want(&mut app, Wish::Fields(Fields { signer: "A. Sam".to_owned(), ..Fields::default() }));
    let refusals = |app: &App| match &state(app).guide.mode {
        Mode::Permit(signing) => signing.permit.as_ref().map(|p| p.refusals.len()),
        _ => None,
    };
    assert_eq!(refusals(&app), Some(0));
    job.change("job.asbuilt.ron", "\"main.filler.*\", ", "");
    wait(&mut app, "the new draft", |a| refusals(a) == Some(1));
    assert!(state(&app).guide.news.as_ref().is_some_and(|n| n.contains("job.asbuilt.ron")));
    assert_eq!(state(&app).guide.fields.signer, "A. Sam");
    // The scene too: the draft stays on screen and says what the file says now.
    job.change("job.ron", "size: 5", "size: 6");
    wait(&mut app, "the scene", |a| {
        state(a).review.as_ref().unwrap().assembly.scene.crew.size == 6
    });
    assert_eq!(refusals(&app), Some(1));
    assert_eq!(state(&app).guide.fields.signer, "A. Sam");
}

#[test]
fn a_walk_takes_in_what_others_put_down_and_keeps_what_is_typed() {
    let job = Job::new();
    let mut app = open(&job, Wish::Walk);
    want(&mut app, Wish::Next);
    let typed = Fields {
        by: "W. Sample".to_owned(),
        note: "half a".to_owned(),
        photo: "sill.jpg".to_owned(),
        ..Fields::default()
    };
    want(&mut app, Wish::Fields(typed.clone()));
    let there = |app: &App| state(app).guide.photo.as_ref().map(|(_, there)| *there);
    assert_eq!(there(&app), Some(false), "it says at once that there is no such photo");
    job.write("sill.jpg", "x");
    wait(&mut app, "the photo", |a| there(a) == Some(true));
    let walking = |app: &App| match &state(app).guide.mode {
        Mode::Walk(w) => (w.walk.in_order(), w.walk.stations[w.at].id.clone()),
        _ => panic!("the walk goes on"),
    };
    let (_, station) = walking(&app);
    let more = "    walked: [(station: \"hold:ground\", by: \"T. Sample\", on: \"2026-03-09\", in_order: true)],\n)\n";
    let record = job.read("job.asbuilt.ron");
    let body = record.trim_end().strip_suffix(')').unwrap();
    job.write("job.asbuilt.ron", &format!("{body}{more}"));
    wait(&mut app, "their entry", |a| walking(a).0 == 1);
    assert_eq!(walking(&app).1, station, "it stays where it was");
    assert_eq!(state(&app).guide.fields, typed);
    // What cannot be read leaves the walk as it is, and says so.
    job.write("job.asbuilt.ron", "(format: 1, ");
    wait(&mut app, "the problem", |a| state(a).guide.problem.is_some());
    assert_eq!(walking(&app).0, 1);
    want(&mut app, Wish::Seen(true));
    assert_eq!(job.read("job.asbuilt.ron"), "(format: 1, ", "and it is not written over");
}
