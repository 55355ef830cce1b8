//! What may go wrong around the window: it says so, and no work is lost.

use super::panels::{bench, state, state_of};
use super::plugin::{app, state as now, wait};
use bevy::prelude::*;
use bevy::window::{PrimaryWindow, WindowResolution};
use egui_kittest::kittest::Queryable;
use standwell::scene::keep::{KeepError, unsaved_file};
use standwell::scene::model::ChangeKind;
use standwell::viewer::adapter::{CannotDraw, End, stop};
use standwell::viewer::camera::SceneCamera;
use standwell::viewer::panels::{style, tried};
use standwell::viewer::rooms;
use standwell::viewer::theme::Theme;
use standwell::viewer::trying::NotSaved;
use standwell::viewer::vocab::{EditIntent, Intent};
use std::path::{Path, PathBuf};

fn tower() -> String {
    standwell::cli::shipped::find("starter-tower").unwrap().text.to_owned()
}

/// A window on a file with one change tried and not saved.
fn tried_in_a_file() -> (App, tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tower.ron");
    std::fs::write(&path, tower()).unwrap();
    let mut app = app(rooms::judge());
    app.world_mut().write_message(Intent::Open(path.clone()));
    wait(&mut app, "opening", |a| now(a).review.is_some());
    let change = ChangeKind::TakeOut("main.brace.A1-B1.*".to_owned());
    app.world_mut().write_message(Intent::Edit(EditIntent::Try(change)));
    app.update();
    wait(&mut app, "the change", |a| !now(a).trying.judging && !now(a).trying.stale);
    (app, folder, path)
}

/// The adapter is lost: why is said, the program ends, and the change is kept though what keeps it
/// usually was lost as well.
#[test]
fn a_lost_adapter_ends_the_window_and_keeps_the_work() {
    let (mut app, _folder, path) = tried_in_a_file();
    std::fs::remove_file(unsaved_file(&path)).unwrap();
    let end = End::default();
    app.insert_resource(end.clone());
    stop(app.world_mut(), "device lost".to_owned());
    assert!(unsaved_file(&path).exists());
    assert!(app.should_exit().is_some_and(|e| e.is_error()));
    let why = end.taken().unwrap();
    assert_eq!(why, CannotDraw::Lost("device lost".to_owned()));
    let said = why.to_string();
    assert!(said.contains("device lost") && said.contains("offered again"), "{said}");
    assert_eq!(end.taken(), None);
}

/// Where the work cannot be kept, the message does not promise that it was.
#[test]
fn what_cannot_be_kept_is_said() {
    let (mut app, folder, _path) = tried_in_a_file();
    let end = End::default();
    app.insert_resource(end.clone());
    folder.close().unwrap();
    // A file where the folder was: nothing can be kept there.
    let book = now(&app).trying.book.as_ref().unwrap();
    let gone = book.path().unwrap().parent().unwrap().to_owned();
    std::fs::write(&gone, "").unwrap();
    stop(app.world_mut(), "device lost".to_owned());
    let said = end.taken().unwrap().to_string();
    std::fs::remove_file(gone).unwrap();
    assert!(said.contains("could not be kept"), "{said}");
}

/// The file is deleted while its scene is open: the scene stays, and saving asks first.
#[test]
fn a_file_deleted_while_open_is_said_and_nothing_is_lost() {
    let (mut app, _folder, path) = tried_in_a_file();
    std::fs::remove_file(&path).unwrap();
    wait(&mut app, "the news", |a| now(a).trying.not_saved.is_some());
    let (scene, work) = (now(&app).review.is_some(), now(&app).trying.is_unsaved());
    assert!(scene && work && unsaved_file(&path).exists());
    app.world_mut().write_message(Intent::Edit(EditIntent::Save));
    app.update();
    let refused = now(&app).trying.not_saved.clone().unwrap();
    assert!(refused.may_overwrite && refused.why.contains("taken away"), "{}", refused.why);
    assert!(!path.exists());
    app.world_mut().write_message(Intent::Edit(EditIntent::SaveAnyway));
    app.update();
    assert!(now(&app).trying.not_saved.is_none());
    assert!(std::fs::read_to_string(&path).unwrap().contains("TakeOut"));
}

/// Without work of one's own, a deleted file is a message over the last good scene.
#[test]
fn a_file_deleted_under_a_scene_that_is_only_looked_at_is_a_message() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("tower.ron");
    std::fs::write(&path, tower()).unwrap();
    let mut app = app(rooms::judge());
    app.world_mut().write_message(Intent::Open(path.clone()));
    wait(&mut app, "opening", |a| now(a).review.is_some());
    std::fs::remove_file(&path).unwrap();
    wait(&mut app, "the message", |a| now(a).problem.is_some());
    assert!(now(&app).review.is_some());
    let said = now(&app).problem.clone().unwrap();
    assert!(said.contains("tower.ron"), "{said}");
}

/// A full disk: the message stands in the dock, the change stays in the book.
#[test]
fn a_full_disk_is_said_and_the_change_stays() {
    let mut s = state_of(&tower());
    s.trying.open(standwell::scene::book::Book::new(None, tower()));
    let change = ChangeKind::TakeOut("main.brace.A1-B1.*".to_owned());
    s.act(&Intent::Edit(EditIntent::Try(change)));
    let full = KeepError::Full { path: "job.ron".into() };
    s.trying.not_saved = Some(NotSaved::of(&full, None));
    assert!(!s.trying.not_saved.as_ref().unwrap().may_overwrite, "saying so would not help");
    assert!(s.trying.is_unsaved());
    let harness = bench(s, tried::ui, [1200.0, 170.0]);
    assert!(harness.query_all_by_label_contains("the disk is full").next().is_some());
    assert!(harness.query_all_by_label_contains("diagonals A1-B1 of main").next().is_some());
}

/// The same with a disk that is full in truth: a device on which nothing can be written.
#[cfg(target_os = "linux")]
#[test]
fn a_device_that_takes_nothing_is_said() {
    let full = |file: &mut std::fs::File, bytes: &[u8]| {
        use std::io::Write;
        file.write_all(&bytes[..1])?;
        std::fs::OpenOptions::new().write(true).open("/dev/full")?.write_all(bytes)
    };
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ron");
    std::fs::write(&path, "old").unwrap();
    let expect = standwell::scene::keep::Expect::Anything;
    let failed = standwell::scene::keep::write_with(&path, "new", &expect, full).unwrap_err();
    assert!(matches!(failed, KeepError::Full { .. }), "{failed}");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "old");
}

/// A window made as small as nothing, and large again.
#[test]
fn a_window_resized_to_nothing_comes_back() {
    let mut app = super::plugin::showing((*state().review.unwrap()).clone());
    let scene = |app: &mut App| {
        let mut cameras = app.world_mut().query_filtered::<&Camera, With<SceneCamera>>();
        let camera = cameras.single(app.world()).unwrap();
        (camera.is_active, camera.viewport.as_ref().map(|v| v.physical_size))
    };
    for (wide, high) in [(1600, 1000), (0, 0), (1, 1), (3, 900), (900, 3), (1600, 1000)] {
        let mut windows = app.world_mut().query_filtered::<&mut Window, With<PrimaryWindow>>();
        let mut window = windows.single_mut(app.world_mut()).unwrap();
        window.resolution = WindowResolution::new(wide, high);
        for _ in 0..4 {
            app.update();
        }
        let (active, size) = scene(&mut app);
        if wide == 1600 {
            assert!(active);
        }
        if active {
            let size = size.unwrap();
            assert!(size.x >= 8 && size.y >= 8 && size.x <= wide && size.y <= high, "{size:?}");
        }
        assert!(now(&app).review.is_some());
    }
}

/// The typefaces are part of the program. What they lack the others behind them have: every sign
/// that the window's own text uses is there, and a title in any script is no reason to stop.
#[test]
fn no_sign_of_the_window_is_missing_from_its_typefaces() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/viewer");
    let mut used = std::collections::BTreeSet::new();
    let mut folders = vec![folder];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let text = std::fs::read_to_string(path).unwrap();
            let code = text.lines().filter(|l| !l.trim_start().starts_with("//"));
            used.extend(code.flat_map(str::chars).filter(|c| !c.is_ascii()));
        }
    }
    assert!(used.contains(&'▶') && used.len() > 10, "{used:?}");
    let theme = Theme::shipped().unwrap();
    let ctx = egui::Context::default();
    let mut missing: Vec<char> = Vec::new();
    for pass in 0..2 {
        let output = ctx.run_ui(egui::RawInput::default(), |ui| {
            if pass == 0 {
                style::apply(ui.ctx(), theme.palette(Default::default()), &theme.text);
                style::set_fonts(ui.ctx());
                return;
            }
            // What has no letter is drawn as the replacement, which nobody's letter looks like.
            let drawn = |c: char, family: egui::FontFamily| {
                let font = egui::FontId::new(14.0, family);
                let layout = |fonts: &mut egui::epaint::FontsView<'_>| {
                    let galley = fonts.layout_no_wrap(c.to_string(), font, egui::Color32::WHITE);
                    galley.rows[0].row.glyphs.first().map(|g| g.uv_rect)
                };
                ui.ctx().fonts_mut(layout)
            };
            for family in [egui::FontFamily::Proportional, style::strong()] {
                let nobody = drawn('\u{10FFFF}', family.clone());
                let lacks = |c: &&char| drawn(**c, family.clone()) == nobody;
                missing.extend(used.iter().filter(lacks));
            }
            ui.label("楼板 перекрытие بلاطة 🏗");
        });
        drop(output);
    }
    assert_eq!(missing, Vec::<char>::new());
}
