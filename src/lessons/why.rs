//! Reasons, in plain words.

use crate::checks::support::words::{beam, list, short};
use crate::findings::Finding;
use crate::review::Review;
use crate::sequence::MemberState;

/// Why a finding is one, and what puts it right. No clause, no code.
#[must_use]
pub fn of_finding(finding: &Finding) -> Vec<String> {
    let mut lines: Vec<String> = finding.evidence.notes.iter().take(2).cloned().collect();
    if !finding.cures.is_empty() {
        let cures: Vec<&str> = finding.cures.iter().take(3).map(String::as_str).collect();
        lines.push(format!("What puts it right: {}.", cures.join("; or ")));
    }
    lines
}

/// What shows that a member is safe at a stage. Never more than the review knows.
#[must_use]
pub fn it_is_safe(review: &Review, stage: usize, name: &str) -> String {
    let (assembly, judged) = (&review.assembly, &review.stages[stage]);
    let standing = &review.sequence.stages[stage];
    let Some(id) = assembly.find(name) else {
        return "There is no such member.".to_owned();
    };
    match standing.state(id) {
        MemberState::Absent => return "It is not there yet, or not any more.".to_owned(),
        MemberState::Held(_) => return "Somebody has it in hand.".to_owned(),
        MemberState::Standing => {}
    }
    let member = assembly.member(id);
    if !member.is_post() {
        return "The review finds nothing wrong with it at this step.".to_owned();
    }
    let mut ways = Vec::new();
    for hold in judged.restraint.holds_of(id).filter(|h| !h.path.is_empty()) {
        let path: Vec<String> = hold.path.iter().map(|&m| beam(assembly, m)).collect();
        ways.push(match path.split_last() {
            Some((last, [])) => format!("by {last}"),
            Some((last, along)) => format!("along {} to {last}", list(along)),
            None => continue,
        });
    }
    if ways.is_empty() {
        return "The review finds nothing wrong with it at this step.".to_owned();
    }
    format!(
        "{} is held both ways: {}.",
        crate::checks::support::words::sentence(&short(assembly, id)),
        ways.join(", and ")
    )
}
