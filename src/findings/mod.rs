//! A finding: what is wrong, where, at which step, by how much, why, and what would put it right.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Least to worst. *Unknown* findings carry [`Severity::FixFirst`] and the flag `unknown`.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    Note,
    Watch,
    /// Do not go past this step until put right.
    FixFirst,
    /// It can fall now.
    Stop,
}

impl Severity {
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Watch => "watch",
            Self::FixFirst => "fix first",
            Self::Stop => "stop",
        }
    }
}

/// What a number is, for showing it with its unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Dimension {
    Ratio,
    Count,
    /// Metres.
    Length,
    /// Newtons.
    Force,
    /// Kilograms.
    Mass,
    /// Newton metres.
    Moment,
    /// Pascals.
    Pressure,
    /// Radians.
    Angle,
}

/// A number held against its limit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Measure {
    pub what: String,
    /// SI value.
    pub measured: f64,
    pub limit: Option<f64>,
    /// True: the measured must be at least the limit; false: at most.
    pub at_least: bool,
    pub dimension: Dimension,
}

/// A direction or displacement in metres.
pub type Arrow = [f64; 3];

/// How named members would move together.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Motion {
    /// Member name and displacement of its two ends, scaled so that the largest is 1 m.
    pub members: Vec<MovingMember>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MovingMember {
    pub name: String,
    pub first_end: Arrow,
    pub second_end: Arrow,
}

/// What explains a finding.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Evidence {
    pub measures: Vec<Measure>,
    /// Names along a path that holds, or that breaks where it ends.
    pub path: Vec<String>,
    pub motion: Option<Motion>,
    /// Sentences with the numbers in them.
    pub notes: Vec<String>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct SourceNote {
    pub title: String,
    pub locator: String,
    /// `print`, `memory` or `practice`.
    pub seen: String,
}

/// What a cure asks for, as far as the program can do it: in words it is for people.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RemedyKind {
    /// Diagonals in a bay; its members are the two posts of the bay.
    Brace,
    /// A tie to permanent structure.
    Tie,
    /// Hands stay on.
    Hold,
    /// A member that is missing or open is put in and fixed.
    Fix,
    /// A hold-down clip.
    Clip,
    /// A prop under what overhangs.
    Prop,
}

/// A cure, or part of one, as data.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Remedy {
    /// Which of the cures, by position.
    pub cure: usize,
    pub kind: RemedyKind,
    /// The members it names; empty: it leaves open which.
    pub members: Vec<String>,
}

/// What one check saw at one stage, before stages are put together.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    pub severity: Severity,
    pub unknown: bool,
    pub headline: String,
    /// Members it is about; with the code they are its identity across stages. Sorted.
    pub subjects: Vec<String>,
    /// What else to show.
    pub others: Vec<String>,
    pub evidence: Evidence,
    pub cures: Vec<String>,
    /// What of the cures the program can do, in their order.
    pub remedies: Vec<Remedy>,
    pub sources: Vec<SourceNote>,
    pub sample_data: bool,
    /// A reason shared with other observations: those with the same cause hang under the one
    /// whose code comes first in the register. A missing brace on a line, say.
    pub cause: Option<String>,
    /// How its subjects may change from stage to stage without it becoming another finding.
    pub group: Group,
}

/// How an observation is recognised again at the next stage.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Group {
    /// By its subjects, which stay the same.
    #[default]
    Fixed,
    /// By overlap of its subjects, within the same key. Subjects that come in later become a
    /// finding of their own that follows from the first: a loose line that grows.
    Joins(String),
    /// By the key alone; its subjects are all that were ever seen. All posts of one kind, say.
    Widens(String),
}

impl Observation {
    #[must_use]
    pub fn new(severity: Severity, headline: impl Into<String>, subjects: Vec<String>) -> Self {
        let mut subjects = subjects;
        subjects.sort();
        Self {
            severity,
            unknown: false,
            headline: headline.into(),
            subjects,
            others: Vec::new(),
            evidence: Evidence::default(),
            cures: Vec::new(),
            remedies: Vec::new(),
            sources: Vec::new(),
            sample_data: false,
            cause: None,
            group: Group::Fixed,
        }
    }
    /// Adds a cure that may be served in these ways, at whatever members.
    pub fn cure(&mut self, words: impl Into<String>, kinds: &[RemedyKind]) {
        let cure = self.cures.len();
        let any = |&kind: &RemedyKind| Remedy { cure, kind, members: Vec::new() };
        self.remedies.extend(kinds.iter().map(any));
        self.cures.push(words.into());
    }
    /// Adds a cure that names its members.
    pub fn cure_at(&mut self, words: impl Into<String>, kind: RemedyKind, members: Vec<String>) {
        self.remedies.push(Remedy { cure: self.cures.len(), kind, members });
        self.cures.push(words.into());
    }
    /// Could not be judged: ranks with *fix first*.
    #[must_use]
    pub fn unknown(headline: impl Into<String>, subjects: Vec<String>) -> Self {
        Self { unknown: true, ..Self::new(Severity::FixFirst, headline, subjects) }
    }
}

/// A finding over the stages at which it stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Finding {
    /// Hazard code, such as `SW101`.
    pub code: String,
    /// Hazard name, such as `post-not-held`.
    pub hazard: String,
    pub severity: Severity,
    pub unknown: bool,
    pub headline: String,
    pub subjects: Vec<String>,
    pub others: Vec<String>,
    /// Step that made it so, and its stage.
    pub from_step: String,
    pub from_stage: usize,
    /// First step after which it is gone; none: it stays to the end.
    pub cured_by: Option<String>,
    pub last_stage: usize,
    pub evidence: Evidence,
    pub cures: Vec<String>,
    /// What of the cures the program can do, in their order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub remedies: Vec<Remedy>,
    pub sources: Vec<SourceNote>,
    /// Rests on invented sample equipment data.
    pub sample_data: bool,
    /// Index of the finding this one follows from; none: a root.
    pub root: Option<usize>,
    /// Reason and name, if somebody accepted it.
    pub accepted: Option<(String, String)>,
}
