//! The report for machines. Its schema is part of the program: `standwell schema` prints it.
//!
//! Fields may be added while [`REPORT_VERSION`] stays; whatever changes the meaning of a field or
//! takes one away raises it. Every number is SI: metres, newtons, kilograms, newton metres,
//! pascals, radians.

pub use super::json_stages::{Accepted, FindingReport, MeasureReport, SidewaysReport, StageReport};
use super::strength::StrengthReport;
use super::{CAUTIONS, Counts, SAMPLE_CAUTION, Subject};
use crate::criteria::{Pack, RuleLine};
use crate::findings::{Finding, Severity};
use crate::scene::{FileStamp, Problem, Problems};
use schemars::JsonSchema;
use serde::Serialize;

/// Version of the report's format.
pub const REPORT_VERSION: u32 = 1;

/// A job read and judged, or what kept it from being read.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Report {
    /// Version of this format: 1.
    pub report_version: u32,
    pub program: Program,
    /// Exit status of the program: 0 nothing at or above `fail_on`, 1 something, 2 something
    /// could not be judged or read.
    pub exit_status: u8,
    /// Why the files could not be read. Not empty: nothing was judged.
    pub problems: Vec<ProblemReport>,
    /// Null where the files could not be read.
    pub job: Option<Job>,
    /// Files read, in the order of reading.
    pub files: Vec<FileUsed>,
    /// What was asked for.
    pub asked: Option<Asked>,
    /// Findings listed below, by kind.
    pub counts: CountsReport,
    /// To be shown with every result.
    pub cautions: Vec<String>,
    /// Every stage of the job, in order, whatever was asked for.
    pub stages: Vec<StageReport>,
    /// Findings asked for: worst severity first, then stage, code and members.
    pub findings: Vec<FindingReport>,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Program {
    pub name: String,
    pub version: String,
}

/// Something wrong with a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ProblemReport {
    pub file: String,
    /// From 1; 0 where the whole file is meant.
    pub line: usize,
    /// From 1; 0 where the whole file is meant.
    pub column: usize,
    /// Place inside the document, such as `blocks[0].x.every`; may be empty.
    pub path: String,
    pub message: String,
    pub help: Option<String>,
}

/// What was judged, and by what rules.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Job {
    pub title: String,
    pub about: String,
    pub equipment: Equipment,
    pub criteria: Criteria,
    pub members: usize,
    /// The scene has no sequence: only the finished stage was judged.
    pub finished_only: bool,
    /// Changes tried in the scene, made before it was judged, in order. Not part of the scene as
    /// its author wrote it.
    pub changes: Vec<ChangeReport>,
}

/// A change tried in the scene.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct ChangeReport {
    pub name: String,
    /// What it does, for people.
    pub does: String,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Equipment {
    pub title: String,
    /// Invented or incomplete numbers: not for use on a site.
    pub sample: bool,
}

#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Criteria {
    pub name: String,
    pub title: String,
    pub region: String,
    /// Options laid over the pack.
    pub options: Vec<String>,
    /// Numbers of the pack that nobody has seen in print; while there are any it is incomplete.
    pub from_memory: usize,
    /// In words, for every output; null: complete.
    pub incomplete: Option<String>,
    /// Every number of the pack with its source and the file that gives it.
    pub rules: Vec<RuleReport>,
}

/// A number of the pack.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RuleReport {
    /// Its name in the pack's file.
    pub name: String,
    /// SI value; null: the pack sets no limit.
    pub value: Option<f64>,
    pub source: String,
    /// `print`, `memory` or `practice`.
    pub seen: String,
    pub note: String,
    /// The file that gives it.
    pub from: String,
}

/// A file the result rests on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct FileUsed {
    /// As it was asked for; what came with the program is marked `shipped:`.
    pub path: String,
    /// SHA-256 of its bytes, hexadecimal.
    pub sha256: String,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Asked {
    /// Index of the one stage asked for; null: all.
    pub stage: Option<usize>,
    /// Findings below this severity are left out, but for what could not be judged.
    pub from: Severity,
    pub fail_on: Severity,
}

/// How many findings of each kind. What could not be judged counts as `unknown` alone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CountsReport {
    pub stop: usize,
    pub unknown: usize,
    pub fix_first: usize,
    pub watch: usize,
    pub note: usize,
    /// Of all those, accepted by somebody.
    pub accepted: usize,
}

impl Report {
    /// The report of a judged job.
    #[must_use]
    pub fn of(subject: &Subject<'_>) -> Self {
        let review = subject.review;
        let scene = &review.assembly.scene;
        let library = &review.assembly.library;
        let shown: Vec<(usize, &Finding)> = review
            .findings
            .iter()
            .enumerate()
            .filter(|(_, finding)| subject.selection.shows(finding))
            .collect();
        let mut cautions: Vec<String> = CAUTIONS.iter().map(ToString::to_string).collect();
        if library.sample {
            cautions.insert(0, SAMPLE_CAUTION.to_owned());
        }
        Self {
            exit_status: subject.exit_status,
            job: Some(Job {
                title: scene.title.clone(),
                about: scene.about.clone(),
                equipment: Equipment { title: library.title.clone(), sample: library.sample },
                criteria: Criteria::of(&review.pack),
                members: review.assembly.members.len(),
                finished_only: review.sequence.finished_only,
                changes: (review.changes.iter())
                    .map(|c| ChangeReport {
                        name: c.name.clone(),
                        does: crate::changes::words::of(&c.change, subject.units),
                    })
                    .collect(),
            }),
            files: subject.files.to_vec(),
            asked: Some(Asked {
                stage: subject.selection.stage,
                from: subject.selection.from,
                fail_on: subject.fail_on,
            }),
            counts: Counts::of(shown.iter().map(|(_, finding)| *finding)).into(),
            cautions,
            stages: review
                .sequence
                .stages
                .iter()
                .zip(&review.summaries)
                .map(|(stage, summary)| {
                    let all = subject.selection.stage == Some(stage.index);
                    let strength = StrengthReport::of(review, stage.index, all);
                    StageReport::of(review, stage, summary, strength)
                })
                .collect(),
            findings: shown.iter().map(|(id, f)| FindingReport::of(*id, f)).collect(),
            ..Self::empty()
        }
    }

    /// The report of a job that could not be read.
    #[must_use]
    pub fn of_problems(problems: &Problems, exit_status: u8) -> Self {
        Self {
            exit_status,
            problems: problems.0.iter().map(ProblemReport::of).collect(),
            ..Self::empty()
        }
    }

    /// This program and its version.
    #[must_use]
    pub fn program() -> Program {
        Program {
            name: env!("CARGO_PKG_NAME").to_owned(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
        }
    }

    fn empty() -> Self {
        Self {
            report_version: REPORT_VERSION,
            program: Self::program(),
            exit_status: 0,
            problems: Vec::new(),
            job: None,
            files: Vec::new(),
            asked: None,
            counts: CountsReport::default(),
            cautions: CAUTIONS.iter().map(ToString::to_string).collect(),
            stages: Vec::new(),
            findings: Vec::new(),
        }
    }
}

impl FileUsed {
    /// What the reader noted of a file.
    #[must_use]
    pub fn of(stamp: &FileStamp) -> Self {
        Self { path: stamp.path.display().to_string(), sha256: stamp.sha256.clone() }
    }
}

impl ProblemReport {
    fn of(problem: &Problem) -> Self {
        Self {
            file: problem.file.display().to_string(),
            line: problem.line,
            column: problem.column,
            path: problem.path.clone(),
            message: problem.message.clone(),
            help: problem.help.clone(),
        }
    }
}

impl Criteria {
    /// A pack for machines.
    #[must_use]
    pub fn of(pack: &Pack) -> Self {
        Self {
            name: pack.name.clone(),
            title: pack.full_title(),
            region: pack.region.clone(),
            options: pack.options.clone(),
            from_memory: pack.from_memory().0,
            incomplete: pack.incomplete(),
            rules: pack.rules().iter().map(RuleReport::of).collect(),
        }
    }
}

impl RuleReport {
    /// A rule for machines.
    #[must_use]
    pub fn of(rule: &RuleLine<'_>) -> Self {
        Self {
            name: rule.name.to_owned(),
            value: rule.si,
            source: rule.source.to_owned(),
            seen: crate::checks::support::seen(rule.seen).to_owned(),
            note: rule.note.to_owned(),
            from: rule.from.to_owned(),
        }
    }
}

impl From<Counts> for CountsReport {
    fn from(counts: Counts) -> Self {
        let Counts { stop, unknown, fix_first, watch, note, accepted } = counts;
        Self { stop, unknown, fix_first, watch, note, accepted }
    }
}
