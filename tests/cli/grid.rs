//! `standwell grid` writes jobs that read back.

use super::run::{run, run_in};
use standwell::scene::Scene;
use standwell::scene::model::SequenceItem;
use std::path::Path;

fn read(text: &str) -> Scene {
    match standwell::scene::read(text, Path::new("grid.ron")) {
        Ok(loaded) => loaded.scene,
        Err(problems) => panic!("{problems}\n{text}"),
    }
}

#[test]
fn a_grid_has_the_lines_that_were_asked_for() {
    let ran = run(&["grid", "--bays", "12x8"]);
    assert_eq!(ran.status, 0, "{}", ran.stderr);
    let scene = read(&ran.stdout);
    let block = &scene.blocks[0];
    assert_eq!((block.x.lines.as_str(), block.y.lines.as_str()), ("A..M", "1..9"));
    assert!(matches!(&scene.sequence[..], [SequenceItem::Tower(_), SequenceItem::Erect(_)]));
}

#[test]
fn spacing_and_height_are_kept_as_written() {
    let ran = run(&["grid", "--bays", "2x3", "--spacing", "8 ft x 4 ft", "--height", "3.2 m"]);
    let scene = read(&ran.stdout);
    let block = &scene.blocks[0];
    assert!((block.x.every.unwrap().si() - 8.0 * 0.3048).abs() < 1e-12);
    assert!((block.y.every.unwrap().si() - 4.0 * 0.3048).abs() < 1e-12);
    assert!((block.head.si() - 3.2).abs() < 1e-12);
    assert!(ran.stdout.contains("\"3.2 m\""), "{}", ran.stdout);
    assert!(read(&run(&["grid", "--bays", "1x1", "--no-sequence"]).stdout).sequence.is_empty());
}

#[test]
fn lines_beyond_the_alphabet_have_names_of_their_own() {
    let scene = read(&run(&["grid", "--bays", "40x2"]).stdout);
    let names: Vec<&str> = scene.blocks[0].x.lines.split(' ').collect();
    assert_eq!(names.len(), 41);
    assert_eq!((names[0], names[25], names[26], names[40]), ("AA", "AZ", "BA", "BO"));
}

#[test]
fn a_file_that_is_there_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("job.ron");
    let args = ["grid", "--bays", "2x2", "--out", "job.ron"];
    let ran = run_in(folder.path(), &args);
    assert_eq!((ran.status, ran.stdout.as_str()), (0, ""), "{}", ran.stderr);
    let first = std::fs::read_to_string(&file).unwrap();
    assert_eq!(read(&first).blocks.len(), 1);

    std::fs::write(&file, "mine").unwrap();
    let ran = run_in(folder.path(), &args);
    assert_eq!(ran.status, 2, "{}", ran.stderr);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "mine");
}
