//! The equipment libraries and the criteria pack a scene names: found, read, checked, merged.

mod library;
mod library_numbers;
mod pack;
mod pack_layers;
mod pack_numbers;
mod shipped;

pub use library::libraries;
pub use pack::pack;
pub use shipped::{CRITERIA, EQUIPMENT, Shipped};

/// Names of the packs and options that ship, sorted.
pub fn shipped_packs() -> impl Iterator<Item = &'static str> {
    Shipped::Criteria.names()
}

use super::file::{self, FileStamp};
use super::format;
use super::problem::Problem;
use super::source::SceneSource;
use super::suggest;
use super::tree::{Kind, Tree};
use super::typed::{self, Typed};
use serde::de::DeserializeOwned;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The newest format of equipment and criteria files this program reads.
pub const DATA_FORMAT: u32 = 1;

/// A data file with its place.
struct Data {
    source: SceneSource,
    stamp: FileStamp,
}

/// Where a name leads: the text of what ships, or a file beside the scene.
fn find(kind: Shipped, name: &str, folder: &Path) -> Result<Data, Box<Problem>> {
    let (path, text) = match kind.text(name) {
        Some(text) => {
            (PathBuf::from(format!("shipped:{}/{name}.ron", kind.folder())), text.to_owned())
        }
        None => {
            let path = folder.join(name);
            let text = file::read_text(&path)?;
            (path, text)
        }
    };
    let stamp = FileStamp::new(&path, text.as_bytes());
    let source = SceneSource::new(path, text)?;
    format::number(&source, DATA_FORMAT)?;
    Ok(Data { source, stamp })
}

/// As [`find`]; what is wrong is said at the place that names the file.
fn named(
    kind: Shipped,
    name: &str,
    folder: &Path,
    from: &SceneSource,
    path: &str,
) -> Result<Data, Problem> {
    find(kind, name, folder).map_err(|inner| {
        if inner.line > 0 {
            return *inner;
        }
        let file = inner.file.display();
        let mut problem = from.problem_at(
            path,
            format!("{} \"{name}\" cannot be used: {file}: {}", kind.words(), inner.message),
        );
        let names: Vec<&str> = kind.names().collect();
        let close = suggest::closest(name, names.iter().copied());
        problem.help = Some(match close {
            Some(close) => format!("did you mean \"{close}\"?"),
            None => format!(
                "these ship with the program: {}; any other name is a file beside the scene, \
                 such as \"own.ron\"",
                names.join(", ")
            ),
        });
        problem
    })
}

/// Typed reading; misfits as problems. The value may be a stand-in where there are any.
fn typed<T: DeserializeOwned>(source: &SceneSource, problems: &mut Vec<Problem>) -> Option<T> {
    match typed::read::<T>(source) {
        Typed::Fits(value) => Some(value),
        Typed::Misfits(found) => {
            problems.extend(found.misfits.iter().map(|m| m.problem(source)));
            None
        }
    }
}

/// Keys that are there twice in a map: the later one would silently win.
fn twice(source: &SceneSource) -> Vec<Problem> {
    let tree: &Tree = &source.tree;
    let mut problems = Vec::new();
    for node in tree.nodes() {
        let Kind::Map(entries) = &node.kind else { continue };
        let mut seen = BTreeSet::new();
        for &(key, _) in entries {
            let (Some(name), Some(at)) = (tree.text(key), tree.node(key)) else { continue };
            if !seen.insert(name) {
                problems.push(Problem {
                    path: tree.path(key),
                    ..source.problem(&at.range, format!("a second \"{name}\" in this list"))
                });
            }
        }
    }
    problems
}
