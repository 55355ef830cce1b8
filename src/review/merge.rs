//! What the checks saw at each stage becomes findings over stages.

use super::follow::{Downstream, roots};
use crate::checks::{REGISTER, Seeing};
use crate::findings::{Finding, Group, Observation, Severity};
use crate::scene::model::Acceptance;
use std::cmp::Ordering;
use std::collections::BTreeSet;
use std::sync::Arc;

/// One thing followed from stage to stage.
#[derive(Clone, Debug)]
pub(super) struct Track {
    pub hazard: usize,
    /// The first of the worst.
    pub seen: Observation,
    /// Stage of `seen`.
    pub worst_at: usize,
    pub subjects: BTreeSet<String>,
    /// Subjects and what else was shown with them, over all its stages.
    pub members: BTreeSet<String>,
    pub causes: BTreeSet<String>,
    pub from: usize,
    pub last: usize,
    /// The track of the same hazard whose group it came into.
    pub joined: Option<usize>,
    /// Seen last.
    latest: Option<Arc<Observation>>,
}

impl Track {
    fn new(hazard: usize, stage: usize, seen: Observation) -> Self {
        let mut track = Self {
            hazard,
            worst_at: stage,
            subjects: seen.subjects.iter().cloned().collect(),
            members: BTreeSet::new(),
            causes: BTreeSet::new(),
            from: stage,
            last: stage,
            joined: None,
            latest: None,
            seen,
        };
        let seen = track.seen.clone();
        track.note(&seen);
        track
    }

    fn note(&mut self, seen: &Observation) {
        self.members.extend(seen.subjects.iter().cloned());
        self.members.extend(seen.others.iter().cloned());
        if let Some(motion) = &seen.evidence.motion {
            self.members.extend(motion.members.iter().map(|m| m.name.clone()));
        }
        self.causes.extend(seen.cause.clone());
    }

    /// Seen again at a stage.
    fn extend(&mut self, stage: usize, seen: &Arc<Observation>) {
        self.last = stage;
        if self.latest.as_ref().is_some_and(|latest| Arc::ptr_eq(latest, seen)) {
            return;
        }
        self.latest = Some(Arc::clone(seen));
        self.note(seen);
        let fuller = matches!(seen.group, Group::Widens(_))
            && seen.severity == self.seen.severity
            && seen.subjects.len() > self.seen.subjects.len();
        if matches!(seen.group, Group::Widens(_)) {
            self.subjects.extend(seen.subjects.iter().cloned());
        }
        let worse = worse(seen, &self.seen);
        if self.joined.is_none() && (fuller || worse) {
            self.seen = (**seen).clone();
            if worse {
                self.worst_at = stage;
            }
        } else {
            self.seen.severity = self.seen.severity.max(seen.severity);
            self.seen.unknown |= seen.unknown;
        }
    }

    fn is_open(&self, stage: usize) -> bool {
        self.last + 1 >= stage
    }
}

/// Worse by severity, then by how far its first measure is over its limit.
fn worse(a: &Observation, b: &Observation) -> bool {
    match a.severity.cmp(&b.severity) {
        Ordering::Greater => true,
        Ordering::Less => false,
        Ordering::Equal => over(a) > over(b) * (1.0 + 1e-9),
    }
}

fn over(seen: &Observation) -> f64 {
    seen.evidence
        .measures
        .iter()
        .find_map(|m| {
            let limit = m.limit?;
            let ratio = if m.at_least { limit / m.measured.max(1e-12) } else { m.measured / limit };
            ratio.is_finite().then_some(ratio)
        })
        .unwrap_or(0.0)
}

/// Follows what was seen over the stages, in order. `steps` are the step ids by stage.
#[must_use]
pub fn merge(
    stages: &[Vec<Seeing>],
    steps: &[&str],
    accepted: &[Acceptance],
    downstream: &Downstream<'_>,
) -> Vec<Finding> {
    let mut tracks: Vec<Track> = Vec::new();
    let mut open: Vec<usize> = Vec::new();
    for (stage, seen) in stages.iter().enumerate() {
        open.retain(|&t| tracks[t].is_open(stage));
        for seeing in seen {
            follow_one(&mut tracks, &mut open, stage, seeing);
        }
    }
    let roots = roots(&tracks, downstream);
    findings(&tracks, &roots, steps, accepted)
}

fn follow_one(tracks: &mut Vec<Track>, open: &mut Vec<usize>, stage: usize, seeing: &Seeing) {
    let seen = &seeing.observation;
    let same: Vec<usize> = open
        .iter()
        .copied()
        .filter(|&t| {
            let track = &tracks[t];
            track.hazard == seeing.hazard
                && match (&track.seen.group, &seen.group) {
                    (Group::Fixed, Group::Fixed) => track.subjects.iter().eq(seen.subjects.iter()),
                    (Group::Widens(a), Group::Widens(b)) => a == b,
                    (Group::Joins(a), Group::Joins(b)) => {
                        a == b && seen.subjects.iter().any(|s| track.subjects.contains(s))
                    }
                    _ => false,
                }
        })
        .collect();
    for &t in &same {
        tracks[t].extend(stage, seen);
    }
    let Some(&first) = same.first() else {
        open.push(tracks.len());
        tracks.push(Track::new(seeing.hazard, stage, (**seen).clone()));
        return;
    };
    if matches!(seen.group, Group::Joins(_)) {
        let came: Vec<String> = seen
            .subjects
            .iter()
            .filter(|s| !same.iter().any(|&t| tracks[t].subjects.contains(*s)))
            .cloned()
            .collect();
        if !came.is_empty() {
            let mut joining = (**seen).clone();
            joining.headline = joins(&came, &tracks[first], seeing.hazard);
            joining.subjects = came;
            let mut track = Track::new(seeing.hazard, stage, joining);
            track.joined = Some(first);
            open.push(tracks.len());
            tracks.push(track);
        }
    }
}

/// `C5 joins C4: a post with its hands off is not held in one or both directions`.
fn joins(came: &[String], first: &Track, hazard: usize) -> String {
    let last_part = |name: &String| name.rsplit('.').next().unwrap_or(name).to_owned();
    let came: Vec<String> = came.iter().map(last_part).collect();
    let with: Vec<String> = first.subjects.iter().map(last_part).collect();
    let verb = if came.len() == 1 { "joins" } else { "join" };
    let list = crate::checks::support::list;
    format!("{} {verb} {}: {}", list(&came), list(&with), REGISTER[hazard].summary)
}

/// Sorted, with roots renumbered.
fn findings(
    tracks: &[Track],
    roots: &[Option<usize>],
    steps: &[&str],
    accepted: &[Acceptance],
) -> Vec<Finding> {
    let mut order: Vec<usize> = (0..tracks.len()).collect();
    order.sort_by(|&a, &b| {
        let (a, b) = (&tracks[a], &tracks[b]);
        b.seen
            .severity
            .cmp(&a.seen.severity)
            .then_with(|| a.from.cmp(&b.from))
            .then_with(|| a.hazard.cmp(&b.hazard))
            .then_with(|| a.subjects.cmp(&b.subjects))
            .then_with(|| a.seen.headline.cmp(&b.seen.headline))
    });
    let mut place = vec![0; tracks.len()];
    for (position, &t) in order.iter().enumerate() {
        place[t] = position;
    }
    order
        .iter()
        .map(|&t| finding(&tracks[t], roots[t].map(|r| place[r]), steps, accepted))
        .collect()
}

fn finding(track: &Track, root: Option<usize>, steps: &[&str], accepted: &[Acceptance]) -> Finding {
    let hazard = REGISTER[track.hazard];
    let step = |stage: usize| steps.get(stage).map(|s| (*s).to_owned());
    let mut evidence = track.seen.evidence.clone();
    if track.worst_at != track.from
        && let Some(step) = step(track.worst_at)
    {
        evidence.notes.push(format!("The numbers are those of step {step}, where it is worst."));
    }
    let accepted = accepted
        .iter()
        .find(|a| {
            a.code == hazard.code
                && a.members
                    .iter()
                    .collect::<BTreeSet<_>>()
                    .iter()
                    .copied()
                    .eq(track.subjects.iter())
        })
        .map(|a| (a.reason.clone(), a.by.clone()));
    Finding {
        code: hazard.code.to_owned(),
        hazard: hazard.name.to_owned(),
        severity: track.seen.severity,
        unknown: track.seen.unknown,
        headline: track.seen.headline.clone(),
        subjects: track.subjects.iter().cloned().collect(),
        others: track.seen.others.clone(),
        from_step: step(track.from).unwrap_or_default(),
        from_stage: track.from,
        cured_by: step(track.last + 1),
        last_stage: track.last,
        evidence,
        cures: track.seen.cures.clone(),
        remedies: track.seen.remedies.clone(),
        sources: track.seen.sources.clone(),
        sample_data: track.seen.sample_data,
        root,
        accepted,
    }
}

/// Worst severity and whether anything is unknown, of what was seen at one stage.
pub(super) fn worst(seen: &[Seeing]) -> (Option<Severity>, bool) {
    (seen.iter().map(|s| s.observation.severity).max(), seen.iter().any(|s| s.observation.unknown))
}
