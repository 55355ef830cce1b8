//! Two reviews: a cure is better, a fault is worse, nothing is the same; both ways round.

use super::reviewed;
use crate::changes::{shipped, with};
use standwell::review::{Review, Turn, compare, compare_stages};

#[test]
fn a_review_is_like_itself() {
    let review = reviewed(&shipped("starter-tower"));
    let compared = compare(&review, &review);
    assert!(compared.findings.iter().all(|p| p.turn == Turn::Same && p.before == p.after));
    assert_eq!(compared.findings.len(), review.findings.len());
    assert!(compared.stages.iter().all(|s| s.worst == Some(Turn::Same) && s.before == s.after));
}

/// The demo's head comment says which fault shows at which step, and what puts it right.
#[test]
fn the_cure_of_a_planted_fault_is_better_and_its_undoing_worse() {
    let text = shipped("faulty-floor");
    let cure = "PutIn(member: \"main.clip.M4\", in_step: \"edge.M4\")";
    let (before, after) = (reviewed(&text), reviewed(&with(&text, &[cure])));
    let compared = compare(&before, &after);
    let better: Vec<&str> = compared
        .of_turn(Turn::Better)
        .filter(|p| p.after.is_none())
        .map(|p| before.findings[p.before.unwrap()].code.as_str())
        .collect();
    // The overhanging ledger tips: SW401 and its like; nothing that has to do with bracing.
    assert!(!better.is_empty());
    assert!(
        better.iter().all(|code| code.starts_with("SW4") || code.starts_with("SW5")),
        "{better:?}"
    );
    assert_eq!(compared.of_turn(Turn::Worse).count(), 0);
    let edge = |r: &Review| r.sequence.stages.iter().position(|s| s.step == "edge.M4").unwrap();
    let differs = compare_stages(&before, edge(&before), &after, edge(&after));
    assert!(!differs.only_before.is_empty() && differs.only_after.is_empty());
    // Another planted fault stands at that stage still, so its worst is as it was.
    assert!(compared.stages.iter().all(|s| s.worst != Some(Turn::Worse)));
    let back = compare(&after, &before);
    assert_eq!(back.of_turn(Turn::Worse).count(), compared.of_turn(Turn::Better).count());
    assert_eq!(back.of_turn(Turn::Better).count(), 0);
}

#[test]
fn stages_only_one_has_are_told() {
    let text = shipped("sound-floor");
    let start = text.find("        Deck(").unwrap();
    let end = start + text[start..].find('\n').unwrap() + 1;
    let shorter = format!("{}{}", &text[..start], &text[end..]);
    let (long, short) = (reviewed(&text), reviewed(&shorter));
    let compared = compare(&long, &short);
    let gone: Vec<_> = compared.stages.iter().filter(|s| s.after.is_none()).collect();
    assert!(!gone.is_empty() && gone.iter().all(|s| s.step.starts_with("deck")));
    assert_eq!(compared.stages.len(), long.sequence.stages.len());
}

#[test]
fn two_stages_share_what_stands_at_both() {
    let review = reviewed(&shipped("faulty-floor"));
    let at = |step: &str| review.sequence.stages.iter().position(|s| s.step == step).unwrap();
    let (before, edge, last) = (at("edge.M3"), at("edge.M4"), review.sequence.stages.len() - 1);
    let came = compare_stages(&review, before, &review, edge);
    let codes: Vec<&str> =
        came.only_after.iter().map(|&k| review.findings[k].code.as_str()).collect();
    assert!(codes.iter().any(|c| c.starts_with("SW4")), "{codes:?}");
    // It stands to the end, says the head comment.
    let stays = compare_stages(&review, edge, &review, last);
    let tips = |k: &usize| review.findings[*k].code.starts_with("SW4");
    assert!(!stays.only_before.iter().any(tips));
    assert!(stays.both.iter().any(|(k, _)| tips(k)));
    let swapped = compare_stages(&review, edge, &review, before);
    assert_eq!(swapped.only_before, came.only_after);
}
