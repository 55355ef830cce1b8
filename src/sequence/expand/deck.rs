//! Fillers and sheets, bay after bay.

use super::cycle::Cycle;
use super::grid::{BlockGrid, corners};
use crate::assembly::MemberId;
use crate::scene::lines::GridPoint;
use crate::scene::model::{Action, DeckText, StepText};
use crate::sequence::machine::Machine;
use crate::sequence::trouble::Trouble;

/// Steps `id.C4-D5`, one a bay: heads locked, fillers set, sheets laid. Bays without fillers and
/// sheets in the block, or decked before, give no step.
///
/// # Errors
/// When the block or region is not there, a bay's post does not stand, or nothing is to be done.
pub fn steps(text: &DeckText, before: &Machine<'_>) -> Result<Vec<StepText>, Trouble> {
    let grid = BlockGrid::new(before.assembly, &text.block)?;
    let region = grid.region(text.posts.as_deref())?;
    let mut cycle = Cycle::new(&grid, before);
    let mut out = Vec::new();
    for y in region.low.y..region.high.y {
        for x in region.low.x..region.high.x {
            let low = GridPoint { x, y };
            let missing = |ids: Option<&Vec<MemberId>>| -> Vec<MemberId> {
                let all = ids.into_iter().flatten().copied();
                all.filter(|&id| !before.there(id)).collect()
            };
            let fillers = missing(grid.fillers.get(&low));
            let sheets = missing(grid.sheets.get(&low));
            if fillers.is_empty() && sheets.is_empty() {
                continue;
            }
            let cell = corners(low);
            let label = format!("{}-{}", grid.label(cell[0]), grid.label(cell[3]));
            let mut actions = Vec::new();
            for p in cell {
                if grid.posts.contains_key(&p) && !cycle.post_there(p) {
                    return Err(Trouble::new(format!(
                        "bay {label} cannot be decked: post {} does not stand",
                        grid.label(p)
                    ))
                    .help("erect the bay before its deck"));
                }
                cycle.lock_head(p, &mut actions);
            }
            let name = |&id: &MemberId| grid.assembly.name(id).to_owned();
            actions.extend(fillers.iter().map(|id| Action::Set(name(id))));
            actions.extend(
                sheets.iter().map(|id| Action::Deck { sheets: name(id), nailed: text.nailed }),
            );
            out.push(StepText {
                id: format!("{}.{label}", text.id),
                title: format!("Deck bay {label}"),
                actions,
                people: Vec::new(),
                crew: None,
            });
        }
    }
    if out.is_empty() {
        return Err(Trouble::new(format!(
            "nothing is left to deck here: no filler or sheet of block \"{}\" is missing",
            text.block
        )));
    }
    Ok(out)
}
