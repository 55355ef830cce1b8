//! Wrong usage, help, and files that are not there.

use super::run::{run, run_in};

#[test]
fn wrong_usage_is_64_and_says_nothing_on_standard_output() {
    for args in [
        &["no-such-command"][..],
        &["check", "--no-such-option"],
        &["check", "--from", "dreadful"],
        &["grid"],
        &["grid", "--bays", "twelve"],
        &["grid", "--bays", "0x3"],
        &["grid", "--bays", "3x3", "--spacing", "6"],
        &["grid", "--bays", "3x3", "--spacing", "-6 ft"],
        &["grid", "--bays", "3x3", "--height", "40 ft"],
        &["explain", "no-such-hazard"],
        &["scenes", "--print", "no-such-job"],
    ] {
        let ran = run(args);
        assert_eq!(ran.status, 64, "{args:?}: {}", ran.stderr);
        assert_eq!(ran.stdout, "", "{args:?}");
        assert!(!ran.stderr.is_empty(), "{args:?} says why");
    }
}

#[test]
fn help_and_version_are_results() {
    for args in [&["--help"][..], &["--version"], &["check", "--help"], &["grid", "--help"]] {
        let ran = run(args);
        assert_eq!((ran.status, ran.stderr.as_str()), (0, ""), "{args:?}");
        assert!(!ran.stdout.is_empty(), "{args:?}");
    }
}

#[test]
fn every_command_is_in_the_help() {
    let help = run(&["--help"]).stdout;
    for command in [
        "check", "explain", "stages", "expand", "grid", "view", "schema", "scenes", "permit",
        "walk", "lesson",
    ] {
        assert!(help.contains(&format!("\n  {command}")), "{command} in\n{help}");
    }
}

#[test]
fn a_file_that_is_not_there_could_not_be_judged() {
    for command in ["check", "stages", "expand"] {
        let ran = run(&[command, "missing.ron"]);
        assert_eq!(ran.status, 2, "{command}: {}", ran.stderr);
        assert_eq!(ran.stdout, "", "{command}");
        assert!(ran.stderr.starts_with("missing.ron: "), "{command}: {}", ran.stderr);
    }
}

#[test]
fn problems_come_as_a_report_for_machines() {
    let ran = run(&["check", "missing.ron", "--format", "json"]);
    assert_eq!(ran.status, 2);
    let report: serde_json::Value = serde_json::from_str(&ran.stdout).unwrap();
    assert_eq!(report["exit_status"], 2);
    assert_eq!(report["job"], serde_json::Value::Null);
    assert_eq!(report["problems"][0]["file"], "missing.ron");
}

#[test]
fn a_folder_in_place_of_a_file_could_not_be_judged() {
    let folder = tempfile::tempdir().unwrap();
    let ran = run_in(folder.path(), &["check", "."]);
    assert_eq!(ran.status, 2, "{}", ran.stderr);
    assert_eq!(ran.stdout, "");
}
