//! Which stages a permit covers.

use crate::record::PermitKind;
use crate::review::Review;
use crate::scene::model::LoadKind;
use crate::sequence::{JointState, Stage};

/// Steps named by the person who asks, instead of those found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Asked {
    /// The stage as built.
    pub from: Option<String>,
    /// The last stage covered.
    pub until: Option<String>,
}

/// Stages by index: as built, and the last one covered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    pub from: usize,
    pub until: usize,
}

/// To load: from the stage before the first concrete, through all that follows, up to where the
/// falsework first begins to come down. To strike: from the stage before it first comes down after
/// concrete lay on it, to the end. Stages named by the person take their place.
///
/// # Errors
/// In words, where the sequence has no such step: what nobody wrote down was not judged.
pub fn window(review: &Review, kind: PermitKind, asked: &Asked) -> Result<Window, String> {
    let stages = &review.sequence.stages;
    let Some(last) = stages.len().checked_sub(1) else {
        return Err("the scene has no stage at all".to_owned());
    };
    if review.sequence.finished_only {
        return Err("the scene has no sequence: neither placing nor striking was judged".to_owned());
    }
    let first_concrete = stages.iter().position(has_concrete);
    let first_down = first_concrete.and_then(|concrete| {
        (concrete + 1..=last).find(|&i| comes_down(&stages[i - 1], &stages[i]))
    });
    let (from, until) = match kind {
        PermitKind::Load => {
            let concrete = first_concrete.ok_or(
                "no step of the scene places concrete, so the load it would allow was not judged",
            )?;
            (before(concrete)?, first_down.map_or(last, |down| down - 1))
        }
        PermitKind::Strike => {
            let down = first_down.ok_or(
                "no step of the scene lowers or takes anything down after concrete was placed, so \
                 striking was not judged",
            )?;
            (before(down)?, last)
        }
    };
    let named = |step: &Option<String>, found: usize| match step {
        None => Ok(found),
        Some(step) => stages
            .iter()
            .position(|s| &s.step == step)
            .ok_or_else(|| format!("there is no step \"{step}\"")),
    };
    let window = Window { from: named(&asked.from, from)?, until: named(&asked.until, until)? };
    // A person may look earlier and further, but not past what the permit is for.
    if window.from > from {
        return Err(format!(
            "step \"{}\" is after it has begun: the stage as built is that of \"{}\"",
            stages[window.from].step, stages[from].step
        ));
    }
    if window.until <= from {
        return Err(format!(
            "step \"{}\" is before what the permit is for begins, at \"{}\"",
            stages[window.until].step,
            stages[from + 1].step
        ));
    }
    Ok(window)
}

fn before(index: usize) -> Result<usize, String> {
    index.checked_sub(1).ok_or_else(|| {
        "it begins in the first step: there is no stage as built before it".to_owned()
    })
}

fn has_concrete(stage: &Stage) -> bool {
    stage.loads.iter().any(|load| load.text.kind == LoadKind::Concrete)
}

/// Something is taken away or let down that stood.
fn comes_down(before: &Stage, after: &Stage) -> bool {
    !after.removed.is_empty()
        || before
            .joints
            .iter()
            .zip(&after.joints)
            .any(|(was, is)| *is == JointState::Lowered && *was != JointState::Lowered)
}
