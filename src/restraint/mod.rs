//! Who is held by what: the connectivity graph of a stage.
//!
//! A post's head has two plan directions. A ledger passes its force only along itself, so heads are
//! reasoned about line by line: all heads joined by bars along one direction move together in it
//! (`lines`). A line is held by a vertical diagonal or a tie in its own direction. Plan braces and
//! nailed decks couple lines with each other; each says in one equation that two heads keep their
//! distance, and a line is held through them only if the equations leave it nothing else
//! (`equations`). Counting the ledgers of a post says nothing, and is not done here.
//!
//! Posts count as rigid and pinned at both ends, so the answer is about mechanisms only. The graph
//! explains; the mechanics decides.

use crate::assembly::Assembly;
use crate::sequence::Stage;

mod bars;
mod carries;
pub(crate) mod diaphragm;
mod equations;
mod kept;
mod lines;
pub mod model;
mod paths;

pub use kept::Judge;
pub use model::{Hold, Restraint};

/// The restraint graph of one stage.
///
/// Held posts are left out: they need hands and give nothing to others. Damaged members pass
/// nothing.
#[must_use]
pub fn of_stage(assembly: &Assembly, stage: &Stage) -> Restraint {
    Judge::new(assembly).stage(stage)
}
