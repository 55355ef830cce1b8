//! `permit`, `walk` and `lesson` as a person meets them.

use super::run::{Ran, program, ran, run, run_in};
use std::io::Write;
use std::path::Path;
use std::process::Stdio;

fn root(path: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(path)).unwrap()
}

/// The issuable job of the permit's own tests, with everything inspected.
fn job() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    put("job.ron", &root("tests/permit/job.ron"));
    put("own.ron", &root("assets/equipment/sample.ron").replace("sample: true", "sample: false"));
    let mut record = String::from(
        "(format: 1, drawing: (number: \"F-01\", revision: \"B\"), inspections: [\n\
         (parts: [\"main.*\"], by: \"R. Sample\", on: \"2026-03-09\", drawing: \"B\", sound: true, fixed: true,\n\
         pin_home: true, collar_home: true, out_of_plumb: \"4 mm\")], releases: [\n",
    );
    for point in ["ground", "built-to-drawing", "bracing", "deck-and-edge", "placing-plan"] {
        record.push_str(&format!(
            "(point: \"{point}\", by: \"R. Sample\", on: \"2026-03-09\", evidence: [\"looked\"]),\n"
        ));
    }
    record.push_str("])\n");
    put("job.asbuilt.ron", &record);
    folder
}

#[test]
fn a_permit_is_drafted_issued_verified_and_voided() {
    let folder = job();
    let go = |args: &[&str]| run_in(folder.path(), args);
    let draft = go(&["permit", "draft", "job.ron", "--for", "load"]);
    assert_eq!(draft.status, 0, "{}{}", draft.stdout, draft.stderr);
    assert!(draft.stdout.contains("a named person has to issue it"), "{}", draft.stdout);
    let issue = [
        "permit",
        "issue",
        "job.ron",
        "--for",
        "load",
        "--by",
        "A. Sample",
        "--on",
        "2026-03-10",
        "--html",
        "sheet.html",
    ];
    let issued = go(&issue);
    assert_eq!(issued.status, 0, "{}{}", issued.stdout, issued.stderr);
    assert!(std::fs::read_to_string(folder.path().join("sheet.html")).unwrap().contains("ISSUED"));
    let file = "job.permit-to-load.json";
    let holds = go(&["permit", "verify", file]);
    assert_eq!(holds.status, 0, "{}{}", holds.stdout, holds.stderr);
    assert!(holds.stdout.starts_with("holds: permit to load"), "{}", holds.stdout);
    let again = go(&issue);
    assert_ne!(again.status, 0, "a permit that is there is kept");
    let path = folder.path().join("own.ron");
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, format!("{text}// a comment\n")).unwrap();
    let void = go(&["permit", "verify", file]);
    assert_eq!(void.status, 1);
    assert!(
        void.stdout.starts_with("VOID") && void.stdout.contains("own.ron was changed"),
        "{}",
        void.stdout
    );
}

#[test]
fn what_ships_is_never_issued() {
    let ran = run(&["permit", "issue", "sound-floor", "--for", "load", "--by", "A. Sample"]);
    assert_eq!(ran.status, 2, "{}", ran.stderr);
    assert!(ran.stderr.contains("not issued"), "{}", ran.stderr);
    let ran = run(&["permit", "draft", "starter-tower", "--for", "strike", "--format", "json"]);
    let permit: serde_json::Value = serde_json::from_str(&ran.stdout).unwrap();
    assert_eq!(permit["issue"], serde_json::Value::Null);
    assert_eq!(ran.status, 2);
}

#[test]
fn a_walk_is_printed_and_ticked_off() {
    let folder = job();
    std::fs::remove_file(folder.path().join("job.asbuilt.ron")).unwrap();
    let go = |args: &[&str]| run_in(folder.path(), args);
    let walk = go(&["walk", "job.ron"]);
    assert_eq!(walk.status, 1, "{}", walk.stderr);
    assert!(
        walk.stdout.contains("[ ]  1") && walk.stdout.contains("hold:ground"),
        "{}",
        walk.stdout
    );
    let tick = go(&[
        "walk",
        "job.ron",
        "--tick",
        "hold:ground",
        "--by",
        "N. Sample",
        "--on",
        "2026-03-09",
        "--note",
        "dry",
    ]);
    assert!(
        tick.stdout.contains("[x]  1") && tick.stdout.contains("dry"),
        "{}{}",
        tick.stdout,
        tick.stderr
    );
    let fault = go(&["walk", "job.ron", "--fault", "2", "--by", "N. Sample", "--on", "2026-03-09"]);
    assert!(fault.stdout.contains("[!]  2"), "{}{}", fault.stdout, fault.stderr);
    let draft = go(&["permit", "draft", "job.ron", "--for", "load"]);
    assert!(draft.stdout.contains("not in order (N. Sample)"), "{}", draft.stdout);
    assert_eq!(go(&["walk", "job.ron", "--tick", "nowhere", "--by", "N"]).status, 64);
    assert_eq!(go(&["walk", "job.ron", "--tick", "1"]).status, 64, "nobody is named");
}

fn lesson(folder: &Path, args: &[&str], input: &str) -> Ran {
    let mut child = program(folder)
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    ran(child.wait_with_output().unwrap())
}

#[test]
fn a_lesson_is_gone_through_and_its_results_exported() {
    let folder = tempfile::tempdir().unwrap();
    let args = [
        "lesson",
        "first-tower",
        "--trainee",
        "N. Sample",
        "--results",
        "r.jsonl",
        "--on",
        "2026-03-09",
    ];
    let good = lesson(folder.path(), &args, "go\n2\nA1, B1\nnone\n");
    assert_eq!(good.status, 0, "{}{}", good.stdout, good.stderr);
    assert!(good.stdout.contains("4 of 4 right"), "{}", good.stdout);
    let poor = lesson(folder.path(), &args, "stop\n9\n1\nZ9\n?\nA1\n");
    assert_eq!(poor.status, 1);
    for part in [
        "a number from 1 to 3",
        "there is no member",
        "You missed",
        "Left before the end",
        "0 of 3 right",
    ] {
        assert!(poor.stdout.contains(part), "{part} in {}", poor.stdout);
    }
    let csv = run_in(folder.path(), &["lesson", "--csv", "--results", "r.jsonl"]);
    assert_eq!((csv.status, csv.stdout.lines().count()), (0, 8), "{}", csv.stdout);
    assert!(!good.stdout.contains("SW101"), "no codes unless asked: {}", good.stdout);
    let codes = run(&["lesson", "first-tower", "--read", "--codes"]);
    assert!(codes.stdout.contains("SW101"), "{}", codes.stdout);
}

#[test]
fn lessons_are_listed_read_and_made_from_any_scene() {
    let list = run(&["lesson"]);
    assert_eq!((list.status, list.stdout.lines().count()), (0, 6), "{}", list.stdout);
    let read = run(&["lesson", "strip-a-bay", "--read"]);
    assert_eq!(read.status, 0);
    assert!(!read.stdout.contains('✕'), "its own answers are right: {}", read.stdout);
    let any = run(&["lesson", "faulty-floor", "--read"]);
    assert_eq!(any.status, 0, "{}", any.stderr);
    assert!(any.stdout.contains("F1 and F2"), "{}", any.stdout);
    assert_eq!(run(&["lesson", "no-such-lesson"]).status, 2);
}
