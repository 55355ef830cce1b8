//! Trying changes in the window: judged, compared, taken back, saved, and never lost.

use super::panels::{bench, state_of};
use super::plugin::{app, state, wait};
use bevy::prelude::*;
use egui_kittest::kittest::Queryable;
use standwell::review::Turn;
use standwell::scene::book::Book;
use standwell::scene::keep::unsaved_file;
use standwell::scene::model::ChangeKind;
use standwell::viewer::panels::{card, tried};
use standwell::viewer::rooms;
use standwell::viewer::state::ViewerState;
use standwell::viewer::vocab::{EditIntent, Intent, Item};
use std::path::{Path, PathBuf};

fn tower() -> String {
    standwell::cli::shipped::find("starter-tower").unwrap().text.to_owned()
}

fn send(app: &mut App, edit: EditIntent) {
    app.world_mut().write_message(Intent::Edit(edit));
    app.update();
}

fn judged(app: &mut App, what: &str) {
    wait(app, what, |a| {
        let t = &state(a).trying;
        !t.stale && !t.judging && state(a).loading.is_none()
    });
}

fn opened(text: &str) -> (App, tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tower.ron");
    std::fs::write(&path, text).unwrap();
    let mut app = app(rooms::judge());
    app.world_mut().write_message(Intent::Open(path.clone()));
    wait(&mut app, "opening", |a| state(a).review.is_some());
    (app, folder, path)
}

fn brace() -> ChangeKind {
    ChangeKind::TakeOut("main.brace.A1-B1.*".to_owned())
}

#[test]
fn a_change_is_judged_compared_undone_and_saved() {
    let text = tower();
    let (mut app, _folder, path) = opened(&text);
    send(&mut app, EditIntent::Try(brace()));
    assert!(state(&app).trying.stale, "what is on screen is not yet what is tried");
    judged(&mut app, "the change");
    let review = state(&app).review.clone().unwrap();
    assert_eq!(review.changes.len(), 1);
    assert!(review.assembly.find("main.brace.A1-B1.a").is_none());
    let compared = state(&app).trying.compared.clone().unwrap();
    assert!(compared.differs.of_turn(Turn::Worse).count() > 0);
    assert_eq!(compared.differs.of_turn(Turn::Better).count(), 0);
    // Kept for a crash, and not yet in the file.
    assert!(unsaved_file(&path).exists());
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    send(&mut app, EditIntent::Undo);
    judged(&mut app, "undo");
    assert!(state(&app).review.as_ref().unwrap().changes.is_empty());
    assert!(!state(&app).trying.is_unsaved());
    wait(&mut app, "nothing is left to keep", |_| !unsaved_file(&path).exists());
    send(&mut app, EditIntent::Redo);
    judged(&mut app, "redo");
    send(&mut app, EditIntent::Save);
    assert!(!state(&app).trying.is_unsaved());
    let saved = std::fs::read_to_string(&path).unwrap();
    assert!(saved.contains("TakeOut(\"main.brace.A1-B1.*\")"));
    // What the window wrote itself is no news: history stays.
    for _ in 0..60 {
        app.update();
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    assert!(state(&app).trying.book.as_ref().unwrap().undo_words().is_some());
}

#[test]
fn a_change_that_cannot_be_made_is_taken_back_and_said() {
    let (mut app, _folder, _) = opened(&tower());
    // The last post hangs on ledgers that hang on the others.
    let change =
        ChangeKind::MoveStep { step: "tower.B2".to_owned(), before: Some("tower.A1".to_owned()) };
    send(&mut app, EditIntent::Try(change));
    wait(&mut app, "the message", |a| state(a).problem.is_some());
    let s = state(&app);
    assert!(s.problem.as_ref().unwrap().contains("taken back"));
    assert!(s.trying.changes.is_empty() && !s.trying.stale && !s.trying.is_unsaved());
    assert!(s.review.as_ref().unwrap().changes.is_empty());
}

#[test]
fn somebody_elses_change_meets_unsaved_work_and_both_are_kept() {
    let (mut app, _folder, path) = opened(&tower());
    send(&mut app, EditIntent::Try(brace()));
    judged(&mut app, "the change");
    let theirs = tower().replace("building C: starter tower", "building D");
    std::fs::write(&path, &theirs).unwrap();
    wait(&mut app, "the clash", |a| state(a).trying.not_saved.is_some());
    assert_eq!(state(&app).trying.changes.len(), 1, "mine are still here");
    send(&mut app, EditIntent::Save);
    assert!(state(&app).trying.not_saved.as_ref().unwrap().may_lay_over);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), theirs, "not overwritten unasked");
    send(&mut app, EditIntent::LayOver);
    judged(&mut app, "laying over");
    let review = state(&app).review.clone().unwrap();
    assert!(review.assembly.scene.title.contains("building D"));
    assert_eq!(review.changes.len(), 1);
}

#[test]
fn unsaved_work_is_offered_at_the_next_start() {
    let (mut app, _folder, path) = opened(&tower());
    send(&mut app, EditIntent::Try(brace()));
    judged(&mut app, "the change");
    drop(app);
    let mut next = super::plugin::app(rooms::judge());
    next.world_mut().write_message(Intent::Open(path.clone()));
    wait(&mut next, "opening", |a| state(a).review.is_some());
    assert!(state(&next).trying.left_over.is_some());
    assert!(state(&next).review.as_ref().unwrap().changes.is_empty(), "offered, not taken");
    send(&mut next, EditIntent::TakeUp(true));
    judged(&mut next, "taking up");
    assert_eq!(state(&next).review.as_ref().unwrap().changes.len(), 1);
}

#[test]
fn a_job_of_the_program_is_saved_under_a_name_and_goes_on_there() {
    let folder = tempfile::tempdir().unwrap();
    let mut app = app(rooms::judge());
    app.world_mut().write_message(Intent::Open("shipped:starter-tower".into()));
    wait(&mut app, "opening", |a| state(a).review.is_some());
    send(&mut app, EditIntent::Try(brace()));
    judged(&mut app, "the change");
    send(&mut app, EditIntent::Save);
    assert!(state(&app).trying.not_saved.is_some(), "it has no file of its own");
    let own = folder.path().join("own.ron");
    send(&mut app, EditIntent::SaveAs(own.clone()));
    assert!(state(&app).trying.not_saved.is_none());
    assert_eq!(state(&app).path.as_deref(), Some(own.as_path()));
    assert!(standwell::scene::load(&own).unwrap().scene.changes.len() == 1);
}

#[test]
fn other_criteria_are_compared_and_the_scene_stays() {
    let (mut app, _folder, _) = opened(&tower());
    send(&mut app, EditIntent::Under("uk-eu".to_owned()));
    wait(&mut app, "the comparison", |a| state(a).trying.compared.is_some());
    let s = state(&app);
    assert_eq!(s.review.as_ref().unwrap().assembly.scene.criteria, "us");
    assert_eq!(s.trying.compared.as_ref().unwrap().after.assembly.scene.criteria, "uk-eu");
    assert!(!s.trying.is_unsaved());
}

fn tower_state() -> ViewerState {
    let mut s = state_of(&tower());
    s.trying.open(Book::new(None, tower()));
    s
}

#[test]
fn the_card_of_a_brace_offers_to_leave_it_out() {
    let mut s = tower_state();
    let id = s.review.as_ref().unwrap().assembly.find("main.brace.A1-B1.a").unwrap();
    s.act(&Intent::GoToStage(s.last_stage()));
    s.act(&Intent::Choose(Some(Item::Member(id))));
    let mut harness = bench(s, card::ui, [360.0, 1400.0]);
    harness.get_by_label("Leave it out from the start").click();
    harness.run_steps(2);
    let due = ChangeKind::TakeOut("main.brace.A1-B1.a".to_owned());
    assert!(harness.state().out.contains(&Intent::Edit(EditIntent::Try(due))));
}

#[test]
fn the_dock_lists_changes_and_takes_them_out() {
    let mut s = tower_state();
    s.act(&Intent::Edit(EditIntent::Try(brace())));
    let mut harness = bench(s, tried::ui, [1200.0, 170.0]);
    let words = "leaves the diagonals A1-B1 of main out from the start";
    assert!(harness.query_all_by_label_contains(words).next().is_some());
    assert!(harness.query_all_by_label_contains("not saved").next().is_some());
    harness.get_by_label("Undo").click();
    harness.run_steps(2);
    harness.get_by_label_contains("take out: ").click();
    harness.run_steps(2);
    let out = &harness.state().out;
    assert!(out.contains(&Intent::Edit(EditIntent::Undo)), "{out:?}");
    assert!(out.contains(&Intent::Edit(EditIntent::TakeOut(0))), "{out:?}");
}

/// What is shown while the change is not judged says so.
#[test]
fn what_is_not_judged_yet_is_said() {
    let mut s = tower_state();
    s.act(&Intent::Edit(EditIntent::Try(brace())));
    let mut harness = bench(s, tried::ui, [1200.0, 170.0]);
    assert!(harness.query_all_by_label_contains("without the last change").next().is_some());
    harness.get_by_label("Judge").click();
    harness.run_steps(2);
    assert!(harness.state().out.contains(&Intent::Edit(EditIntent::Judge)));
}

#[test]
fn two_stages_are_compared_in_the_card() {
    let mut s = tower_state();
    s.act(&Intent::GoToStage(1));
    s.act(&Intent::Pin(Some(1)));
    s.act(&Intent::GoToStage(s.last_stage()));
    let harness = bench(s, card::ui, [420.0, 1600.0]);
    for text in ["Stop comparing with stage 1", "worst post", "at least"] {
        assert!(harness.query_all_by_label_contains(text).next().is_some(), "{text}");
    }
}

#[test]
fn a_job_of_the_program_has_no_file() {
    assert_eq!(rooms::file_of(Path::new("shipped:starter-tower")), None);
    assert_eq!(rooms::file_of(Path::new("a/b.ron")), Some(PathBuf::from("a/b.ron")));
}

/// What is typed after opening the menu goes into its field, and to no key of the window.
#[test]
fn saving_under_a_name_has_the_keyboard_at_once() {
    let mut harness = bench(tower_state(), tried::ui, [1200.0, 400.0]);
    harness.get_by_label("Save under…").click();
    harness.run_steps(4);
    harness.event(egui::Event::Text("2".to_owned()));
    harness.run_steps(2);
    harness.key_press(egui::Key::Enter);
    harness.run_steps(2);
    let saved = harness.state().out.iter().find_map(|i| match i {
        Intent::Edit(EditIntent::SaveAs(path)) => Some(path.display().to_string()),
        _ => None,
    });
    let saved = saved.expect("it is saved");
    assert!(saved.contains('2'), "{saved}");
}
