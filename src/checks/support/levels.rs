//! The states of the levels that belong to a stage.

use super::super::StageContext;
use crate::levels::job::{self, LevelState};

/// States after the steps of the levels that stand at this stage: those written for its step, or
/// the last before it. Steps that name no step of the sequence belong to the first stage.
#[must_use]
pub fn at_stage(ctx: &StageContext<'_>) -> Vec<LevelState> {
    let Some(levels) = &ctx.assembly.scene.levels else { return Vec::new() };
    // What cannot be gone through is an error before anything is judged.
    let Ok(states) = job::run(levels, ctx.pack, &ctx.assembly.library) else { return Vec::new() };
    let stage_of = |state: &LevelState| {
        let step = state.at.as_deref();
        step.and_then(|at| ctx.sequence.stages.iter().position(|s| s.step == at)).unwrap_or(0)
    };
    let own: Vec<LevelState> =
        states.iter().filter(|s| stage_of(s) == ctx.stage.index).cloned().collect();
    if !own.is_empty() {
        return own;
    }
    states.into_iter().rev().find(|s| stage_of(s) < ctx.stage.index).into_iter().collect()
}
