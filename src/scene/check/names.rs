//! How things are named, and names of floors, slabs, blocks and loads that are nowhere.

use super::{Check, duplicates::id};
use crate::scene::model::{Action, LoadPlace, SequenceItem};

pub(super) fn check(check: &mut Check<'_>) {
    written(check);
    blocks(check);
    sequence(check);
}

/// Names must be there, and must not hold what has another meaning.
fn written(check: &mut Check<'_>) {
    let scene = check.scene;
    for (i, block) in scene.blocks.iter().enumerate() {
        let path = format!("blocks[{i}].name");
        if block.name.is_empty() || block.name.contains(['.', '*', '-', ' ']) {
            check.at(&path, "a block's name is letters, digits and _, without a point, dash or *");
        }
    }
    for (i, member) in scene.members.iter().enumerate() {
        let path = format!("members[{i}].name");
        if member.name.is_empty() || member.name.contains(['*', ' ']) {
            check.at(&path, "a member's name has no blank and no * in it, and is not empty");
        }
        let block = member.name.split('.').next().unwrap_or("");
        if member.name.contains('.') && scene.blocks.iter().any(|b| b.name == block) {
            check.at(&path, format!("names that begin with \"{block}.\" belong to the block"));
        }
    }
    for (i, item) in scene.sequence.iter().enumerate() {
        if id(item).is_empty() {
            check.at(&format!("sequence[{i}].id"), "a step needs an id");
        }
    }
    let others = [
        ("floors", scene.floors.iter().map(|f| f.name.is_empty()).collect::<Vec<_>>()),
        ("slabs", scene.slabs.iter().map(|s| s.name.is_empty()).collect()),
        ("permanent", scene.permanent.iter().map(|p| p.name.is_empty()).collect()),
    ];
    for (section, empty) in others {
        for (i, _) in empty.iter().enumerate().filter(|&(_, &empty)| empty) {
            check.at(&format!("{section}[{i}].name"), "a name is missing between the quotes");
        }
    }
}

fn blocks(check: &mut Check<'_>) {
    let scene = check.scene;
    let floors: Vec<&str> = scene.floors.iter().map(|f| f.name.as_str()).collect();
    for (i, block) in scene.blocks.iter().enumerate() {
        let fitting = floors.iter().copied();
        check.known(&format!("blocks[{i}].stands_on"), "floor", &block.stands_on, fitting);
        for (j, offset) in block.offsets.iter().enumerate() {
            if let Some(floor) = &offset.stands_on {
                let path = format!("blocks[{i}].offsets[{j}].stands_on");
                check.known(&path, "floor", floor, floors.iter().copied());
            }
        }
    }
}

fn sequence(check: &mut Check<'_>) {
    let scene = check.scene;
    let blocks: Vec<&str> = scene.blocks.iter().map(|b| b.name.as_str()).collect();
    let slabs: Vec<&str> = scene.slabs.iter().map(|s| s.name.as_str()).collect();
    let loads: Vec<&str> = scene.sequence.iter().flat_map(loads_of).collect();
    for (i, item) in scene.sequence.iter().enumerate() {
        let block = match item {
            SequenceItem::Tower(tower) => Some(&tower.block),
            SequenceItem::Erect(erect) => Some(&erect.block),
            SequenceItem::Deck(deck) => Some(&deck.block),
            SequenceItem::Pour(pour) => pour.block.as_ref(),
            SequenceItem::Strip(strip) => Some(&strip.block),
            SequenceItem::Step(_) => None,
        };
        if let Some(block) = block {
            let path = format!("sequence[{i}].block");
            check.known(&path, "block", block, blocks.iter().copied());
        }
        if let SequenceItem::Pour(pour) = item {
            let path = format!("sequence[{i}].slab");
            check.known(&path, "slab", &pour.slab, slabs.iter().copied());
        }
        let SequenceItem::Step(step) = item else { continue };
        for (j, action) in step.actions.iter().enumerate() {
            let path = format!("sequence[{i}].do[{j}]");
            match action {
                Action::Load(load) => {
                    if let LoadPlace::Pour { slab, .. } | LoadPlace::Layer { slab, .. } = &load.on {
                        let at = format!("{path}.on.slab");
                        check.known(&at, "slab", slab, slabs.iter().copied());
                    }
                    if let LoadPlace::Layer { slab, beam, .. } = &load.on
                        && let Some(slab) = scene.slabs.iter().find(|s| s.name == *slab)
                    {
                        let beams = slab.drop_beams.iter().map(|b| b.name.as_str());
                        check.known(&format!("{path}.on.beam"), "drop beam", beam, beams);
                    }
                }
                Action::Evidence(evidence) => {
                    let path = format!("{path}.slab");
                    check.known(&path, "slab", &evidence.slab, slabs.iter().copied());
                }
                Action::Unload(name) => {
                    check.known(&format!("{path}[0]"), "load", name, loads.iter().copied());
                }
                _ => {}
            }
        }
    }
}

fn loads_of(item: &SequenceItem) -> Vec<&str> {
    let SequenceItem::Step(step) = item else { return Vec::new() };
    step.actions
        .iter()
        .filter_map(|action| match action {
            Action::Load(load) => Some(load.name.as_str()),
            _ => None,
        })
        .collect()
}
