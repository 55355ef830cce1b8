//! What keeps a permit from being issued.

use super::draft::Basis;
use super::model::Permit;
use super::window::Window;
use crate::assembly::MemberId;
use crate::findings::{Finding, Severity};
use crate::record::{HoldPointState, Parts, PermitKind, hold_points};
use crate::sequence::Stage;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// One reason. Each can be put right by itself.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "reason", deny_unknown_fields)]
pub enum Refusal {
    /// The scene has no step for what the permit would allow.
    NotJudged {
        why: String,
    },
    /// It can fall.
    Stop {
        code: String,
        headline: String,
        step: String,
    },
    /// Not put right, and accepted by nobody.
    FixFirst {
        code: String,
        headline: String,
        step: String,
    },
    /// Could not be judged.
    Unknown {
        code: String,
        headline: String,
        step: String,
    },
    /// Parts with invented numbers.
    SampleData {
        libraries: Vec<String>,
        parts: Vec<String>,
    },
    /// Parts in place that nobody inspected, or that were not in order.
    Uninspected {
        why: String,
        parts: Vec<String>,
    },
    /// Parts that somebody still holds up.
    InHand {
        parts: Vec<String>,
    },
    HoldPointOpen {
        id: String,
        title: String,
    },
    /// Parts that come in during a step it would cover, after the inspection.
    ComesLater {
        step: String,
        parts: Vec<String>,
    },
    /// A station of the walk-through was found not in order, and not seen in order since.
    NotInOrder {
        station: String,
        by: String,
        note: String,
    },
    /// There is no as-built record.
    NoRecord,
    /// The record names no drawing in force.
    NoDrawing,
}

impl Refusal {
    /// For a person.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::NotJudged { why } => format!("not judged: {why}"),
            Self::Stop { code, headline, step } => {
                format!("stop: {headline} ({code}, step {step})")
            }
            Self::FixFirst { code, headline, step } => {
                format!("fix first: {headline} ({code}, step {step})")
            }
            Self::Unknown { code, headline, step } => {
                format!("unknown: {headline} ({code}, step {step})")
            }
            Self::SampleData { libraries, parts } => format!(
                "sample data: the numbers of {} are invented (library {})",
                few(parts),
                few(libraries)
            ),
            Self::Uninspected { why, parts } => {
                format!("{}: {why}: {}", counted(parts.len(), "part"), few(parts))
            }
            Self::InHand { parts } => format!("still held by hand: {}", few(parts)),
            Self::HoldPointOpen { title, id } => format!("hold point not released: {title} ({id})"),
            Self::ComesLater { step, parts } => format!(
                "{} in with step {step}, after what was inspected: {}; end the permit before it",
                if parts.len() == 1 { "a part comes" } else { "parts come" },
                few(parts)
            ),
            Self::NotInOrder { station, by, note } => {
                let found = format!("the walk-through found {station} not in order ({by})");
                if note.is_empty() { found } else { format!("{found}: {note}") }
            }
            Self::NoRecord => {
                "there is no as-built record: nobody has said what was seen on site".to_owned()
            }
            Self::NoDrawing => "the record names no drawing in force".to_owned(),
        }
    }

    /// It is something that is not known, rather than known to be wrong.
    #[must_use]
    pub fn is_unknown(&self) -> bool {
        matches!(self, Self::NotJudged { .. } | Self::Unknown { .. } | Self::NoRecord)
    }
}

/// At most four names in a row.
fn few(names: &[String]) -> String {
    match names.len() {
        0..=4 => names.join(", "),
        n => format!("{} and {} more", names[..3].join(", "), n - 3),
    }
}

/// `1 part`, `2 parts`.
pub(super) fn counted(number: usize, what: &str) -> String {
    format!("{number} {what}{}", if number == 1 { "" } else { "s" })
}

/// A finding that a person accepted, with a reason and a name. A *stop* and what is unknown is made
/// safe by no signature.
pub(super) fn acceptance(finding: &Finding) -> Option<(&str, &str)> {
    let (reason, by) = finding.accepted.as_ref()?;
    let said = !reason.trim().is_empty() && !by.trim().is_empty();
    let may = !finding.unknown && finding.severity < Severity::Stop;
    (said && may).then_some((reason.as_str(), by.as_str()))
}

/// Findings that stand at any of the stages.
pub(super) fn within<'a>(
    basis: &'a Basis<'_>,
    window: Window,
) -> impl Iterator<Item = &'a Finding> {
    basis
        .review
        .findings
        .iter()
        .filter(move |f| f.from_stage <= window.until && window.from <= f.last_stage)
}

/// Everything that keeps it from being issued, in this order: what was not judged, what was found,
/// the data, the record.
#[must_use]
pub fn refusals(
    basis: &Basis<'_>,
    kind: PermitKind,
    window: Window,
    parts: &Parts,
) -> Vec<Refusal> {
    let mut refusals = Vec::new();
    found(basis, window, &mut refusals);
    sample(basis, window, &mut refusals);
    let stage = &basis.review.sequence.stages[window.from];
    in_hand(basis, stage, &mut refusals);
    comes_later(basis, window, &mut refusals);
    let Some(record) = basis.record else {
        refusals.push(Refusal::NoRecord);
        return refusals;
    };
    if record
        .record
        .drawing
        .as_ref()
        .is_none_or(|d| d.number.trim().is_empty() || d.revision.trim().is_empty())
    {
        refusals.push(Refusal::NoDrawing);
    }
    for (why, parts) in parts.wanting(&basis.review.assembly) {
        refusals.push(Refusal::Uninspected { why, parts });
    }
    let points = hold_points(&record.record, kind, &basis.review.sequence);
    for HoldPointState { id, title, released, .. } in points {
        if released.is_none() {
            refusals.push(Refusal::HoldPointOpen { id, title });
        }
    }
    let walked = &record.record.walked;
    for (index, entry) in walked.iter().enumerate() {
        let is_last = !walked[index + 1..].iter().any(|later| later.station == entry.station);
        if is_last && !entry.in_order {
            refusals.push(Refusal::NotInOrder {
                station: entry.station.clone(),
                by: entry.by.clone(),
                note: entry.note.clone(),
            });
        }
    }
    refusals
}

fn found(basis: &Basis<'_>, window: Window, refusals: &mut Vec<Refusal>) {
    let mut explained = BTreeSet::new();
    for finding in within(basis, window) {
        let (code, headline, step) =
            (finding.code.clone(), finding.headline.clone(), finding.from_step.clone());
        if finding.unknown {
            explained.extend(finding.from_stage..=finding.last_stage);
            refusals.push(Refusal::Unknown { code, headline, step });
        } else if finding.severity == Severity::Stop {
            refusals.push(Refusal::Stop { code, headline, step });
        } else if finding.severity == Severity::FixFirst && acceptance(finding).is_none() {
            refusals.push(Refusal::FixFirst { code, headline, step });
        }
    }
    // A stage that says it is not known, and no finding says why.
    for stage in window.from..=window.until {
        if basis.review.summaries.get(stage).is_none_or(|s| s.unknown)
            && !explained.contains(&stage)
        {
            let step = basis.review.sequence.stages[stage].step.clone();
            refusals.push(Refusal::NotJudged { why: format!("the stage after step {step}") });
        }
    }
}

fn sample(basis: &Basis<'_>, window: Window, refusals: &mut Vec<Refusal>) {
    let assembly = &basis.review.assembly;
    let stages = &basis.review.sequence.stages[window.from..=window.until];
    let mut parts = BTreeSet::new();
    for member in &assembly.members {
        if !stages.iter().any(|s| s.state(member.id).is_there()) {
            continue;
        }
        let jack = member.jack.as_ref().map(|(part, _)| part);
        for part in std::iter::once(&member.part).chain(jack) {
            if assembly.library.is_sample(part) {
                parts.insert(part.clone());
            }
        }
    }
    // A result may rest on a part that is not in place any more.
    let rests = within(basis, window).any(|f| f.sample_data);
    if parts.is_empty() && !rests {
        return;
    }
    let libraries: BTreeSet<String> =
        assembly.library.origin.values().filter(|o| o.sample).map(|o| o.library.clone()).collect();
    refusals.push(Refusal::SampleData {
        libraries: libraries.into_iter().collect(),
        parts: parts.into_iter().collect(),
    });
}

fn in_hand(basis: &Basis<'_>, stage: &Stage, refusals: &mut Vec<Refusal>) {
    let held: Vec<MemberId> = basis
        .review
        .assembly
        .members
        .iter()
        .map(|m| m.id)
        .filter(|&id| stage.state(id).is_held())
        .collect();
    if !held.is_empty() {
        let parts = held.iter().map(|&id| basis.review.assembly.name(id).to_owned()).collect();
        refusals.push(Refusal::InHand { parts });
    }
}

fn comes_later(basis: &Basis<'_>, window: Window, refusals: &mut Vec<Refusal>) {
    let stages = &basis.review.sequence.stages;
    let as_built = &stages[window.from];
    let mut known: BTreeSet<MemberId> = BTreeSet::new();
    for stage in stages.iter().take(window.until + 1).skip(window.from + 1) {
        let parts: Vec<String> = basis
            .review
            .assembly
            .members
            .iter()
            .filter(|m| stage.state(m.id).is_there() && !as_built.state(m.id).is_there())
            .filter(|m| known.insert(m.id))
            .map(|m| m.name.clone())
            .collect();
        if !parts.is_empty() {
            refusals.push(Refusal::ComesLater { step: stage.step.clone(), parts });
        }
    }
}

impl Permit {
    /// Whether anything that keeps it from being issued is something unknown.
    #[must_use]
    pub fn refused_as_unknown(&self) -> bool {
        self.refusals.iter().any(Refusal::is_unknown)
    }
}
