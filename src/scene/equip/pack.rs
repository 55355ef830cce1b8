//! The criteria pack, and packs that change single rules of another.

use super::{Data, Shipped, named, pack_numbers, twice};
use crate::criteria::Pack;
use crate::scene::file::FileStamp;
use crate::scene::patch::{Patch, apply};
use crate::scene::problem::Problem;
use crate::scene::source::SceneSource;
use crate::scene::tree::{Kind, Tree};
use crate::scene::typed::{self, Typed, options};
use std::path::Path;

/// Packs that build on one another beyond this many are taken for a mistake.
const MOST_PACKS: usize = 8;

/// Reads the criteria pack a scene names, with the packs it extends.
///
/// A pack with `extends: "us"` gives only the rules it changes. Each replaces the whole rule of
/// the base, value and source together, so that no number keeps the clause of another; `aliases`
/// are merged word by word.
pub fn pack(
    name: &str,
    scene: &SceneSource,
    folder: &Path,
    files: &mut Vec<FileStamp>,
    problems: &mut Vec<Problem>,
) -> Option<Pack> {
    let chain = chain(name, scene, folder, problems)?;
    files.extend(chain.iter().map(|data| data.stamp.clone()));
    let before = problems.len();
    for data in &chain {
        problems.extend(twice(&data.source));
        misfits(&data.source, problems);
    }
    if problems.len() > before {
        return None;
    }
    // The base is last; each one before it is laid over it.
    let mut text = chain.last()?.source.text.clone();
    for data in chain.iter().rev().skip(1) {
        text = laid_over(&text, &data.source)?;
    }
    let pack: Pack = match options().from_str(&text) {
        Ok(pack) => pack,
        Err(error) => {
            let top = &chain.first()?.source;
            problems.push(top.problem(&(0..0), error.code.to_string()));
            return None;
        }
    };
    pack_numbers::check(&pack, chain.iter().map(|d| &d.source), problems);
    (problems.len() == before).then_some(pack)
}

/// The pack and those it extends, the one without `extends` last.
fn chain(
    name: &str,
    scene: &SceneSource,
    folder: &Path,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Data>> {
    let mut chain: Vec<Data> = Vec::new();
    let mut next = Some((name.to_owned(), scene.clone(), "criteria"));
    let mut folder = folder.to_owned();
    while let Some((name, from, path)) = next.take() {
        let data = match named(Shipped::Criteria, &name, &folder, &from, path) {
            Ok(data) => data,
            Err(problem) => {
                problems.push(problem);
                return None;
            }
        };
        let again = chain.iter().any(|d| d.source.path == data.source.path);
        if again || chain.len() == MOST_PACKS {
            let message = if again {
                format!("the pack \"{name}\" would extend itself")
            } else {
                format!("more than {MOST_PACKS} packs extend one another")
            };
            problems.push(from.problem_at(path, message));
            return None;
        }
        if let Some(base) = extends(&data.source) {
            next = Some((base, data.source.clone(), "extends"));
        }
        if let Some(parent) = data.source.path.parent().filter(|p| p.is_dir()) {
            parent.clone_into(&mut folder);
        }
        chain.push(data);
    }
    Some(chain)
}

fn extends(source: &SceneSource) -> Option<String> {
    let id = source.find("extends")?;
    match &source.tree.node(id)?.kind {
        Kind::Text(name) => Some(name.clone()),
        Kind::Tuple { items, .. } => source.tree.text(*items.first()?).map(str::to_owned),
        _ => None,
    }
}

/// What does not fit; rules that a pack with `extends` leaves to its base are not missing.
fn misfits(source: &SceneSource, problems: &mut Vec<Problem>) {
    let Typed::Misfits(found) = typed::read::<Pack>(source) else { return };
    let left_to_base = extends(source).is_some();
    let missing = |message: &str| {
        found.missing_at_root.iter().any(|name| message == format!("the field `{name}` is missing"))
    };
    let counts = found
        .misfits
        .iter()
        .filter(|m| !(left_to_base && m.path.is_empty() && missing(&m.message)));
    problems.extend(counts.map(|m| m.problem(source)));
}

/// The base's text with the fields of another pack put in.
fn laid_over(base: &str, top: &SceneSource) -> Option<String> {
    let tree = crate::scene::tree::parse(base).ok()?;
    let patches = fields(&top.tree, &top.text)
        .into_iter()
        .filter(|(name, _)| name != "extends")
        .map(|(name, value)| over(&tree, base, &name, &value))
        .collect::<Option<Vec<Patch>>>()?;
    // New fields go in at one place, in order.
    let (text, _) = apply(base, &patches)?;
    Some(text)
}

fn over(tree: &Tree, base: &str, name: &str, value: &str) -> Option<Patch> {
    let root = tree.root()?;
    let Some(field) = tree.field(root, name) else {
        let start = tree.node(root)?.range.start;
        let open = base[start..].find('(')? + start + 1;
        return Some(Patch { range: open..open, with: format!("{name}: {value}, ") });
    };
    let node = tree.node(field.value)?;
    let old = base.get(node.range.clone())?;
    let with = match (&node.kind, name) {
        // Later words of the same name count.
        (Kind::Map(_), "aliases") => {
            let inner =
                |map: &str| map.trim_matches(['{', '}']).trim().trim_end_matches(',').to_owned();
            format!("{{{}, {}}}", inner(old), inner(value))
        }
        _ => value.to_owned(),
    };
    let with = if with.starts_with("{, ") { with.replacen("{, ", "{", 1) } else { with };
    Some(Patch { range: node.range.clone(), with })
}

fn fields(tree: &Tree, text: &str) -> Vec<(String, String)> {
    let Some(Kind::Record { fields, .. }) =
        tree.root().and_then(|root| tree.node(root)).map(|n| &n.kind)
    else {
        return Vec::new();
    };
    fields
        .iter()
        .filter_map(|field| {
            let value = text.get(tree.node(field.value)?.range.clone())?;
            Some((field.name.clone(), value.to_owned()))
        })
        .collect()
}
