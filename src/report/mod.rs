//! Ways out: text for people, JSON for machines. Same review, same bytes.

pub mod beside;
pub mod calc;
pub mod json;
mod json_stages;
pub mod load_tree;
pub mod loads;
pub mod markup;
pub mod rules;
pub mod stages;
pub mod strength;
pub mod style;
pub mod text;
pub mod words;

pub use json::{FileUsed, Report};
pub use style::Style;

use crate::findings::{Finding, Severity};
use crate::review::Review;
use crate::units::UnitSystem;

/// Said once on every sheet.
pub const CAUTIONS: [&str; 4] = [
    "Local code and the licensed engineer's drawing rule; this review replaces neither.",
    "What could not be judged is not safe: it is listed as such and ranks with fix first.",
    "It judges what the scene says. Look at what really stands before anyone relies on it.",
    "Values marked \"from memory\" are to be checked against the document before use.",
];

/// Said where sample equipment is in use.
pub const SAMPLE_CAUTION: &str =
    "The equipment data are an invented sample: use your supplier's table.";

/// Which findings of a review to show.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Selection {
    /// One stage alone, by index; none: all stages.
    pub stage: Option<usize>,
    /// Leave out what is less severe. What could not be judged is never left out.
    pub from: Severity,
}

impl Default for Selection {
    fn default() -> Self {
        Self { stage: None, from: Severity::Note }
    }
}

impl Selection {
    /// Stands at the chosen stage.
    #[must_use]
    pub fn at_stage(&self, finding: &Finding) -> bool {
        self.stage.is_none_or(|stage| (finding.from_stage..=finding.last_stage).contains(&stage))
    }

    /// Is to be shown.
    #[must_use]
    pub fn shows(&self, finding: &Finding) -> bool {
        self.at_stage(finding) && (finding.unknown || finding.severity >= self.from)
    }
}

/// How many findings of each kind; what could not be judged counts there alone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    pub stop: usize,
    pub unknown: usize,
    pub fix_first: usize,
    pub watch: usize,
    pub note: usize,
    /// Of all those, accepted by somebody.
    pub accepted: usize,
}

impl Counts {
    /// Counts findings.
    #[must_use]
    pub fn of<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> Self {
        let mut counts = Self::default();
        for finding in findings {
            let kind = match (finding.unknown, finding.severity) {
                (true, _) => &mut counts.unknown,
                (false, Severity::Stop) => &mut counts.stop,
                (false, Severity::FixFirst) => &mut counts.fix_first,
                (false, Severity::Watch) => &mut counts.watch,
                (false, Severity::Note) => &mut counts.note,
            };
            *kind += 1;
            counts.accepted += usize::from(finding.accepted.is_some());
        }
        counts
    }

    /// In words, worst first; `nothing found` when there is none.
    #[must_use]
    pub fn words(&self) -> String {
        let parts = [
            (self.stop, "stop"),
            (self.unknown, "could not be judged"),
            (self.fix_first, "fix first"),
            (self.watch, "watch"),
            (self.note, "note"),
            (self.accepted, "of these accepted"),
        ];
        let said: Vec<String> =
            parts.iter().filter(|(n, _)| *n > 0).map(|(n, what)| format!("{n} {what}")).collect();
        if said.is_empty() { "nothing found".to_owned() } else { said.join(", ") }
    }
}

/// Everything a report is made from.
pub struct Subject<'a> {
    pub review: &'a Review,
    /// What was read, in the order it was read.
    pub files: &'a [FileUsed],
    pub selection: Selection,
    /// A finding at or above this makes the exit status 1.
    pub fail_on: Severity,
    pub units: UnitSystem,
    /// The exit status the review leads to.
    pub exit_status: u8,
}
