//! Changes tried in the program: made before a scene is judged, and never in the author's text.
//!
//! [`lay_out`] takes a scene with its list of changes to an assembly and a sequence. What a change
//! does to parts and places is done to the scene before it is laid out; what it does to the order
//! of work is done to the steps the scene alone expands to, so that a brace taken out is missed
//! and nothing else is different. Whatever cannot be done is a problem at the change.
//!
//! Known to work when a scene with changes gives the same stages as the same scene with the
//! changes written into its body by hand: `tests/changes/by_hand.rs`.

mod layout;
pub mod offers;
mod order;
mod put_in;
mod steps;
pub mod words;

use crate::assembly::{self, Assembly};
use crate::criteria::Pack;
use crate::levels;
use crate::scene::model::{Change, SequenceItem, StepText};
use crate::scene::{Loaded, Problem, Problems, SceneSource, check};
use crate::sequence::{self, Sequence};
use std::ops::Range;

/// A scene laid out and stepped through, its changes made.
#[derive(Clone, Debug)]
pub struct LaidOut {
    /// Its scene is the changed one; it has no changes left.
    pub assembly: Assembly,
    pub sequence: Sequence,
    pub pack: Pack,
    /// The changes that were made.
    pub changes: Vec<Change>,
}

/// Makes a scene's changes, lays it out and goes through its steps.
///
/// # Errors
/// What is wrong with the scene by itself; and what cannot be done, at the change that asks for
/// it or, where a step of the scene can no longer be done, at the step's entry.
pub fn lay_out(loaded: Loaded) -> Result<LaidOut, Problems> {
    let Loaded { mut scene, source, library, pack, .. } = loaded;
    let changes = std::mem::take(&mut scene.changes);
    let before = assembly::build(&scene, &library, &source)?;
    if changes.is_empty() {
        let sequence = sequence::run(&before, &source)?;
        let steps: Vec<&str> = sequence.stages.iter().map(|s| s.step.as_str()).collect();
        levels::job::check(&before, &pack, &steps, &source)?;
        return Ok(LaidOut { assembly: before, sequence, pack, changes });
    }
    let steps = sequence::expand_entries(&scene, &before, &source)?;

    let mut layout = layout::Layout::new(scene);
    for (k, change) in changes.iter().enumerate() {
        layout.make(k, &change.change, &source);
    }
    layout.done(&source)?;
    let own = check::scene(&before.scene, &source, Some(&library));
    let checked = check::scene(&layout.scene, &source, Some(&library));
    let checked: Vec<Problem> = checked.into_iter().filter(|p| !own.contains(p)).collect();
    if !checked.is_empty() {
        return Err(Problems(checked.into_iter().map(|p| layout.place(p, &source)).collect()));
    }
    let mut after = assembly::build(&layout.scene, &library, &source)
        .map_err(|p| Problems(p.0.into_iter().map(|p| layout.place(p, &source)).collect()))?;
    layout.written_at(&mut after, &source);

    let mut plan = steps::Plan::new(&before, &after, steps);
    let mut problems = Vec::new();
    for (k, change) in changes.iter().enumerate() {
        if let Err(trouble) = plan.make(k, &change.change) {
            problems.push(at_change(&source, k, &change.name, trouble));
        }
    }
    if !problems.is_empty() {
        return Err(Problems(problems));
    }
    let (steps, entries) = plan.carry_out(&changes, &source)?;
    drop(plan);
    after.scene.sequence = steps.into_iter().map(SequenceItem::Step).collect();
    let mut sequence = sequence::run(&after, &SceneSource::default())?;
    let names: Vec<&str> = sequence.stages.iter().map(|s| s.step.as_str()).collect();
    levels::job::check(&after, &pack, &names, &source)?;
    for (stage, entry) in sequence.stages.iter_mut().zip(entries) {
        stage.written_at = place_of_entry(&source, entry);
    }
    Ok(LaidOut { assembly: after, sequence, pack, changes })
}

/// The steps of a scene with every line written out, its changes made.
///
/// # Errors
/// As [`lay_out`].
pub fn expand(loaded: Loaded) -> Result<Vec<StepText>, Problems> {
    let laid_out = lay_out(loaded)?;
    sequence::expand(&laid_out.assembly.scene, &laid_out.assembly)
}

fn place_of_entry(source: &SceneSource, entry: usize) -> Range<usize> {
    source.range(&format!("sequence[{entry}]"))
}

fn at_change(
    source: &SceneSource,
    index: usize,
    name: &str,
    trouble: sequence::trouble::Trouble,
) -> Problem {
    let message = format!("the change \"{name}\" cannot be made: {}", trouble.message);
    Problem { help: trouble.help, ..source.problem_at(&format!("changes[{index}]"), message) }
}
