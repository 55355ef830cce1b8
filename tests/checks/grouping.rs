//! Observations of single stages become findings: over stages, over growing groups, root and
//! consequence, accepted ones.

use standwell::checks::{REGISTER, Seeing};
use standwell::findings::{Dimension, Finding, Group, Measure, Observation, Severity};
use standwell::review::merge;
use standwell::scene::model::Acceptance;
use std::collections::BTreeSet;
use std::sync::Arc;

fn names(list: &str) -> Vec<String> {
    list.split_whitespace().map(str::to_owned).collect()
}

fn see(code: &str, severity: Severity, subjects: &str) -> Seeing {
    let hazard = REGISTER.iter().position(|h| h.code == code).unwrap();
    Seeing {
        hazard,
        observation: Arc::new(Observation::new(
            severity,
            format!("{code} {subjects}"),
            names(subjects),
        )),
    }
}

fn caused(mut seeing: Seeing, cause: &str) -> Seeing {
    Arc::make_mut(&mut seeing.observation).cause = Some(cause.to_owned());
    seeing
}

fn loose(subjects: &str) -> Seeing {
    let mut seeing = caused(see("SW101", Severity::Stop, subjects), "line:main:C:y");
    Arc::make_mut(&mut seeing.observation).group = Group::Joins("y".to_owned());
    seeing
}

fn widens(code: &str, severity: Severity, subjects: &str) -> Seeing {
    let mut seeing = see(code, severity, subjects);
    Arc::make_mut(&mut seeing.observation).group = Group::Widens("all".to_owned());
    seeing
}

fn measured(mut seeing: Seeing, measured: f64, limit: f64) -> Seeing {
    Arc::make_mut(&mut seeing.observation).evidence.measures.push(Measure {
        what: "load".to_owned(),
        measured,
        limit: Some(limit),
        at_least: false,
        dimension: Dimension::Force,
    });
    seeing
}

fn put_together_with(stages: &[Vec<Seeing>], accepted: &[Acceptance]) -> Vec<Finding> {
    let steps: Vec<String> = (0..stages.len()).map(|i| format!("s{i}")).collect();
    let steps: Vec<&str> = steps.iter().map(String::as_str).collect();
    let subset = |_: usize, seeds: &BTreeSet<String>, of: &BTreeSet<String>| of.is_subset(seeds);
    merge(stages, &steps, accepted, &subset)
}

fn put_together(stages: &[Vec<Seeing>]) -> Vec<Finding> {
    put_together_with(stages, &[])
}

/// Code, subjects, from, last, root's position.
fn short(findings: &[Finding]) -> Vec<(String, String, usize, usize, Option<usize>)> {
    findings
        .iter()
        .map(|f| (f.code.clone(), f.subjects.join(" "), f.from_stage, f.last_stage, f.root))
        .collect()
}

fn row(
    code: &str,
    subjects: &str,
    from: usize,
    last: usize,
    root: Option<usize>,
) -> (String, String, usize, usize, Option<usize>) {
    (code.to_owned(), subjects.to_owned(), from, last, root)
}

#[test]
fn the_same_in_consecutive_stages_is_one_finding_with_the_step_that_cures_it() {
    let one = || vec![see("SW501", Severity::FixFirst, "main.post.A1")];
    let findings = put_together(&[vec![], one(), one(), vec![], vec![]]);
    assert_eq!(short(&findings), [row("SW501", "main.post.A1", 1, 2, None)]);
    assert_eq!(findings[0].from_step, "s1");
    assert_eq!(findings[0].cured_by.as_deref(), Some("s3"));
}

#[test]
fn what_stays_to_the_end_is_cured_by_nothing_and_what_comes_again_is_another() {
    let one = || vec![see("SW501", Severity::FixFirst, "main.post.A1")];
    let findings = put_together(&[one(), vec![], one()]);
    assert_eq!(
        short(&findings),
        [row("SW501", "main.post.A1", 0, 0, None), row("SW501", "main.post.A1", 2, 2, None)]
    );
    assert_eq!(findings[1].cured_by, None);
}

#[test]
fn severity_is_the_worst_and_the_evidence_is_of_the_first_worst_stage() {
    let at = |severity, load| vec![measured(see("SW202", severity, "main.post.A1"), load, 10.0)];
    let findings = put_together(&[
        at(Severity::Watch, 9.5),
        at(Severity::Stop, 12.0),
        at(Severity::Stop, 12.0),
        at(Severity::Watch, 9.0),
    ]);
    assert_eq!(short(&findings), [row("SW202", "main.post.A1", 0, 3, None)]);
    assert_eq!(findings[0].severity, Severity::Stop);
    assert_eq!(findings[0].evidence.measures[0].measured, 12.0);
    assert!(findings[0].evidence.notes[0].contains("s1"), "{:?}", findings[0].evidence.notes);
}

#[test]
fn a_loose_line_that_grows_is_one_root_and_later_posts_hang_under_it() {
    let findings = put_together(&[
        vec![loose("main.post.C4")],
        vec![loose("main.post.C4 main.post.C5")],
        vec![loose("main.post.C4 main.post.C5 main.post.C6")],
        vec![],
    ]);
    assert_eq!(
        short(&findings),
        [
            row("SW101", "main.post.C4", 0, 2, None),
            row("SW101", "main.post.C5", 1, 2, Some(0)),
            row("SW101", "main.post.C6", 2, 2, Some(0)),
        ]
    );
    assert_eq!(findings[1].headline.split(':').next(), Some("C5 joins C4"));
}

#[test]
fn a_post_that_stays_loose_after_the_first_is_held_becomes_a_root_of_its_own() {
    let findings = put_together(&[
        vec![loose("main.post.C4")],
        vec![loose("main.post.C4 main.post.C5")],
        vec![loose("main.post.C5")],
    ]);
    assert_eq!(
        short(&findings),
        [row("SW101", "main.post.C4", 0, 1, None), row("SW101", "main.post.C5", 1, 2, None)]
    );
}

#[test]
fn two_loose_lines_are_two_roots_and_their_posts_in_the_other_direction_do_not_mix() {
    let mut along_x = caused(see("SW101", Severity::Stop, "main.post.C4"), "line:main:4:x");
    Arc::make_mut(&mut along_x.observation).group = Group::Joins("x".to_owned());
    let findings =
        put_together(&[vec![along_x, loose("main.post.C4")], vec![loose("main.post.C4")]]);
    assert_eq!(
        short(&findings),
        [row("SW101", "main.post.C4", 0, 0, None), row("SW101", "main.post.C4", 0, 1, None)]
    );
}

#[test]
fn what_shares_the_cause_hangs_under_the_first_in_the_register() {
    let push = || caused(see("SW302", Severity::Stop, "main.post.D4"), "line:main:C:y");
    let critical = || caused(see("SW301", Severity::Stop, "main.post.D4"), "line:main:C:y");
    let findings = put_together(&[
        vec![loose("main.post.C4"), critical(), push()],
        vec![loose("main.post.C4"), critical(), push()],
    ]);
    assert_eq!(
        short(&findings),
        [
            row("SW101", "main.post.C4", 0, 1, None),
            row("SW301", "main.post.D4", 0, 1, Some(0)),
            row("SW302", "main.post.D4", 0, 1, Some(0)),
        ]
    );
}

#[test]
fn another_cause_makes_another_root() {
    let other = caused(see("SW302", Severity::Stop, "main.post.F1"), "line:main:F:y");
    let findings = put_together(&[vec![loose("main.post.C4"), other]]);
    assert_eq!(findings.iter().filter(|f| f.root.is_none()).count(), 2);
}

#[test]
fn a_consequence_that_outlives_its_root_is_a_root() {
    let push = || caused(see("SW302", Severity::Stop, "main.post.C4"), "line:main:C:y");
    let findings = put_together(&[vec![loose("main.post.C4"), push()], vec![push()]]);
    assert_eq!(
        short(&findings),
        [row("SW101", "main.post.C4", 0, 0, None), row("SW302", "main.post.C4", 0, 1, None)]
    );
}

#[test]
fn what_hangs_only_on_members_of_an_earlier_finding_follows_from_it() {
    let findings = put_together(&[
        vec![loose("main.post.C4 main.post.C5")],
        vec![loose("main.post.C4 main.post.C5"), see("SW302", Severity::FixFirst, "main.post.C5")],
    ]);
    assert_eq!(
        short(&findings),
        [
            row("SW101", "main.post.C4 main.post.C5", 0, 1, None),
            row("SW302", "main.post.C5", 1, 1, Some(0)),
        ]
    );
}

#[test]
fn a_fault_that_does_not_follow_stays_a_root_though_its_member_is_in_a_loose_group() {
    // A missing clip is no consequence of a loose line, whatever it hangs on.
    let findings = put_together(&[vec![
        loose("main.ledger.B4-C4 main.post.C4"),
        see("SW402", Severity::Stop, "main.ledger.B4-C4"),
    ]]);
    assert!(findings.iter().all(|f| f.root.is_none()), "{:?}", short(&findings));
}

#[test]
fn the_missing_clip_is_the_root_of_the_tipping_ledger() {
    let clip = caused(see("SW402", Severity::Stop, "main.ledger.L4-M4"), "overhang:l");
    let tips = caused(see("SW401", Severity::Stop, "main.ledger.L4-M4"), "overhang:l");
    let findings = put_together(&[vec![tips, clip]]);
    assert_eq!(
        short(&findings),
        [
            row("SW401", "main.ledger.L4-M4", 0, 0, Some(1)),
            row("SW402", "main.ledger.L4-M4", 0, 0, None),
        ]
    );
}

#[test]
fn a_kind_of_part_is_one_finding_however_many_come_in() {
    let findings = put_together(&[
        vec![widens("SW508", Severity::Note, "p1")],
        vec![widens("SW508", Severity::Note, "p1 p2")],
        vec![widens("SW508", Severity::Note, "p2 p3")],
    ]);
    assert_eq!(short(&findings), [row("SW508", "p1 p2 p3", 0, 2, None)]);
    assert_eq!(findings[0].headline, "SW508 p1 p2", "the fullest of the worst is shown");
}

#[test]
fn accepted_findings_stay_listed_with_reason_and_name() {
    let accept = |code: &str, members: &str| Acceptance {
        code: code.to_owned(),
        members: names(members),
        by: "M. Sample".to_owned(),
        reason: "propped by hand".to_owned(),
    };
    let stages = [vec![see("SW501", Severity::FixFirst, "a b")]];
    let findings = put_together_with(&stages, &[accept("SW501", "b a")]);
    let want = Some(("propped by hand".to_owned(), "M. Sample".to_owned()));
    assert_eq!(findings[0].accepted, want);
    for other in [accept("SW501", "a"), accept("SW502", "a b"), accept("SW501", "a b c")] {
        assert_eq!(put_together_with(&stages, &[other])[0].accepted, None);
    }
}

#[test]
fn findings_sort_by_severity_then_stage_then_code_then_subjects() {
    let findings = put_together(&[
        vec![see("SW503", Severity::FixFirst, "z"), see("SW508", Severity::Note, "z")],
        vec![
            see("SW504", Severity::Stop, "z"),
            see("SW501", Severity::FixFirst, "b"),
            see("SW501", Severity::FixFirst, "a"),
        ],
    ]);
    let order: Vec<String> =
        findings.iter().map(|f| format!("{} {}", f.code, f.subjects.join(" "))).collect();
    assert_eq!(order, ["SW504 z", "SW503 z", "SW501 a", "SW501 b", "SW508 z"]);
}

#[test]
fn what_is_seen_again_in_the_same_way_is_one_thing_and_gives_the_same_findings() {
    let stages = [
        vec![see("SW101", Severity::Stop, "a"), loose("a b"), widens("SW508", Severity::Note, "p")],
        vec![
            see("SW101", Severity::Stop, "a"),
            loose("a b"),
            widens("SW508", Severity::Note, "p q"),
        ],
        vec![see("SW101", Severity::Watch, "a"), loose("a b c")],
        vec![see("SW101", Severity::Stop, "a"), see("SW101", Severity::Stop, "b")],
        vec![see("SW101", Severity::Stop, "a"), loose("a b c")],
    ];
    let mut shared = stages.clone();
    let mut common = Vec::new();
    for k in 1..shared.len() {
        let (before, rest) = shared.split_at_mut(k);
        Seeing::share(&mut rest[0], &before[k - 1]);
        let is_common =
            |s: &&Seeing| before[k - 1].iter().any(|o| Arc::ptr_eq(&o.observation, &s.observation));
        common.push(rest[0].iter().filter(is_common).count());
    }
    assert_eq!(common, [2, 0, 0, 1]);
    assert_eq!(shared, stages);
    assert_eq!(put_together(&shared), put_together(&stages));
}
