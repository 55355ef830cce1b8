//! What is offered for a finding stands in the order of the cures it names.

use super::shipped;
use standwell::changes::offers::{Here, of_finding};
use standwell::findings::RemedyKind;
use standwell::review::{Review, judge};
use standwell::scene;
use std::path::Path;

fn review(name: &str) -> Review {
    let loaded = scene::read(&shipped(name), Path::new("job.ron")).unwrap();
    judge(loaded, &|_, _| true).unwrap()
}

fn offered(review: &Review, finding: usize) -> Vec<String> {
    let finding = &review.findings[finding];
    let stage = &review.sequence.stages[finding.from_stage];
    let here = Here { assembly: &review.assembly, sequence: &review.sequence, stage };
    of_finding(here, finding).into_iter().map(|o| o.words).collect()
}

/// F1 and F2 go over along line F: the bay between them holds them, bays of lines 1 and 2 do not.
/// The card names F1-F2, and so does the first button.
#[test]
fn the_bay_that_the_cure_names_comes_first_and_the_line_across_last() {
    let review = review("faulty-floor");
    let subjects = ["main.post.F1", "main.post.F2"];
    let at = review.findings.iter().position(|f| f.code == "SW101" && f.subjects == subjects);
    let at = at.unwrap();
    assert!(review.findings[at].cures[0].contains("F1–F2"), "{:?}", review.findings[at].cures);
    let offered = offered(&review, at);
    assert!(offered[0].contains("F1-F2"), "{offered:?}");
    for across in ["E1-F1", "F1-G1", "E2-F2", "F2-G2"] {
        let place = offered.iter().position(|o| o.contains(across));
        let holds = offered.iter().position(|o| o.contains("hand")).unwrap();
        assert!(place.is_none_or(|p| p > holds), "{across}: {offered:?}");
    }
}

/// Over all findings of the shipped jobs that name a bay to brace: if that bay is offered at all, no
/// other bay stands before it.
#[test]
fn no_other_bay_stands_before_the_one_that_is_named() {
    let mut seen = 0;
    for job in ["faulty-floor", "slab-edge", "starter-tower", "tall-lobby"] {
        let review = review(job);
        for (i, finding) in review.findings.iter().enumerate() {
            let named = finding.cures.iter().find_map(|c| {
                let bay = c.strip_prefix("brace bay ")?.split_whitespace().next()?;
                Some(bay.replace('–', "-"))
            });
            let Some(named) = named else { continue };
            let bays: Vec<String> = offered(&review, i)
                .into_iter()
                .filter(|o| o.starts_with("Brace ") || o.starts_with("Put the braces"))
                .collect();
            if bays.iter().any(|b| b.contains(&named)) {
                seen += 1;
                assert!(bays[0].contains(&named), "{job}: {named}, {bays:?}");
            }
        }
    }
    assert!(seen > 0);
}

/// A cure carries what it asks for as data: other words for it change nothing.
#[test]
fn the_order_does_not_hang_on_the_words() {
    let mut review = review("faulty-floor");
    let subjects = ["main.post.F1", "main.post.F2"];
    let at = review.findings.iter().position(|f| f.code == "SW101" && f.subjects == subjects);
    let at = at.unwrap();
    let brace = &review.findings[at].remedies[0];
    assert_eq!((brace.cure, brace.kind), (0, RemedyKind::Brace));
    assert_eq!(brace.members, subjects);
    let before = offered(&review, at);
    for cure in &mut review.findings[at].cures {
        "other words".clone_into(cure);
    }
    assert_eq!(offered(&review, at), before);
    // It is what the data say: with tying named first and nothing else, no brace comes first for it.
    review.findings[at].remedies.clear();
    assert_ne!(offered(&review, at), before);
}

/// Every remedy belongs to a cure, and the members it names are there.
#[test]
fn remedies_belong_to_cures_and_name_members() {
    let mut seen = 0;
    for job in ["faulty-floor", "slab-edge", "starter-tower", "tall-lobby", "spandrel-edge"] {
        let review = review(job);
        for finding in &review.findings {
            for remedy in &finding.remedies {
                seen += 1;
                assert!(remedy.cure < finding.cures.len(), "{job}: {finding:?}");
                for name in &remedy.members {
                    assert!(review.assembly.find(name).is_some(), "{job}: {name}");
                }
            }
        }
    }
    assert!(seen > 10, "{seen}");
}

/// The diagonals of a bay are left out of a floor, and the crew keeps all that hang on them in hand: what
/// helps is that bay, not leaving out others.
#[test]
fn where_hands_are_short_the_bay_that_is_missing_is_offered() {
    let text = shipped("sound-floor");
    let block = text.find("blocks:").unwrap();
    let at = block + text[block..].find("brace:").unwrap();
    let text = format!("{}omit: [\"brace.D1-D2.*\"], {}", &text[..at], &text[at..]);
    let loaded = scene::read(&text, Path::new("job.ron")).unwrap_or_else(|p| panic!("{p}"));
    let review = judge(loaded, &|_, _| true).unwrap();
    let at = review.findings.iter().position(|f| f.code == "SW503").unwrap();
    let offered = offered(&review, at);
    assert!(offered[0].contains("D1-D2"), "{offered:?}");
    let leaves_bracing_out = |o: &&String| o.contains("Leave") && o.contains("brace.");
    assert!(!offered.iter().any(|o| leaves_bracing_out(&o)), "{offered:?}");
    let why = review.findings[at].evidence.notes.join(" ");
    assert!(why.contains("stays in hand until"), "{why}");
}
