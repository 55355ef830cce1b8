//! What was seen, missed, and raised for nothing.

use super::why;
use crate::findings::{Finding, Severity};
use crate::review::Review;
use std::collections::BTreeSet;

/// A fault that stands at a stage: a root finding with what follows from it there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Index of the root into the review's findings.
    pub finding: usize,
    pub code: String,
    pub headline: String,
    /// Members it is about, those of what follows from it included: marking any of them is seeing it.
    pub subjects: Vec<String>,
    /// Members that take part without being what is wrong: close, and neither seen nor for nothing.
    pub near: Vec<String>,
    /// Why, and what puts it right, in plain words.
    pub why: Vec<String>,
}

/// Marks held against the review.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Score {
    /// Faults of which a member was marked.
    pub seen: Vec<Fault>,
    pub missed: Vec<Fault>,
    /// Marked, part of a fault's path or motion, but not what is wrong.
    pub near: Vec<String>,
    /// Marked and within its limits, but worth watching.
    pub watched: Vec<(String, String)>,
    /// Marked for nothing, with what shows that it is safe.
    pub raised: Vec<(String, String)>,
}

impl Score {
    /// All that is wrong was seen and nothing raised for nothing.
    #[must_use]
    pub fn is_right(&self) -> bool {
        self.missed.is_empty() && self.raised.is_empty()
    }
}

/// Something that must be put right before anybody goes on. What is unknown counts: it is not safe.
pub(super) fn grave(finding: &Finding) -> bool {
    finding.unknown || finding.severity >= Severity::FixFirst
}

fn stands(finding: &Finding, stage: usize) -> bool {
    (finding.from_stage..=finding.last_stage).contains(&stage)
}

/// The root of a finding.
fn root(review: &Review, index: usize) -> usize {
    let mut at = index;
    for _ in 0..review.findings.len() {
        match review.findings[at].root {
            Some(next) => at = next,
            None => break,
        }
    }
    at
}

/// Faults at a stage, in the order of the review.
#[must_use]
pub fn faults_at(review: &Review, stage: usize) -> Vec<Fault> {
    let mut faults: Vec<(usize, Vec<usize>)> = Vec::new();
    for (index, finding) in review.findings.iter().enumerate() {
        if !grave(finding) || !stands(finding, stage) {
            continue;
        }
        let root = root(review, index);
        match faults.iter_mut().find(|(r, _)| *r == root) {
            Some((_, all)) => all.push(index),
            None => faults.push((root, vec![index])),
        }
    }
    faults.into_iter().map(|(root, all)| fault(review, root, &all)).collect()
}

fn fault(review: &Review, root: usize, all: &[usize]) -> Fault {
    let mut subjects = BTreeSet::new();
    let mut near = BTreeSet::new();
    for &index in all {
        let finding = &review.findings[index];
        subjects.extend(finding.subjects.iter().cloned());
        near.extend(finding.others.iter().cloned());
        near.extend(finding.evidence.path.iter().cloned());
        if let Some(motion) = &finding.evidence.motion {
            near.extend(motion.members.iter().map(|m| m.name.clone()));
        }
    }
    let near = near.difference(&subjects).cloned().collect();
    // The root may have gone while what followed from it stands: the one that stands is told.
    let told = all.iter().copied().find(|&i| i == root).or(all.first().copied()).unwrap_or(root);
    let finding = &review.findings[told];
    Fault {
        finding: told,
        code: finding.code.clone(),
        headline: finding.headline.clone(),
        subjects: subjects.into_iter().collect(),
        near,
        why: why::of_finding(finding),
    }
}

/// Holds marked members, by name, against the faults of a stage. A name that is marked twice counts once.
#[must_use]
pub fn score(review: &Review, stage: usize, marks: &[String]) -> Score {
    let mut score = Score::default();
    let marks: BTreeSet<&String> = marks.iter().collect();
    let faults = faults_at(review, stage);
    for mark in &marks {
        if faults.iter().any(|f| f.subjects.contains(mark)) {
            continue;
        }
        let watch = review.findings.iter().find(|f| {
            f.severity == Severity::Watch && stands(f, stage) && f.subjects.contains(mark)
        });
        if faults.iter().any(|f| f.near.contains(mark)) {
            score.near.push((*mark).clone());
        } else if let Some(watch) = watch {
            score.watched.push(((*mark).clone(), watch.headline.clone()));
        } else {
            score.raised.push(((*mark).clone(), why::it_is_safe(review, stage, mark)));
        }
    }
    for fault in faults {
        let is_seen = fault.subjects.iter().any(|name| marks.contains(name));
        // A stage where nothing can be pointed at cannot be missed by pointing.
        if is_seen {
            score.seen.push(fault);
        } else {
            score.missed.push(fault);
        }
    }
    score
}
