//! The whole way: from a scene to all findings of all stages.
//!
//! [`judge`] lays out the scene, steps through its sequence, judges every stage, runs the checks
//! on it and puts what they saw together: what stands over several stages is one finding, and what
//! only follows from another hangs under it.

mod compare;
mod follow;
mod judge;
mod merge;
mod reserves;
mod summary;

pub use compare::{
    Comparison, Number, Pair, StageDifference, StagePair, Turn, compare, compare_stages,
};
pub use follow::{Downstream, rank};
pub use judge::{
    CANCELLED, Judge, judge, judge_laid_out, judge_one, observe_next, observe_one, was_cancelled,
};
pub use merge::merge;
pub use reserves::{Known, ReserveOf, Reserves, critical_factor, reserves};
pub use summary::summarise;

use crate::assembly::Assembly;
use crate::calc::At;
use crate::criteria::Pack;
use crate::equilibrium::StageEquilibrium;
use crate::findings::{Finding, Severity};
use crate::loads::LoadState;
use crate::mechanics::StageMechanics;
use crate::restraint::Restraint;
use crate::scene::model::Change;
use crate::sequence::Sequence;
use std::sync::Arc;

/// Worst of a stage, for the strip of stages.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StageSummary {
    pub worst: Option<Severity>,
    pub unknown: bool,
    /// Least reserve of what was judged with a number at the stage: capacity over demand, 1 is the
    /// limit, 0 where something moves freely.
    pub reserve: Option<f64>,
    /// What that reserve is of.
    pub reserve_of: String,
    /// The reserve is a proven lower bound: at least this much.
    pub reserve_at_least: bool,
    /// Every kind of reserve by itself.
    pub reserves: Reserves,
    /// Indices into [`Review::findings`] of those that stand at this stage.
    pub findings: Vec<usize>,
}

/// Everything known of one stage.
#[derive(Clone, Debug)]
pub struct JudgedStage {
    pub loads: LoadState,
    pub restraint: Restraint,
    pub mechanics: StageMechanics,
    pub equilibrium: StageEquilibrium,
}

impl JudgedStage {
    /// Keeps in common with another stage what is the same: thousands of stages differ by a few
    /// members each.
    pub fn share(&mut self, with: &Self) {
        self.loads.share(&with.loads);
        self.restraint.share(&with.restraint);
        self.mechanics.axial.share(&with.mechanics.axial);
        self.mechanics.strength.posts.share(&with.mechanics.strength.posts);
        let lines = self.mechanics.brace_lines.iter_mut().zip(&with.mechanics.brace_lines);
        for (line, other) in lines.filter(|(line, other)| line.members == other.members) {
            line.members = Arc::clone(&other.members);
        }
    }

    /// Keeps it so that the next can have in common with it what is the same.
    pub fn pack(&mut self) {
        self.mechanics.axial.pack();
        self.mechanics.strength.posts.pack();
    }
}

/// A scene with all its stages judged.
#[derive(Clone, Debug)]
pub struct Review {
    pub assembly: Assembly,
    pub pack: Pack,
    pub sequence: Sequence,
    pub stages: Vec<JudgedStage>,
    pub summaries: Vec<StageSummary>,
    /// Sorted: severity (worst first), stage, code, subjects; roots and consequences in one list.
    pub findings: Vec<Finding>,
    /// Changes tried in the scene that were made before it was judged.
    pub changes: Vec<Change>,
}

impl Review {
    /// What calculations read of a stage. None: there is no such stage.
    #[must_use]
    pub fn at(&self, stage: usize) -> Option<At<'_>> {
        let judged = self.stages.get(stage)?;
        Some(At {
            assembly: &self.assembly,
            pack: &self.pack,
            stage: self.sequence.stages.get(stage)?,
            loads: &judged.loads,
            mechanics: &judged.mechanics,
        })
    }
}
