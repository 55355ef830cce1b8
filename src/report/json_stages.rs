//! The parts of the report for machines that say what stands and what was found.

use super::strength::StrengthReport;
use crate::equilibrium::Way;
use crate::findings::{Dimension, Finding, Measure, Motion, Severity, SourceNote};
use crate::review::{Review, StageSummary};
use crate::sequence::{MemberState, Stage};
use schemars::JsonSchema;
use serde::Serialize;

/// What stands when the hands are off after a step, in short.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct StageReport {
    /// From 0.
    pub index: usize,
    /// Id of the step that leads to it.
    pub step: String,
    pub title: String,
    /// Members that stand by themselves.
    pub standing: usize,
    /// Members kept up by people or a crane.
    pub held: usize,
    pub hands_needed: u32,
    pub crew: u32,
    /// Null: no finding stands here.
    pub worst: Option<Severity>,
    /// Something here could not be judged.
    pub unknown: bool,
    /// Least capacity over demand of what was judged with a number; 1 is the limit, 0 where
    /// something moves freely. Null: nothing to compare,
    /// or without limit.
    pub reserve: Option<f64>,
    pub reserve_of: String,
    /// The reserve is a proven lower bound: at least this much.
    pub reserve_at_least: bool,
    /// Strength, sway and bracing, second order.
    pub strength: StrengthReport,
    /// How far notional lateral and wind may grow until something slides on its feet, and until
    /// something tips: the piece or line of posts with the least to spare. Null: nothing stands.
    pub sliding: Option<SidewaysReport>,
    pub tipping: Option<SidewaysReport>,
    /// `id`s of the findings that stand here, listed below or not.
    pub findings: Vec<usize>,
}

/// How far the sideways loads of a stage may grow.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SidewaysReport {
    /// Null: without limit.
    pub factor: Option<f64>,
    /// The factor is a proven lower bound.
    pub at_least: bool,
    pub required: f64,
    /// Partial factors in it, on what holds, on lasting weight that turns and on variable actions: the
    /// factor is then on the variable actions alone. Null: one factor on the whole.
    pub partial_factors: Option<[f64; 3]>,
    /// Which load, which way.
    pub case: String,
    pub posts: Vec<String>,
}

/// What is wrong, where, by how much, why, and what would put it right.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FindingReport {
    /// Number within this report.
    pub id: usize,
    /// Code and members; the same in every report as long as the members keep their names.
    pub key: String,
    /// Hazard code, such as `SW101`; `standwell explain SW101` says more.
    pub code: String,
    pub hazard: String,
    pub severity: Severity,
    /// Could not be judged, which is not safe.
    pub unknown: bool,
    pub headline: String,
    /// Members it is about.
    pub members: Vec<String>,
    /// Members that matter for it besides.
    pub others: Vec<String>,
    /// Step that made it so, and index of its stage.
    pub from_step: String,
    pub from_stage: usize,
    /// Last stage at which it stands.
    pub last_stage: usize,
    /// First step after which it is gone; null: it stays to the end.
    pub cured_by: Option<String>,
    pub measures: Vec<MeasureReport>,
    /// Members along the path that holds, or that breaks where it ends.
    pub path: Vec<String>,
    /// How the members would move together: displacement in metres of their two ends, scaled so
    /// that the largest is 1 m. x and y in plan, z up.
    pub motion: Option<Motion>,
    pub notes: Vec<String>,
    /// What would put it right.
    pub cures: Vec<String>,
    pub sources: Vec<SourceNote>,
    /// Rests on invented sample equipment.
    pub sample_data: bool,
    /// `id` of the finding this follows from; null: a root.
    pub root: Option<usize>,
    pub accepted: Option<Accepted>,
}

/// A number held against its limit.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MeasureReport {
    pub what: String,
    /// SI value of the dimension; null: without limit, or not a number.
    pub measured: Option<f64>,
    /// SI value; null: no limit is stated.
    pub limit: Option<f64>,
    /// True: the measured must be at least the limit; false: at most.
    pub at_least: bool,
    pub dimension: Dimension,
}

#[derive(Clone, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Accepted {
    pub by: String,
    pub reason: String,
}

impl StageReport {
    pub(super) fn of(
        review: &Review,
        stage: &Stage,
        summary: &StageSummary,
        strength: StrengthReport,
    ) -> Self {
        let sideways = review.stages.get(stage.index).map(|s| &s.equilibrium.sideways);
        let report = |way: &Way| SidewaysReport {
            factor: Some(way.factor).filter(|factor| factor.is_finite()),
            at_least: way.at_least,
            required: way.required,
            partial_factors: way.partial.map(|p| [p.holding, p.turning, p.variable]),
            case: way.case.clone(),
            posts: way.posts.iter().map(|&p| review.assembly.name(p).to_owned()).collect(),
        };
        let count = |which: fn(&MemberState) -> bool| {
            stage.members.iter().filter(|state| which(state)).count()
        };
        Self {
            index: stage.index,
            step: stage.step.clone(),
            title: stage.title.clone(),
            standing: count(|state| *state == MemberState::Standing),
            held: count(|state| state.is_held()),
            hands_needed: stage.hands_needed,
            crew: stage.crew,
            worst: summary.worst,
            unknown: summary.unknown,
            reserve: summary.reserve.filter(|reserve| reserve.is_finite()),
            reserve_of: summary.reserve_of.clone(),
            reserve_at_least: summary.reserve_at_least,
            strength,
            sliding: sideways.and_then(|s| s.sliding.as_ref()).map(report),
            tipping: sideways.and_then(|s| s.tipping.as_ref()).map(report),
            findings: summary.findings.clone(),
        }
    }
}

impl FindingReport {
    pub(super) fn of(id: usize, finding: &Finding) -> Self {
        let evidence = &finding.evidence;
        Self {
            id,
            key: format!("{}:{}", finding.code, finding.subjects.join(",")),
            code: finding.code.clone(),
            hazard: finding.hazard.clone(),
            severity: finding.severity,
            unknown: finding.unknown,
            headline: finding.headline.clone(),
            members: finding.subjects.clone(),
            others: finding.others.clone(),
            from_step: finding.from_step.clone(),
            from_stage: finding.from_stage,
            last_stage: finding.last_stage,
            cured_by: finding.cured_by.clone(),
            measures: evidence.measures.iter().map(MeasureReport::of).collect(),
            path: evidence.path.clone(),
            motion: evidence.motion.clone(),
            notes: evidence.notes.clone(),
            cures: finding.cures.clone(),
            sources: finding.sources.clone(),
            sample_data: finding.sample_data,
            root: finding.root,
            accepted: finding
                .accepted
                .as_ref()
                .map(|(reason, by)| Accepted { by: by.clone(), reason: reason.clone() }),
        }
    }
}

impl MeasureReport {
    fn of(measure: &Measure) -> Self {
        let Measure { what, measured, limit, at_least, dimension } = measure;
        Self {
            what: what.clone(),
            measured: Some(*measured).filter(|value| value.is_finite()),
            limit: limit.filter(|value| value.is_finite()),
            at_least: *at_least,
            dimension: *dimension,
        }
    }
}
