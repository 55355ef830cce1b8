//! `standwell expand` prints what can take the place of the sequence.

use super::run::{run, run_in};
use standwell::scene::model::SequenceItem;
use std::path::Path;

#[test]
fn the_expansion_takes_the_place_of_the_sequence() {
    let folder = tempfile::tempdir().unwrap();
    let grid = run(&["grid", "--bays", "3x2"]).stdout;
    std::fs::write(folder.path().join("short.ron"), &grid).unwrap();
    let expanded = run_in(folder.path(), &["expand", "short.ron"]);
    assert_eq!((expanded.status, expanded.stderr.as_str()), (0, ""));

    let at = grid.find("sequence: [").unwrap();
    let long = format!("{}sequence: {})", &grid[..at], expanded.stdout.trim_end());
    let read = match standwell::scene::read(&long, Path::new("long.ron")) {
        Ok(loaded) => loaded.scene,
        Err(problems) => panic!("{problems}\n{long}"),
    };
    // Four posts of the tower and eight more of a 4 by 3 grid, one a step.
    let steps = read.sequence.iter().filter(|item| matches!(item, SequenceItem::Step(_))).count();
    assert_eq!((steps, read.sequence.len()), (12, 12));

    std::fs::write(folder.path().join("long.ron"), &long).unwrap();
    let again = run_in(folder.path(), &["expand", "long.ron"]);
    assert_eq!(again.stderr, "");
    assert_eq!(again.stdout, expanded.stdout);
}

#[test]
fn a_sequence_with_a_slip_is_told_with_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let grid = run(&["grid", "--bays", "2x2"]).stdout;
    let slip = grid.replace("at: \"A1-B2\"", "at: \"A1-Q2\"");
    let line = 1 + slip.lines().position(|line| line.contains("A1-Q2")).unwrap();
    std::fs::write(folder.path().join("slip.ron"), slip).unwrap();
    let ran = run_in(folder.path(), &["expand", "slip.ron"]);
    assert_eq!((ran.status, ran.stdout.as_str()), (2, ""));
    assert!(ran.stderr.starts_with(&format!("slip.ron:{line}:")), "{}", ran.stderr);
}
