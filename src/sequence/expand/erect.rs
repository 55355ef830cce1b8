//! The normal cycle from a braced tower: one post a step.

use super::cycle::Cycle;
use super::grid::{Bay, BlockGrid, Region, corners};
use super::order;
use crate::scene::lines::GridPoint;
use crate::scene::model::{BracingRule, ErectText, StepText};
use crate::sequence::machine::Machine;
use crate::sequence::names;
use crate::sequence::trouble::Trouble;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// Steps `id.C4`, one a post; `id.late.C4-D4` for diagonals the rule holds back by steps, and
/// `id.rest` for what it holds back to the end and whatever else of the part is missing.
///
/// # Errors
/// When the block, tower, region, lines or edits name what is not there, or nothing is to be done.
pub fn steps(text: &ErectText, before: &Machine<'_>) -> Result<Vec<StepText>, Trouble> {
    let grid = BlockGrid::new(before.assembly, &text.block)?;
    let tower = grid.tower(&text.from)?;
    let mut cycle = Cycle::new(&grid, before);
    if let Some(p) = corners(tower).into_iter().find(|&p| !cycle.post_there(p)) {
        return Err(Trouble::new(format!(
            "the tower \"{}\" does not stand yet: post {} is missing",
            text.from,
            grid.label(p)
        ))
        .help(format!("put Tower(…, at: \"{}\") before this entry", text.from)));
    }
    let region = grid.region(text.posts.as_deref())?;
    let with_bay = bays_in_cycle(&grid, &text.bracing)?;
    edits(&mut cycle, text)?;
    let order = order::posts(&cycle, region, tower, text.toward);
    let mut out = Vec::new();
    let mut late: VecDeque<(usize, Bay)> = VecDeque::new();
    for (i, p) in order.into_iter().enumerate() {
        while late.front().is_some_and(|&(due, _)| due <= i) {
            if let Some((_, bay)) = late.pop_front() {
                out.push(late_step(&mut cycle, text, bay));
            }
        }
        let mut actions = Vec::new();
        cycle.stand_up(p, &mut actions);
        let mut braced = Vec::new();
        for bay in cycle.bays_to_brace(p) {
            if !with_bay.contains(&bay) {
                continue;
            }
            if text.bracing.late_by > 0 {
                cycle.count_as_braced(bay);
                late.push_back((i + 1 + text.bracing.late_by as usize, bay));
            } else {
                let before = actions.len();
                cycle.brace(bay, &mut actions);
                // Where the diagonals are left out, the title does not say that they come in.
                if actions.len() > before {
                    braced.push(grid.line_of(bay).to_owned());
                }
            }
        }
        cycle.brace_in_plan(p, &mut actions);
        let off = cycle.release(Some(p), &mut actions);
        out.push(StepText {
            id: format!("{}.{}", text.id, grid.label(p)),
            title: title(&grid, p, &braced, &off),
            actions,
            people: cycle.erector(p).into_iter().collect(),
            crew: text.crew,
        });
    }
    for (_, bay) in late {
        out.push(late_step(&mut cycle, text, bay));
    }
    out.extend(rest_step(&mut cycle, text, region));
    if out.is_empty() {
        return Err(Trouble::new("nothing is left to do here: all of this part stands")
            .help("name other corner posts in `posts`, or take this entry out"));
    }
    Ok(out)
}

fn title(grid: &BlockGrid<'_>, p: GridPoint, braced: &[String], off: &[GridPoint]) -> String {
    let mut title = format!("Stand up post {}", grid.label(p));
    match braced {
        [] => {}
        [line] => title.push_str(&format!(", brace line {line}")),
        lines => title.push_str(&format!(", brace lines {}", lines.join(" and "))),
    }
    if off.is_empty() {
        title.push_str(", hold it");
    }
    title
}

fn late_step(cycle: &mut Cycle<'_, '_>, text: &ErectText, bay: Bay) -> StepText {
    let label = cycle.grid.bay_label(bay);
    let mut actions = Vec::new();
    cycle.brace(bay, &mut actions);
    cycle.release(None, &mut actions);
    StepText {
        id: format!("{}.late.{label}", text.id),
        title: format!("Brace bay {label}, late"),
        actions,
        people: Vec::new(),
        crew: text.crew,
    }
}

/// Ledgers, joists and diagonals between posts of the part that are still missing.
fn rest_step(cycle: &mut Cycle<'_, '_>, text: &ErectText, region: Region) -> Option<StepText> {
    let grid = cycle.grid;
    let inside = |bay: &Bay| region.contains(bay.from) && region.contains(bay.to);
    let mut actions = Vec::new();
    for (&bay, &beam) in grid.beams.iter().filter(|(bay, _)| inside(bay)) {
        if cycle.post_there(bay.from) && cycle.post_there(bay.to) {
            cycle.tie(beam, &mut actions);
        }
    }
    for &bay in grid.braces.keys().filter(|bay| inside(bay)) {
        if cycle.post_there(bay.from) && cycle.post_there(bay.to) {
            cycle.brace(bay, &mut actions);
        }
    }
    cycle.release(None, &mut actions);
    (!actions.is_empty()).then(|| StepText {
        id: format!("{}.rest", text.id),
        title: "Close and brace the other bays".to_owned(),
        actions,
        people: Vec::new(),
        crew: text.crew,
    })
}

/// Bays whose diagonals go in with their bay.
fn bays_in_cycle(grid: &BlockGrid<'_>, rule: &BracingRule) -> Result<BTreeSet<Bay>, Trouble> {
    if rule.every == 0 {
        return Err(Trouble::new("`every: 0` braces no bay: 1 is the least"));
    }
    for line in &rule.lines {
        if !grid.grid.x.contains(line) && !grid.grid.y.contains(line) {
            return Err(Trouble::new(format!(
                "the block \"{}\" has no line \"{line}\" to brace",
                grid.block.name
            )));
        }
    }
    let mut first: BTreeMap<&str, Bay> = BTreeMap::new();
    let mut chosen = BTreeSet::new();
    for &bay in grid.braces.keys() {
        let line = grid.line_of(bay);
        if !rule.lines.is_empty() && !rule.lines.iter().any(|l| l == line) {
            continue;
        }
        let start = first.entry(line).or_insert(bay).from;
        let apart = (bay.from.x - start.x) + (bay.from.y - start.y);
        if apart.is_multiple_of(rule.every as usize) {
            chosen.insert(bay);
        }
    }
    Ok(chosen)
}

/// What is left out, and who lets go too soon.
fn edits(cycle: &mut Cycle<'_, '_>, text: &ErectText) -> Result<(), Trouble> {
    for pattern in &text.skip {
        let full = format!("{}.{pattern}", text.block);
        let ids = names::resolve(cycle.grid.assembly, &full)
            .map_err(|t| Trouble { message: format!("`skip`: {}", t.message), ..t })?;
        cycle.skip.extend(ids);
    }
    for label in &text.release_early {
        let p = cycle.grid.grid.point(label).map_err(|e| Trouble::new(e.to_string()))?;
        cycle.release_early.insert(p);
    }
    Ok(())
}
