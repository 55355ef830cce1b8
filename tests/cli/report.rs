//! Text and JSON of a review put together by hand.

use super::sample_review::{files, finding, review};
use super::schema::conforms;
use standwell::cli::Status;
use standwell::findings::{Finding, Severity};
use standwell::report::text::Detail;
use standwell::report::{Report, Selection, Style, Subject, stages, text};
use standwell::units::UnitSystem;

fn stop() -> Finding {
    finding("SW101", Severity::Stop, 0, 1)
}

fn follower() -> Finding {
    Finding { root: Some(0), ..finding("SW301", Severity::FixFirst, 1, 1) }
}

fn unknown() -> Finding {
    Finding { unknown: true, ..finding("SW399", Severity::FixFirst, 2, 2) }
}

fn as_text(findings: Vec<Finding>, selection: Selection, detail: Detail, style: Style) -> String {
    let review = review(findings);
    let subject = Subject {
        review: &review,
        files: &files(),
        selection,
        fail_on: Severity::FixFirst,
        units: UnitSystem::Feet,
        exit_status: 1,
    };
    let mut out = Vec::new();
    text::write(&mut out, &subject, style, detail).unwrap();
    String::from_utf8(out).unwrap()
}

fn plain(findings: Vec<Finding>, selection: Selection) -> String {
    as_text(findings, selection, Detail::default(), Style::plain())
}

#[test]
fn a_root_is_told_whole_and_what_follows_hangs_under_it() {
    let text = plain(vec![stop(), follower()], Selection::default());
    for part in [
        "■ stop  SW101 some-hazard",
        "headline of SW101",
        "after step.0 \"Step number 0\", stages 0 to 1, cured by step.2",
        "least push: 10 lb, must be at least 50 lb",
        "main.post.B1 → main.ledger.A1-B1",
        "connect main.brace.A1-B1.a",
        "Some document, clause 9 (from memory, to be checked)",
        "rests on sample equipment",
        "follows from it (1 fix first):",
        "\n      ▲ fix first  SW301  after step.1",
        "2 findings: 1 stop, 1 fix first; 1 root: 1 stop",
    ] {
        assert!(text.contains(part), "{part:?} in\n{text}");
    }
    assert!(!text.contains("\n▲ fix first"), "the consequence is no root:\n{text}");
}

#[test]
fn cautions_and_sample_data_are_said_once() {
    let text = plain(vec![stop()], Selection::default());
    for part in ["licensed engineer", "invented sample", "could not be judged is not safe"] {
        assert_eq!(text.matches(part).count(), 1, "{part} in\n{text}");
    }
}

#[test]
fn a_consequence_whose_root_is_left_out_is_still_told() {
    // The root stands at stages 0 and 1, the consequence is made to last to stage 2.
    let follower = Finding { last_stage: 2, ..follower() };
    let text = plain(vec![stop(), follower], Selection { stage: Some(2), ..Selection::default() });
    assert!(text.contains("\n▲ fix first  SW301 some-hazard"), "{text}");
    assert!(!text.contains("SW101"), "{text}");
}

#[test]
fn what_is_less_severe_is_left_out_but_never_the_unknown() {
    let selection = Selection { stage: None, from: Severity::Stop };
    let watch = finding("SW601", Severity::Watch, 0, 2);
    let text = plain(vec![stop(), unknown(), watch], selection);
    assert!(text.contains("? unknown  SW399"), "{text}");
    assert!(!text.contains("SW601"), "{text}");
    assert!(text.contains("1 less severe than stop left out"), "{text}");
}

#[test]
fn all_consequences_are_listed_when_asked_for() {
    let many = || std::iter::once(stop()).chain((0..8).map(|_| follower())).collect::<Vec<_>>();
    let few = plain(many(), Selection::default());
    assert!(few.contains("… and 3 more; --all lists them"), "{few}");
    let all = as_text(many(), Selection::default(), Detail { all: true }, Style::plain());
    assert_eq!(all.matches("headline of SW301").count(), 8, "{all}");
    assert!(!all.contains("more; --all"), "{all}");
}

#[test]
fn many_members_are_named_in_full_when_asked_for() {
    let mut finding = stop();
    finding.subjects = (1..=30).map(|n| format!("main.post.B{n}")).collect();
    let few = plain(vec![finding.clone()], Selection::default());
    assert!(few.contains("main.post.B9, and 21 more") && !few.contains("B30"), "{few}");
    let selection = Selection::default();
    let all = as_text(vec![finding], selection, Detail { all: true }, Style::plain());
    assert!(all.contains("main.post.B30"), "{all}");
}

#[test]
fn colour_adds_nothing_but_colour() {
    let findings = || vec![stop(), follower(), unknown()];
    let coloured = as_text(findings(), Selection::default(), Detail::default(), Style::colour());
    assert!(coloured.contains("\x1b["), "there is colour");
    let mut without = String::new();
    let mut rest = coloured.as_str();
    while let Some(at) = rest.find("\x1b[") {
        without.push_str(&rest[..at]);
        rest = &rest[at + rest[at..].find('m').unwrap() + 1..];
    }
    without.push_str(rest);
    assert_eq!(without, plain(findings(), Selection::default()));
}

#[test]
fn stages_say_worst_by_mark_and_word() {
    let review = review(vec![stop(), unknown()]);
    let mut out = Vec::new();
    stages::write(&mut out, &review, Style::plain()).unwrap();
    let text = String::from_utf8(out).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), 5, "{text}");
    assert!(lines[1].contains("■ stop") && lines[1].contains("step.0"), "{text}");
    assert!(lines[1].contains("  0.20 ") && !lines[1].contains('≥'), "{text}");
    assert!(lines[3].contains("? unknown") && lines[3].contains("≥ 0.20"), "{text}");
}

#[test]
fn json_keeps_to_its_schema_and_to_the_same_bytes() {
    let findings = vec![stop(), follower(), unknown()];
    let review = review(findings);
    let subject = Subject {
        review: &review,
        files: &files(),
        selection: Selection::default(),
        fail_on: Severity::FixFirst,
        units: UnitSystem::Metres,
        exit_status: 2,
    };
    let bytes = |()| serde_json::to_string_pretty(&Report::of(&subject)).unwrap();
    let first = bytes(());
    assert_eq!(first, bytes(()));
    let report: serde_json::Value = serde_json::from_str(&first).unwrap();
    conforms(&report);
    assert_eq!(report["report_version"], 1);
    assert_eq!(report["job"]["equipment"]["sample"], true);
    assert_eq!(report["findings"][1]["root"], 0);
    assert_eq!(report["findings"][0]["key"], "SW101:main.post.B1");
    assert_eq!(report["counts"]["unknown"], 1);
    assert_eq!(report["stages"].as_array().unwrap().len(), 3);
}

#[test]
fn a_number_without_limit_keeps_to_the_schema() {
    let mut finding = stop();
    finding.evidence.measures[0].measured = f64::INFINITY;
    let review = review(vec![finding]);
    let subject = Subject {
        review: &review,
        files: &files(),
        selection: Selection::default(),
        fail_on: Severity::FixFirst,
        units: UnitSystem::Metres,
        exit_status: 1,
    };
    let report = serde_json::to_value(Report::of(&subject)).unwrap();
    conforms(&report);
    assert!(report["findings"][0]["measures"][0]["measured"].is_null());
}

#[test]
fn the_status_counts_what_nobody_can_sign_away() {
    let accepted = |finding: Finding| Finding {
        accepted: Some(("looked at it".to_owned(), "somebody".to_owned())),
        ..finding
    };
    let of = |findings: &[Finding]| Status::of(findings, Severity::FixFirst);
    assert_eq!(of(&[]), Status::Clean);
    assert_eq!(of(&[finding("SW601", Severity::Watch, 0, 0)]), Status::Clean);
    assert_eq!(of(&[follower()]), Status::Found);
    assert_eq!(of(&[accepted(follower())]), Status::Clean);
    assert_eq!(of(&[accepted(stop())]), Status::Found);
    assert_eq!(of(&[stop(), unknown()]), Status::Unknown);
    assert_eq!(of(&[accepted(unknown())]), Status::Unknown);
    assert_eq!(Status::of(&[follower()], Severity::Stop), Status::Clean);
    assert_eq!(
        [Status::Clean, Status::Found, Status::Unknown, Status::Usage].map(Status::code),
        [0, 1, 2, 64]
    );
}
