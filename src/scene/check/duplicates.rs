//! Names that are there twice, and keys that are there twice in a map.

use super::Check;
use crate::scene::model::SequenceItem;
use std::collections::BTreeMap;

pub(super) fn check(check: &mut Check<'_>) {
    let scene = check.scene;
    let list = |section: &str, field: &str, names: &mut dyn Iterator<Item = &str>| {
        names
            .enumerate()
            .map(|(i, name)| (format!("{section}[{i}].{field}"), name.to_owned()))
            .collect::<Vec<_>>()
    };
    let mut floors = scene.floors.iter().map(|f| f.name.as_str());
    let mut slabs = scene.slabs.iter().map(|s| s.name.as_str());
    let mut permanent = scene.permanent.iter().map(|p| p.name.as_str());
    let mut steps = scene.sequence.iter().map(id);
    let mut changes = scene.changes.iter().map(|c| c.name.as_str());
    let kinds = [
        ("floor", list("floors", "name", &mut floors)),
        ("slab", list("slabs", "name", &mut slabs)),
        ("wall or column", list("permanent", "name", &mut permanent)),
        ("step", list("sequence", "id", &mut steps)),
        ("change", list("changes", "name", &mut changes)),
    ];
    for (kind, names) in kinds {
        twice(check, kind, names);
    }
    // Blocks and single members share their names: both are named in steps.
    let mut all = list("blocks", "name", &mut scene.blocks.iter().map(|b| b.name.as_str()));
    all.extend(list("members", "name", &mut scene.members.iter().map(|m| m.name.as_str())));
    twice(check, "block or member", all);
    let mut beams = Vec::new();
    for (i, slab) in scene.slabs.iter().enumerate() {
        for (j, beam) in slab.drop_beams.iter().enumerate() {
            beams.push((format!("slabs[{i}].drop_beams[{j}].name"), beam.name.clone()));
        }
    }
    twice(check, "drop beam", beams);
}

pub(super) fn id(item: &SequenceItem) -> &str {
    match item {
        SequenceItem::Step(step) => &step.id,
        SequenceItem::Tower(tower) => &tower.id,
        SequenceItem::Erect(erect) => &erect.id,
        SequenceItem::Deck(deck) => &deck.id,
        SequenceItem::Pour(pour) => &pour.id,
        SequenceItem::Strip(strip) => &strip.id,
    }
}

fn twice(check: &mut Check<'_>, kind: &str, names: Vec<(String, String)>) {
    let mut first: BTreeMap<String, String> = BTreeMap::new();
    for (path, name) in names {
        match first.get(&name) {
            Some(earlier) => {
                let (line, _) = check.source.place(check.source.range(earlier).start);
                check.at(&path, format!("a second {kind} \"{name}\"; the first is in line {line}"));
            }
            None => {
                first.insert(name, path);
            }
        }
    }
}
