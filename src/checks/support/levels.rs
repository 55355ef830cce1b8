//! The states of the levels that belong to a stage.

use super::super::StageContext;
use crate::levels::job::{self, LevelState};

/// States after the steps of the levels that stand at this stage.
#[must_use]
pub fn at_stage(ctx: &StageContext<'_>) -> Vec<LevelState> {
    let Some(levels) = &ctx.assembly.scene.levels else { return Vec::new() };
    // What cannot be gone through is an error before anything is judged.
    let Ok(states) = job::run(levels, ctx.pack, &ctx.assembly.library) else { return Vec::new() };
    let steps = ctx.stage.level_steps.clone();
    states.into_iter().filter(|s| steps.contains(&s.step)).collect()
}
