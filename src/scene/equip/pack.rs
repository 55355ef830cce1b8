//! The criteria pack, and packs that change single rules of another.

use super::pack_layers::Layers;
use super::{Data, Shipped, named, pack_numbers, twice};
use crate::criteria::Pack;
use crate::scene::file::FileStamp;
use crate::scene::problem::Problem;
use crate::scene::source::SceneSource;
use crate::scene::tree::Kind;
use crate::scene::typed::{self, Typed};
use std::path::Path;

/// Packs that build on one another beyond this many are taken for a mistake.
const MOST_PACKS: usize = 8;

/// Reads the criteria pack a scene names, with the packs it extends and the options laid over it.
///
/// A pack with `extends: "us"` gives only the rules it changes. Each replaces the whole rule of
/// the base, value and source together, so that no number keeps the clause of another; `aliases`
/// are merged word by word. An option is such a pack, for the pack it extends; it only tightens:
/// a rule of it that is laxer than what is there already is left out, and heights in lists are
/// added. Each rule says at last which file gives it.
pub fn pack(
    name: &str,
    options: &[String],
    scene: &SceneSource,
    folder: &Path,
    files: &mut Vec<FileStamp>,
    problems: &mut Vec<Problem>,
) -> Option<Pack> {
    let chain = chain((name, "criteria"), scene, folder, problems)?;
    let mut over: Vec<Data> = Vec::new();
    for (i, option) in options.iter().enumerate() {
        let path = format!("options[{i}]");
        if options[..i].contains(option) {
            problems.push(scene.problem_at(&path, format!("\"{option}\" is listed twice")));
            return None;
        }
        let data = match named(Shipped::Criteria, option, folder, scene, &path) {
            Ok(data) => data,
            Err(problem) => {
                problems.push(problem);
                return None;
            }
        };
        if let Some(problem) = not_for(&data.source, &chain, option, scene, &path) {
            problems.push(problem);
            return None;
        }
        over.push(data);
    }
    files.extend(chain.iter().chain(&over).map(|data| data.stamp.clone()));
    let before = problems.len();
    for data in chain.iter().chain(&over) {
        problems.extend(twice(&data.source));
        misfits(&data.source, problems);
    }
    if problems.len() > before {
        return None;
    }
    let mut layers = Layers::new(&chain.last()?.source);
    // The base is last; each one before it is laid over it.
    for data in chain.iter().rev().skip(1) {
        layers.lay(&data.source)?;
    }
    for data in &over {
        layers.option(&data.source)?;
    }
    let mut pack = match layers.pack() {
        Ok(pack) => pack,
        Err(error) => {
            let top = &chain.first()?.source;
            problems.push(top.problem(&(0..0), error));
            return None;
        }
    };
    pack_numbers::check(&pack, over.iter().rev().chain(&chain).map(|d| &d.source), problems);
    pack.options = options.to_vec();
    (problems.len() == before).then_some(pack)
}

/// An option must be made for a pack of the chain.
fn not_for(
    option: &SceneSource,
    chain: &[Data],
    name: &str,
    scene: &SceneSource,
    path: &str,
) -> Option<Problem> {
    let Some(base) = extends(option) else {
        let message = format!("\"{name}\" is a whole pack, not an option: it extends no other");
        return Some(scene.problem_at(path, message));
    };
    let known = chain.iter().any(|data| {
        let path = &data.source.path;
        path.file_stem().is_some_and(|stem| stem == base.trim_end_matches(".ron"))
    });
    (!known)
        .then(|| scene.problem_at(path, format!("\"{name}\" is an option for the pack \"{base}\"")))
}

/// The pack and those it extends, the one without `extends` last.
fn chain(
    (name, path): (&str, &'static str),
    scene: &SceneSource,
    folder: &Path,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Data>> {
    let mut chain: Vec<Data> = Vec::new();
    let mut next = Some((name.to_owned(), scene.clone(), path));
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
