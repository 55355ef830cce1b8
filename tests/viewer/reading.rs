//! Files read beside the window: again when they change, the last one asked for, and none that is broken.

use super::plugin::{app, state, wait};
use super::site;
use bevy::app::App;
use standwell::viewer::loading::{Judge, Judged};
use standwell::viewer::vocab::Intent;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// Reads a floor whose size the file tells, or fails.
fn by_file() -> Judge {
    Judge(Arc::new(|path, progress| {
        let text = std::fs::read_to_string(path).map_err(|e| e.to_string())?;
        let bays: u8 =
            text.trim().parse().map_err(|_| format!("{}: not a number", path.display()))?;
        for stage in 0..bays {
            if !progress(usize::from(stage), usize::from(bays)) {
                return Err("cancelled".to_owned());
            }
        }
        Ok(Judged { review: site::review(bays, 2), files: vec![path.to_owned()], text })
    }))
}

/// A window with a floor of two bays, read from a file.
fn opened() -> (tempfile::TempDir, PathBuf, App) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("floor.ron");
    std::fs::write(&file, "2").unwrap();
    let mut app = app(by_file());
    app.world_mut().write_message(Intent::Open(file.clone()));
    wait(&mut app, "first reading", |a| state(a).revision == 1);
    (folder, file, app)
}

#[test]
fn a_file_is_read_again_when_it_changes_and_a_broken_one_keeps_the_last_good() {
    let (folder, file, mut app) = opened();
    assert!(state(&app).problem.is_none());
    // Written beside and renamed, as editors do.
    let beside = folder.path().join("floor.ron.new");
    std::fs::write(&beside, "3").unwrap();
    std::fs::rename(&beside, &file).unwrap();
    wait(&mut app, "second reading", |a| state(a).revision == 2);
    std::fs::write(&file, "three").unwrap();
    wait(&mut app, "the message", |a| state(a).problem.is_some());
    assert_eq!(state(&app).revision, 2, "the last good scene stays");
    assert!(state(&app).problem.as_ref().unwrap().contains("not a number"));
    std::fs::write(&file, "2").unwrap();
    wait(&mut app, "third reading", |a| state(a).revision == 3);
    assert!(state(&app).problem.is_none());
}

/// After a path that does not exist was asked for, the scene on screen is still looked after.
#[test]
fn a_mistyped_path_does_not_take_the_place_of_the_scene_on_screen() {
    let (folder, file, mut app) = opened();
    let other = folder.path().join("flor.ron");
    app.world_mut().write_message(Intent::Open(other.clone()));
    wait(&mut app, "the message", |a| state(a).problem.is_some());
    std::fs::write(&file, "3").unwrap();
    wait(&mut app, "second reading", |a| state(a).revision == 2);
    assert_eq!(state(&app).path.as_deref(), Some(file.as_path()));
    assert!(state(&app).problem.is_none());
    // One that is written after it was asked for is opened.
    app.world_mut().write_message(Intent::Open(other.clone()));
    wait(&mut app, "the message again", |a| state(a).problem.is_some());
    std::fs::write(&other, "2").unwrap();
    wait(&mut app, "the other one", |a| state(a).path.as_deref() == Some(other.as_path()));
}

#[test]
fn a_file_that_is_not_there_is_a_message() {
    let mut app = app(by_file());
    app.world_mut().write_message(Intent::Open("no/such/file.ron".into()));
    wait(&mut app, "the message", |a| state(a).problem.is_some());
    assert!(state(&app).review.is_none() && state(&app).loading.is_none());
}

#[test]
fn the_last_file_asked_for_wins_and_reading_can_be_cancelled() {
    let slow = Judge(Arc::new(|path: &Path, progress: &dyn Fn(usize, usize) -> bool| {
        for k in 0..2000 {
            if !progress(k, 2000) {
                return Err("cancelled".to_owned());
            }
            if path.ends_with("quick") {
                break;
            }
            std::thread::sleep(Duration::from_millis(5));
        }
        Ok(Judged { review: site::review(2, 2), files: Vec::new(), text: String::new() })
    }));
    let mut app = app(slow);
    app.world_mut().write_message(Intent::Open("slow".into()));
    wait(&mut app, "progress", |a| state(a).loading.as_ref().is_some_and(|p| p.done > 2));
    app.world_mut().write_message(Intent::Open("quick".into()));
    wait(&mut app, "the quick one", |a| state(a).review.is_some());
    assert_eq!(state(&app).path.as_deref(), Some(Path::new("quick")));
    app.world_mut().write_message(Intent::Open("slow".into()));
    wait(&mut app, "progress", |a| state(a).loading.is_some());
    app.world_mut().write_message(Intent::CancelLoading);
    wait(&mut app, "the end of it", |a| state(a).loading.is_none());
    assert_eq!(state(&app).path.as_deref(), Some(Path::new("quick")));
}

#[test]
fn a_panic_while_judging_is_a_message() {
    let judge = Judge(Arc::new(|_, _| panic!("a bug")));
    let mut app = app(judge);
    app.world_mut().write_message(Intent::Open("any".into()));
    wait(&mut app, "the message", |a| state(a).problem.is_some());
    assert!(state(&app).problem.as_ref().unwrap().contains("inside the program"));
}
