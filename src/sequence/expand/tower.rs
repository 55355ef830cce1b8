//! A braced tower from four neighbouring posts.
//!
//! The second post is tied and braced to the first, the third to the first, the fourth to both;
//! then hands come off all four. Five people are the least there is. A post in hand holds nobody
//! else, and three posts with two braced faces are free where the third face is missing, so each
//! of the four is in hand when the last ledger goes on.

use super::cycle::Cycle;
use super::grid::{BlockGrid, corners};
use crate::scene::model::{StepText, TowerText};
use crate::sequence::machine::Machine;
use crate::sequence::trouble::Trouble;

/// Four steps, one a post; hands come off in the last.
///
/// # Errors
/// When the block or its corners are not there, or a face has no diagonal in the block.
pub fn steps(text: &TowerText, before: &Machine<'_>) -> Result<Vec<StepText>, Trouble> {
    let grid = BlockGrid::new(before.assembly, &text.block)?;
    let low = grid.tower(&text.at)?;
    let [first, along, across, last] = corners(low);
    for (a, b) in [(first, along), (across, last), (first, across), (along, last)] {
        let bay = super::grid::Bay::between(a, b);
        if bay.is_none_or(|bay| !grid.braces.contains_key(&bay)) {
            let face = bay.map(|bay| grid.bay_label(bay)).unwrap_or_default();
            return Err(Trouble::new(format!(
                "the tower's face {face} has no diagonal in the block \"{}\"",
                text.block
            ))
            .help(format!("list \"{face}\" in the block's `braced`")));
        }
    }
    let mut cycle = Cycle::new(&grid, before);
    let mut steps = Vec::new();
    for p in [first, along, across, last] {
        if cycle.post_there(p) {
            return Err(Trouble::new(format!("the tower's post {} stands already", grid.label(p))));
        }
        let mut actions = Vec::new();
        cycle.stand_up(p, &mut actions);
        for bay in cycle.bays_to_brace(p) {
            cycle.brace(bay, &mut actions);
        }
        cycle.brace_in_plan(p, &mut actions);
        cycle.release(Some(p), &mut actions);
        let label = grid.label(p);
        let title = match steps.len() {
            0 => format!("Tower: stand up post {label} and hold it"),
            3 => format!("Tower: post {label}, last faces braced, hands off"),
            _ => format!("Tower: post {label}, its face braced"),
        };
        steps.push(StepText {
            id: format!("{}.{label}", text.id),
            title,
            actions,
            people: cycle.erector(p).into_iter().collect(),
            crew: text.crew,
        });
    }
    Ok(steps)
}
