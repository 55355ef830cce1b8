//! The lessons that come with the program, held against the review.

use standwell::findings::Severity;
use standwell::lessons::{self, Card, Opened, Replay, SHIPPED};
use std::path::PathBuf;

pub fn opened(name: &str) -> Opened {
    let lesson = lessons::find(name).unwrap();
    lessons::open(lesson.text, &PathBuf::from(format!("shipped:{name}")), &|_, _| true)
        .unwrap_or_else(|p| panic!("{name}: {p}"))
}

#[test]
fn six_lessons_each_under_five_minutes_and_in_plain_words() {
    assert_eq!(SHIPPED.len(), 6);
    assert_eq!((SHIPPED[0].name, SHIPPED[5].name), ("first-tower", "strip-a-bay"));
    for shipped in SHIPPED {
        let (lesson, _) = lessons::read(shipped.text, &PathBuf::from(shipped.name)).unwrap();
        assert_eq!(lesson.name, shipped.name);
        assert!(lesson.minutes <= 5, "{}", lesson.name);
        let mut words = 0;
        for card in &lesson.cards {
            let said = match card {
                Card::Say { text, .. } => text.clone(),
                Card::Mark { question, hint, .. } => format!("{question} {hint}"),
                Card::GoOn { question, .. } => question.clone(),
                Card::Choose { question, choices, .. } => {
                    let all: Vec<String> =
                        choices.iter().map(|c| format!("{} {}", c.text, c.why)).collect();
                    format!("{question} {}", all.join(" "))
                }
                Card::Replay { wrong, right, .. } => format!("{wrong} {right}"),
            };
            words += said.split_whitespace().count();
            for no in ["SW1", "SW4", "SW5", "CFR", "§", "EN 1", "BS ", "ACI", "clause"] {
                assert!(!said.contains(no), "{}: {no} in {said}", lesson.name);
            }
        }
        // 200 words a minute is a common reading speed (common practice, no published source here);
        // questions take half a minute each.
        let asked = lesson.cards.iter().filter(|c| c.question().is_some()).count() as f64;
        let minutes = words as f64 / 200.0 + asked * 0.5;
        assert!(minutes < 5.0, "{}: {minutes}", lesson.name);
        assert!(asked >= 2.0, "{}", lesson.name);
    }
}

#[test]
fn the_planted_fault_is_what_the_review_finds_there() {
    for shipped in SHIPPED {
        let opened = opened(shipped.name);
        let review = &opened.review;
        let mut planted_ones = 0;
        for card in &opened.lesson.cards {
            let Card::Mark { at, planted, .. } = card else { continue };
            let stage = review.sequence.stages.iter().position(|s| &s.step == at).unwrap();
            let found: Vec<(String, Vec<String>)> = lessons::faults_at(review, stage)
                .iter()
                .map(|f| &review.findings[f.finding])
                .map(|f| (f.code.clone(), f.subjects.clone()))
                .collect();
            let planted: Vec<(String, Vec<String>)> =
                planted.iter().map(|p| (p.code.clone(), p.members.clone())).collect();
            assert_eq!(found, planted, "{} at {at}", shipped.name);
            planted_ones += planted.len();
        }
        assert!(planted_ones > 0, "{}", shipped.name);
    }
}

#[test]
fn done_right_nothing_is_above_watch_and_what_is_replayed_is_there() {
    for shipped in SHIPPED {
        let opened = opened(shipped.name);
        let right = opened.right.as_ref().unwrap();
        for finding in &right.findings {
            assert!(
                finding.severity <= Severity::Watch && !finding.unknown,
                "{}: {}",
                shipped.name,
                finding.headline
            );
        }
        let replays: Vec<&Card> =
            opened.lesson.cards.iter().filter(|c| matches!(c, Card::Replay { .. })).collect();
        assert_eq!(replays.len(), 1, "{}", shipped.name);
        let stage =
            opened.review.sequence.stages.iter().position(|s| s.step == replays[0].at()).unwrap();
        assert!(!lessons::faults_at(&opened.review, stage).is_empty(), "{}", shipped.name);
        let moves = Replay::at_stage(&opened.review, stage).is_some();
        // A lock that is open has no free motion to show; the words say so.
        let still = shipped.name == "lock-first";
        assert_eq!(moves, !still, "{}", shipped.name);
    }
}

/// The text of a first line says what is wrong, as in all scenes that ship.
#[test]
fn lesson_scenes_say_that_they_are_invented_samples() {
    for shipped in SHIPPED {
        for (name, text) in &shipped.scenes {
            assert!(text.starts_with("// "), "{name}");
            assert!(text.contains("invented sample"), "{name}");
            assert!(text.contains("equipment: [\"sample\"]"), "{name}");
        }
    }
}

/// The cures of a finding are joined by *or*: none brings another one along.
#[test]
fn cures_are_joined_once() {
    let text = standwell::lessons::SHIPPED[4].scenes[0].1;
    let loaded = standwell::scene::read(text, std::path::Path::new("the-edge.ron")).unwrap();
    let review = standwell::review::judge(loaded, &|_, _| true).unwrap();
    let faults = (0..review.stages.len()).flat_map(|k| standwell::lessons::faults_at(&review, k));
    let lines: Vec<String> = faults.flat_map(|f| f.why).collect();
    assert!(lines.iter().any(|l| l.contains("; or prop it")), "{lines:?}");
    assert!(!lines.iter().any(|l| l.contains("or or")), "{lines:?}");
}
