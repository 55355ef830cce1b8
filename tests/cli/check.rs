//! Judging jobs from the command line, and what a script gets to know.

use super::run::{Ran, program, ran, run, run_in};
use super::schema::conforms;
use serde_json::Value;
use std::io::Read;
use std::process::Stdio;

/// A grid whose line C is let go without its diagonals, written to `grid.ron`.
fn unbraced(folder: &std::path::Path) {
    let grid = run(&["grid", "--bays", "3x2"]).stdout;
    let bare = grid.replace(
        "id: \"erect\", block: \"main\", from: \"A1-B2\"",
        "id: \"erect\", block: \"main\", from: \"A1-B2\", skip: [\"brace.C1-C2.*\"]",
    );
    assert_ne!(grid, bare);
    std::fs::write(folder.join("grid.ron"), bare).unwrap();
}

fn json(ran: &Ran) -> Value {
    let report = serde_json::from_str(&ran.stdout).unwrap();
    conforms(&report);
    report
}

#[test]
fn a_sound_tower_is_0() {
    let ran = run(&["check", "starter-tower", "--format", "json"]);
    assert_eq!((ran.status, ran.stderr.as_str()), (0, ""), "{}", ran.stdout);
    let report = json(&ran);
    assert_eq!(report["exit_status"], 0);
    assert_eq!(report["files"][0]["path"], "shipped:starter-tower");
    assert_eq!(report["files"][0]["sha256"].as_str().unwrap().len(), 64);
    assert_eq!(report["stages"].as_array().unwrap().len(), 4);
}

#[test]
fn a_line_without_bracing_is_1_and_only_from_the_chosen_severity_up() {
    let folder = tempfile::tempdir().unwrap();
    unbraced(folder.path());
    let found = run_in(folder.path(), &["check", "grid.ron", "--format", "json"]);
    assert_eq!(found.status, 1, "{}{}", found.stdout, found.stderr);
    let report = json(&found);
    assert_eq!(report["exit_status"], 1);
    let first = &report["findings"][0];
    assert_eq!((first["code"].as_str(), first["severity"].as_str()), (Some("SW101"), Some("stop")));
    assert!(first["cures"].as_array().is_some_and(|cures| !cures.is_empty()), "{first:#}");

    let text = run_in(folder.path(), &["check", "grid.ron"]);
    assert_eq!(text.status, 1);
    for part in ["■ stop  SW101 post-not-held", "invented sample", "cure", "source"] {
        assert!(text.stdout.contains(part), "{part} in\n{}", text.stdout);
    }
}

#[test]
fn a_stage_is_named_by_its_step_or_its_number() {
    let folder = tempfile::tempdir().unwrap();
    unbraced(folder.path());
    let at = |stage: &str| {
        run_in(folder.path(), &["check", "grid.ron", "--format", "json", "--stage", stage])
    };
    // The tower alone is braced; what comes after it is not.
    let tower = at("tower.B2");
    assert_eq!(tower.status, 0, "{}", tower.stdout);
    assert_eq!(json(&tower)["asked"]["stage"], 3);
    assert_eq!(at("3").stdout, tower.stdout);
    assert_eq!(at("11").status, 1, "{}", at("11").stdout);

    let none = at("erect.C9");
    assert_eq!((none.status, none.stdout.as_str()), (64, ""));
    assert!(none.stderr.contains("did you mean"), "{}", none.stderr);
    assert_eq!(at("12").status, 64);
}

#[test]
fn what_cannot_be_judged_is_2_even_where_something_is_found() {
    // A bay that no ledger fits cannot be laid out; the rest of the job still falls.
    let folder = tempfile::tempdir().unwrap();
    unbraced(folder.path());
    let text = std::fs::read_to_string(folder.path().join("grid.ron")).unwrap();
    let gap = text.replacen("every: \"6 ft\"", "bays: [\"6 ft\", \"6 ft\", \"7 ft\"]", 1);
    assert_ne!(gap, text);
    std::fs::write(folder.path().join("gap.ron"), gap).unwrap();
    let ran = run_in(folder.path(), &["check", "gap.ron", "--format", "json", "--from", "stop"]);
    assert_eq!(ran.status, 2, "{}{}", ran.stdout, ran.stderr);
    let report = json(&ran);
    let findings = report["findings"].as_array().unwrap();
    assert!(findings.iter().any(|f| f["unknown"] == true), "the unknown is never left out");
    assert!(findings.iter().any(|f| f["severity"] == "stop"), "{:#}", report["counts"]);
}

#[test]
fn standard_output_is_the_same_with_progress_and_on_any_number_of_threads() {
    let folder = tempfile::tempdir().unwrap();
    unbraced(folder.path());
    let plain = run_in(folder.path(), &["check", "grid.ron", "--format", "json"]);
    assert_eq!(plain.stderr, "", "nothing on standard error where it is no terminal");
    let args = ["check", "grid.ron", "--format", "json", "--progress"];
    let shown = run_in(folder.path(), &args);
    assert!(shown.stderr.contains("judged 12 of 12 stages"), "{}", shown.stderr);
    assert_eq!(shown.stdout, plain.stdout);
    for threads in ["1", "2", "5"] {
        let mut command = program(folder.path());
        let output = command.args(args).env("RAYON_NUM_THREADS", threads).output().unwrap();
        assert_eq!(ran(output).stdout, plain.stdout, "{threads} threads");
    }
}

#[test]
fn units_can_be_chosen() {
    let folder = tempfile::tempdir().unwrap();
    unbraced(folder.path());
    let shown = |units: &str| {
        run_in(folder.path(), &["check", "grid.ron", "--units", units, "--all"]).stdout
    };
    let (feet, metres) = (shown("feet"), shown("metres"));
    assert!(feet.contains(" lb"), "{feet}");
    assert!(metres.contains(" N") && !metres.contains(" lb,"), "{metres}");
}

#[test]
fn a_reader_that_stops_does_not_change_the_status() {
    let folder = tempfile::tempdir().unwrap();
    unbraced(folder.path());
    let mut child = program(folder.path())
        .args(["check", "grid.ron", "--format", "json"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let status = child.wait().unwrap();
    let mut said = String::new();
    child.stderr.take().unwrap().read_to_string(&mut said).unwrap();
    assert_eq!((status.code(), said.as_str()), (Some(1), ""));
}

#[test]
fn a_job_without_sequence_says_what_was_not_judged() {
    let folder = tempfile::tempdir().unwrap();
    let args = ["grid", "--bays", "2x2", "--no-sequence", "--out", "finished.ron"];
    assert_eq!(run_in(folder.path(), &args).status, 0);
    let ran = run_in(folder.path(), &["check", "finished.ron"]);
    assert!(ran.stdout.contains("how it goes up was not judged"), "{}", ran.stdout);
    let stages = run_in(folder.path(), &["stages", "finished.ron"]);
    assert_eq!(stages.stdout.lines().filter(|line| line.contains("finished")).count(), 2);
}

#[test]
fn a_grid_of_the_program_has_no_finding_above_watch() {
    let folder = tempfile::tempdir().unwrap();
    for (bays, spacing, height) in
        [("3x2", "6 ft", "9 ft"), ("1x1", "6 ft", "8 ft"), ("5x4", "6 ft x 8 ft", "9 ft 6 in")]
    {
        let name = format!("{bays}.ron");
        let args = ["grid", "--bays", bays, "--spacing", spacing, "--height", height];
        std::fs::write(folder.path().join(&name), run(&args).stdout).unwrap();
        let ran = run_in(folder.path(), &["check", &name]);
        assert_eq!(ran.status, 0, "{bays} {spacing} {height}\n{}{}", ran.stdout, ran.stderr);
    }
}

#[test]
fn stages_list_every_step_with_its_worst() {
    let folder = tempfile::tempdir().unwrap();
    unbraced(folder.path());
    let ran = run_in(folder.path(), &["stages", "grid.ron"]);
    assert_eq!((ran.status, ran.stderr.as_str()), (1, ""));
    assert_eq!(ran.stdout.lines().count(), 14, "{}", ran.stdout);
    assert!(ran.stdout.contains("numbers are from memory"), "{}", ran.stdout);
    assert!(ran.stdout.contains("tower.A1"), "{}", ran.stdout);
    assert!(ran.stdout.lines().any(|line| line.contains("■ stop")), "{}", ran.stdout);
}

#[test]
fn without_a_command_or_a_display_the_demo_is_reviewed_and_the_status_is_0() {
    let demo = run(&[]);
    assert_eq!(demo.status, 0, "{}", demo.stderr);
    assert_eq!(demo.stderr.lines().count(), 1, "{}", demo.stderr);
    assert!(demo.stdout.contains("■ stop"), "the demo has faults");
    let check = run(&["check"]);
    assert_eq!(check.status, 1, "the same review has its own status");
    assert_eq!(check.stdout, demo.stdout);
    assert_eq!(run(&["view", "starter-tower"]).status, 2, "a window that was asked for");

    let folder = tempfile::tempdir().unwrap();
    let dead = program(folder.path()).env("DISPLAY", ":31337").output().unwrap();
    let dead = ran(dead);
    assert_eq!((dead.status, dead.stderr.lines().count()), (0, 1), "{}", dead.stderr);
    assert_eq!(dead.stdout, check.stdout);
}
