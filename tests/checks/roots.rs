//! Whole floors: what is planted is a root at its step, what follows hangs under it, and the
//! answer is the same on any number of threads.

use standwell::findings::{Finding, Severity};
use standwell::review::{Review, judge, judge_one, was_cancelled};
use standwell::scene::Loaded;
use std::path::Path;

/// Four by three bays, erected from a tower. `block` and `rule` go in as they are.
fn floor(block: &str, rule: &str, more: &str) -> Loaded {
    let text = format!(
        r#"(format: 1, title: "floor", equipment: ["sample"], criteria: "us", crew: (size: 5),
        wind: (working: "25 mph"),
        floors: [(name: "slab", level: "0 m", kind: Slab)],
        blocks: [(name: "main", x: (lines: "A..E", every: "6 ft"), y: (lines: "1..4", every: "6 ft"),
            stands_on: "slab", head: "8 ft", post: "post-10", ledger: ["ledger-6"],
            joist: ["joist-6"], fillers: 2, sheet: "panel-6", brace: "brace", brace_every: 2, {block})],
        sequence: [
            Tower((id: "tower", block: "main", at: "A1-B2")),
            Erect((id: "erect", block: "main", from: "A1-B2", bracing: (every: 2, {rule}))),
            Deck((id: "deck", block: "main")),
        ], {more})"#
    );
    standwell::scene::read(&text, Path::new("floor.ron")).unwrap_or_else(|p| panic!("{p}"))
}

fn judged(loaded: Loaded) -> Review {
    judge(loaded, &|_, _| true).unwrap_or_else(|p| panic!("{p}"))
}

fn short(finding: &Finding) -> String {
    let subjects: Vec<&str> =
        finding.subjects.iter().map(|s| s.trim_start_matches("main.")).collect();
    format!("{} {} {}", finding.code, finding.from_step, subjects.join(" "))
}

/// Roots above *watch*.
fn roots(review: &Review) -> Vec<String> {
    review
        .findings
        .iter()
        .filter(|f| f.root.is_none() && f.severity > Severity::Watch)
        .map(short)
        .collect()
}

#[test]
fn a_floor_whose_lines_are_braced_in_time_has_nothing_above_watch() {
    let review = judged(floor("", "", ""));
    let above: Vec<String> =
        review.findings.iter().filter(|f| f.severity > Severity::Watch).map(short).collect();
    assert!(above.is_empty(), "{above:#?}");
    assert!(review.stages.len() > 30 && review.summaries.iter().all(|s| !s.unknown));
}

#[test]
fn bracing_that_comes_late_is_one_root_a_line_and_later_posts_hang_under_it() {
    let review = judged(floor("", "late_by: 3", ""));
    assert_eq!(
        roots(&review),
        [
            "SW101 erect.C2 post.C1 post.C2",
            "SW101 erect.D2 post.D1 post.D2",
            "SW101 erect.E2 post.E1 post.E2",
            "SW101 erect.B3 post.A3 post.B3",
            "SW101 erect.B4 post.A4 post.B4",
        ]
    );
    let line_3 = review.findings.iter().position(|f| f.from_step == "erect.B3").unwrap();
    let under: Vec<String> =
        review.findings.iter().filter(|f| f.root == Some(line_3)).map(short).collect();
    assert_eq!(
        under,
        ["SW101 erect.C3 post.C3", "SW101 erect.D3 post.D3", "SW101 erect.E3 post.E3"]
    );
    let first = &review.findings[0];
    assert_eq!(first.cured_by.as_deref(), Some("erect.late.C1-C2"));
    assert!(first.cures.contains(&"brace bay C1–C2 on line C".to_owned()), "{:?}", first.cures);
    assert!(first.evidence.motion.is_some());
}

#[test]
fn the_corner_trap_is_found_though_every_post_has_two_ledgers() {
    // Standards reference 6.2: E, G, K each carry two perpendicular ledgers, all connected to a
    // braced tower, and two free motions are left: the line G-K along x, the line E-K along y.
    let text = r#"(format: 1, title: "trap", equipment: ["sample"], criteria: "us", crew: (size: 9),
        floors: [(name: "slab", level: "0 m", kind: Slab)],
        blocks: [(name: "main", x: (lines: "A..C", every: "6 ft"), y: (lines: "1..3", every: "6 ft"),
            stands_on: "slab", head: "8 ft", post: "post-10", ledger: ["ledger-6"],
            joist: ["joist-6"], brace: "brace", braced: ["A1-B1", "A2-B2", "A1-A2", "B1-B2"],
            omit: ["post.C1", "post.A3"])],
        sequence: [
            Tower((id: "tower", block: "main", at: "A1-B2")),
            Step((id: "trap", do: [
                StandUp("main.post.C2"), StandUp("main.post.B3"), StandUp("main.post.C3"),
                Set("main.ledger.B2-C2"), Set("main.joist.B2-B3"),
                Set("main.ledger.B3-C3"), Set("main.joist.C2-C3"), Release("main.post.*"),
            ])),
        ])"#;
    let review = judged(
        standwell::scene::read(text, Path::new("trap.ron")).unwrap_or_else(|p| panic!("{p}")),
    );
    assert_eq!(review.stages.last().unwrap().mechanics.mechanisms.len(), 2);
    assert_eq!(roots(&review), ["SW101 trap post.B3 post.C3", "SW101 trap post.C2 post.C3"]);
    assert!(review.findings.iter().all(|f| f.severity <= Severity::Watch || f.code == "SW101"));
}

#[test]
fn a_fault_that_somebody_accepted_stays_listed_with_its_name() {
    let accepted = r#"accepted: [(code: "SW101", members: ["main.post.C2", "main.post.C1"],
        by: "A. Sample", reason: "guyed by hand")]"#;
    let review = judged(floor("", "late_by: 3", accepted));
    let marked: Vec<String> =
        review.findings.iter().filter(|f| f.accepted.is_some()).map(short).collect();
    assert_eq!(marked, ["SW101 erect.C2 post.C1 post.C2"]);
}

#[test]
fn one_and_many_threads_say_the_same() {
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        // Called on a thread of the pool, which must not wait for itself.
        let review = pool.install(|| judged(floor("", "late_by: 2", "")));
        format!("{:?}\n{:?}\n{:?}", review.findings, review.summaries, review.stages)
    };
    let one = on(1);
    assert!(one == on(3), "findings depend on the number of threads");
    let outside = judged(floor("", "late_by: 2", ""));
    assert!(
        one == format!("{:?}\n{:?}\n{:?}", outside.findings, outside.summaries, outside.stages)
    );
}

#[test]
fn a_stage_judged_alone_is_the_same_as_among_all() {
    let review = judged(floor("", "late_by: 2", ""));
    for (stage, judged) in review.sequence.stages.iter().zip(&review.stages).step_by(7) {
        let alone = judge_one(&review.assembly, &review.pack, stage);
        let (a, b) = (&alone.mechanics, &judged.mechanics);
        assert_eq!(a.mechanisms, b.mechanisms, "{}", stage.step);
        assert_eq!((&a.critical, &a.push), (&b.critical, &b.push), "{}", stage.step);
        assert_eq!((&a.lateral, &a.lifting_feet), (&b.lateral, &b.lifting_feet), "{}", stage.step);
        for (x, y) in a.axial.iter().zip(b.axial.iter()) {
            for (x, y) in [(x.least, y.least), (x.greatest, y.greatest)] {
                assert!((x - y).abs() <= 1e-9 * (1.0 + x.abs()), "{}: {x} {y}", stage.step);
            }
        }
        assert_eq!(alone.loads, judged.loads, "{}", stage.step);
        assert_eq!(alone.equilibrium, judged.equilibrium, "{}", stage.step);
    }
}

#[test]
fn progress_counts_every_stage_and_can_cancel() {
    let counted = std::cell::RefCell::new(Vec::new());
    let review = judge(floor("", "", ""), &|done, total| {
        counted.borrow_mut().push((done, total));
        true
    })
    .unwrap();
    let total = review.stages.len();
    let all: Vec<(usize, usize)> = (0..=total).map(|done| (done, total)).collect();
    assert_eq!(*counted.borrow(), all);
    let stopped = judge(floor("", "", ""), &|done, _| done < 3).unwrap_err();
    assert!(was_cancelled(&stopped), "{stopped}");
}

#[test]
fn the_reserve_of_a_stage_that_moves_freely_is_none_at_all() {
    let review = judged(floor("", "late_by: 3", ""));
    for (summary, stage) in review.summaries.iter().zip(&review.stages) {
        if stage.mechanics.mechanisms.is_empty() {
            assert!(summary.reserve.is_none_or(|r| r > 0.0), "{summary:?}");
        } else {
            assert_eq!(summary.reserve, Some(0.0));
            assert_eq!(summary.worst, Some(Severity::Stop));
        }
    }
}
