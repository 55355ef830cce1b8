//! Writing back, and older formats.

use super::bad_text::problems;
use super::reads::{file, sound};
use standwell::scene::{self, Scene, typed::options};
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every scene file of the project.
fn scenes() -> Vec<PathBuf> {
    let root = root();
    let mut all = Vec::new();
    let mut folders = vec![root.join("scenes"), root.join("tests")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "ron") {
                all.push(path);
            }
        }
    }
    all.sort();
    all
}

#[test]
fn what_is_written_reads_back_equal() {
    let mut count = 0;
    for path in scenes() {
        let loaded = match scene::load(&path) {
            Ok(loaded) => loaded,
            // Among the tests lie files that are no scenes, and scenes that are wrong on purpose.
            Err(_) if !path.starts_with(root().join("scenes")) => continue,
            Err(problems) => panic!("{problems}"),
        };
        let text = scene::write(&loaded.scene).unwrap();
        let back: Scene = options().from_str(&text).unwrap_or_else(|e| panic!("{e}\n{text}"));
        assert_eq!(back, loaded.scene, "{}", path.display());
        let again = scene::read(&text, &path).unwrap_or_else(|p| panic!("{p}"));
        assert_eq!(again.scene, loaded.scene);
        count += 1;
    }
    assert!(count >= 2, "only {count} scenes were written and read");
}

fn format_0() -> PathBuf {
    root().join("tests/scene/formats/0.ron")
}

#[test]
fn the_draft_format_reads() {
    let loaded = scene::load(&format_0()).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(loaded.scene.title, "Draft floor");
    assert_eq!(loaded.scene.crew.size, 4);
    assert_eq!(loaded.scene.format, 1);
    assert!(loaded.source.is_older());
    assert_eq!(loaded.source.file_text(), std::fs::read_to_string(format_0()).unwrap());
}

/// A problem in a file of an older format is where the file has it.
#[test]
fn places_in_an_older_format_are_the_files() {
    let text = std::fs::read_to_string(format_0()).unwrap();
    let bad = text.replace("crew: 4,", "crew: 0,").replace("head: \"9 ft\"", "head: 9");
    let found = problems(&bad);
    let places: Vec<_> = found.iter().map(|p| (p.line, p.column, p.path.as_str())).collect();
    // Line 3 reads `    format: 0, name: "Draft floor", crew: 0,`.
    assert_eq!(places, [(3, 43, "crew.size"), (12, 15, "blocks[0].head")]);
    // A field that only the present format has is unknown in neither.
    let bad = text.replace("crew: 4,", "crw: 4,");
    let found = problems(&bad);
    assert_eq!((found[0].line, found[0].column), (3, 37));
    assert_eq!(found[0].help.as_deref(), Some("did you mean \"crew\"?"));
}

#[test]
fn every_older_format_has_an_example() {
    for format in 0..scene::model::FORMAT {
        let path = format_0().with_file_name(format!("{format}.ron"));
        assert!(path.is_file(), "no example of format {format}");
    }
}

#[test]
fn the_sound_scene_is_of_the_present_format() {
    assert!(sound().contains(&format!("format: {}", scene::model::FORMAT)));
    assert!(!scene::load(&file("sound.ron")).unwrap().source.is_older());
}
