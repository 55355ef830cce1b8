//! `standwell changes` lists what is tried; `check` judges with it; `compare` says what it does.

use super::run::{run, run_in};
use crate::changes::with;

fn saved(text: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("job.ron"), text).unwrap();
    folder
}

fn tower() -> String {
    run(&["scenes", "--print", "starter-tower"]).stdout
}

#[test]
fn changes_are_listed_with_what_they_do() {
    let folder = saved(&with(&tower(), &["TakeOut(\"main.brace.A1-B1.a\")"]));
    let ran = run_in(folder.path(), &["changes", "job.ron"]);
    assert_eq!((ran.status, ran.stderr.as_str()), (0, ""));
    assert!(ran.stdout.contains("leaves main.brace.A1-B1.a out from the start"), "{}", ran.stdout);
    assert!(ran.stdout.contains("`omit` of block main"), "{}", ran.stdout);
    let none = run(&["changes", "starter-tower"]);
    assert_eq!((none.status, none.stdout.trim()), (0, "no changes are tried in this job"));
}

#[test]
fn a_change_that_cannot_be_made_is_told_with_its_place() {
    let folder = saved(&with(&tower(), &["TakeOut(\"main.brace.A1-B1.q\")"]));
    let ran = run_in(folder.path(), &["changes", "job.ron"]);
    assert_eq!(ran.status, 2);
    assert!(
        ran.stderr.starts_with("job.ron:") && ran.stderr.contains("changes[0]"),
        "{}",
        ran.stderr
    );
    let ran = run_in(folder.path(), &["check", "job.ron"]);
    assert_eq!(ran.status, 2);
}

#[test]
fn check_judges_with_the_changes_made_and_says_so() {
    let sound = run(&["check", "starter-tower"]);
    let braces = ["A1-B1", "A2-B2"].map(|bay| format!("TakeOut(\"main.brace.{bay}.*\")"));
    let folder = saved(&with(&tower(), &[&braces[0], &braces[1]]));
    let ran = run_in(folder.path(), &["check", "job.ron"]);
    assert_eq!((sound.status, ran.status), (0, 1), "{}{}", ran.stdout, ran.stderr);
    assert!(ran.stdout.contains("tried"), "{}", ran.stdout);
    let json = run_in(folder.path(), &["check", "job.ron", "--format", "json"]).stdout;
    let report: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(report["job"]["changes"][0]["name"], "change 0");
    // And by name what they make worse.
    let compared = run_in(folder.path(), &["compare", "job.ron", "--tried"]);
    assert_eq!(compared.status, 0, "{}", compared.stderr);
    assert!(compared.stdout.contains("better: 0") && !compared.stdout.contains("worse: 0"));
}

#[test]
fn criteria_and_stages_are_compared() {
    let ran = run(&["compare", "starter-tower", "--criteria", "uk-eu"]);
    assert_eq!(ran.status, 0, "{}", ran.stderr);
    assert!(ran.stdout.contains("worse:") && ran.stdout.contains("as before:"), "{}", ran.stdout);
    let ran = run(&["compare", "starter-tower", "--stages", "0", "1"]);
    assert!(ran.stdout.contains("critical load factor"), "{}", ran.stdout);
    assert_eq!(run(&["compare", "starter-tower", "--stages", "0", "99"]).status, 64);
    assert_eq!(run(&["compare", "starter-tower", "--criteria", "nowhere"]).status, 2);
}
