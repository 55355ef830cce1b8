//! Two reviews side by side: what got better, what got worse.
//!
//! Findings are the same where hazard and members are; stages where their step is. Known to work
//! by `tests/review/compare.rs`.

use super::{Known, Review};
use crate::findings::{Finding, Severity};
use std::collections::BTreeMap;

/// A finding in one review, in the other, or in both.
#[derive(Clone, Debug, PartialEq)]
pub struct Pair {
    /// Index into the findings of the first review, and of the second.
    pub before: Option<usize>,
    pub after: Option<usize>,
    pub turn: Turn,
}

/// Which way something went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turn {
    Worse,
    Better,
    Same,
}

/// A stage in one review or both.
#[derive(Clone, Debug, PartialEq)]
pub struct StagePair {
    pub step: String,
    pub before: Option<usize>,
    pub after: Option<usize>,
    /// Which way its worst finding went; none where the stage is in one of them only.
    pub worst: Option<Turn>,
    /// Which way its least reserve went, by more than a hundredth of itself.
    pub reserve: Option<Turn>,
}

/// What differs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Comparison {
    /// All findings of both; worse ones first, then better ones, then those that stayed; each by
    /// severity.
    pub findings: Vec<Pair>,
    /// In the order of the second review; those it does not have at the end.
    pub stages: Vec<StagePair>,
}

impl Comparison {
    pub fn of_turn(&self, turn: Turn) -> impl Iterator<Item = &Pair> {
        self.findings.iter().filter(move |p| p.turn == turn)
    }
}

/// How bad it is: severity with what is unknown over *fix first* but under *stop*.
fn rank(severity: Severity, unknown: bool) -> u8 {
    match severity {
        Severity::Stop => 4,
        _ if unknown => 3,
        Severity::FixFirst => 2,
        Severity::Watch => 1,
        Severity::Note => 0,
    }
}

fn turn<T: PartialOrd>(before: &T, after: &T) -> Turn {
    if after > before {
        Turn::Worse
    } else if after < before {
        Turn::Better
    } else {
        Turn::Same
    }
}

/// Compares two reviews. What is in one only is worse where it came, better where it went.
#[must_use]
pub fn compare(before: &Review, after: &Review) -> Comparison {
    let mut findings = pairs(&before.findings, &after.findings);
    let severity = |p: &Pair| {
        let one = |list: &[Finding], at: Option<usize>| {
            at.and_then(|i| list.get(i)).map_or(0, |f| rank(f.severity, f.unknown))
        };
        one(&after.findings, p.after).max(one(&before.findings, p.before))
    };
    findings.sort_by_key(|p| (p.turn, std::cmp::Reverse(severity(p)), p.after, p.before));
    Comparison { findings, stages: stages(before, after) }
}

/// Findings that are the same in both.
fn pairs(before: &[Finding], after: &[Finding]) -> Vec<Pair> {
    let mut waiting: BTreeMap<(&str, &[String]), Vec<usize>> = BTreeMap::new();
    for (i, f) in before.iter().enumerate() {
        waiting.entry((&f.code, &f.subjects)).or_default().push(i);
    }
    let mut found: Vec<Option<usize>> = (after.iter())
        .map(|f| {
            let list = waiting.get_mut(&(f.code.as_str(), f.subjects.as_slice()))?;
            // The one that begins at the same step, if there is one.
            let at = list.iter().position(|&i| before[i].from_step == f.from_step).unwrap_or(0);
            (!list.is_empty()).then(|| list.remove(at))
        })
        .collect();
    // A finding about a group of members that has grown or shrunk is still that finding.
    let mut left: Vec<usize> = waiting.into_values().flatten().collect();
    left.sort_unstable();
    for (j, f) in after.iter().enumerate().filter(|(j, _)| found[*j].is_none()).collect::<Vec<_>>()
    {
        let overlaps = |&&i: &&usize| {
            let other = &before[i];
            other.code == f.code && other.subjects.iter().any(|s| f.subjects.contains(s))
        };
        if let Some(&i) = left.iter().find(overlaps) {
            left.retain(|&k| k != i);
            found[j] = Some(i);
        }
    }
    let met = found.iter().enumerate().map(|(j, &i)| Pair {
        before: i,
        after: Some(j),
        turn: i.map_or(Turn::Worse, |i| went(&before[i], &after[j])),
    });
    let gone = left.iter().map(|&i| Pair { before: Some(i), after: None, turn: Turn::Better });
    met.chain(gone).collect()
}

/// By severity; where that is the same, by how many members it is about, then by how many stages
/// it stands at.
fn went(before: &Finding, after: &Finding) -> Turn {
    let key = |f: &Finding| {
        let stages = f.last_stage.saturating_sub(f.from_stage);
        (rank(f.severity, f.unknown), f.subjects.len(), stages)
    };
    turn(&key(before), &key(after))
}

fn stages(before: &Review, after: &Review) -> Vec<StagePair> {
    let by_step = |review: &Review| -> BTreeMap<String, usize> {
        review.sequence.stages.iter().map(|s| (s.step.clone(), s.index)).collect()
    };
    let (old, new) = (by_step(before), by_step(after));
    let mut out: Vec<StagePair> = (after.sequence.stages.iter())
        .map(|s| {
            let (i, j) = (old.get(&s.step).copied(), s.index);
            StagePair {
                step: s.step.clone(),
                before: i,
                after: Some(j),
                worst: i.and_then(|i| worst(before, i, after, j)),
                reserve: i.and_then(|i| reserve(before, i, after, j)),
            }
        })
        .collect();
    let gone = before.sequence.stages.iter().filter(|s| !new.contains_key(&s.step));
    out.extend(gone.map(|s| StagePair {
        step: s.step.clone(),
        before: Some(s.index),
        after: None,
        worst: None,
        reserve: None,
    }));
    out
}

fn worst(before: &Review, i: usize, after: &Review, j: usize) -> Option<Turn> {
    let key = |review: &Review, at: usize| {
        let s = review.summaries.get(at)?;
        let severity = s.worst.map(|w| rank(w, false));
        Some(if s.unknown { severity.max(Some(rank(Severity::FixFirst, true))) } else { severity })
    };
    Some(turn(&key(before, i)?, &key(after, j)?))
}

fn reserve(before: &Review, i: usize, after: &Review, j: usize) -> Option<Turn> {
    let of = |review: &Review, at: usize| review.summaries.get(at).and_then(|s| s.reserve);
    let (a, b) = (of(before, i)?, of(after, j)?);
    if (a - b).abs() <= 0.01 * a.abs().max(b.abs()) {
        return Some(Turn::Same);
    }
    // More reserve is better.
    Some(turn(&b, &a))
}

/// A number that differs between two stages.
#[derive(Clone, Debug, PartialEq)]
pub struct Number {
    pub what: &'static str,
    pub before: Known,
    pub after: Known,
}

/// Two stages, of one review or of two: what stands there and the reserves.
#[derive(Clone, Debug, PartialEq)]
pub struct StageDifference {
    /// Findings only at the first, only at the second, and at both; indices into their reviews.
    pub only_before: Vec<usize>,
    pub only_after: Vec<usize>,
    pub both: Vec<(usize, usize)>,
    /// Every kind of reserve, as capacity over demand.
    pub reserves: Vec<Number>,
}

/// Compares a stage of one review with a stage of the same or another.
#[must_use]
pub fn compare_stages(before: &Review, i: usize, after: &Review, j: usize) -> StageDifference {
    let at = |review: &Review, stage: usize| {
        review.summaries.get(stage).map_or_else(Vec::new, |s| s.findings.clone())
    };
    let (mut only_before, mut only_after, mut both) = (at(before, i), Vec::new(), Vec::new());
    for k in at(after, j) {
        let f = &after.findings[k];
        let same = |&l: &usize| {
            let other = &before.findings[l];
            other.code == f.code && other.subjects == f.subjects
        };
        match only_before.iter().position(same) {
            Some(at) => both.push((only_before.remove(at), k)),
            None => only_after.push(k),
        }
    }
    let of = |review: &Review, stage: usize| {
        review.summaries.get(stage).map(|s| s.reserves.clone()).unwrap_or_default()
    };
    let (a, b) = (of(before, i), of(after, j));
    let reserves = (a.kinds().into_iter().zip(b.kinds()))
        .map(|((what, a), (_, b))| Number { what, before: a.known.clone(), after: b.known.clone() })
        .collect();
    StageDifference { only_before, only_after, both, reserves }
}
