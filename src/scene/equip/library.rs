//! Equipment libraries: several files, a later one replacing parts of the same name.

use super::{Shipped, library_numbers, named, twice, typed};
use crate::equipment::{Library, PartOrigin};
use crate::scene::file::FileStamp;
use crate::scene::problem::Problem;
use crate::scene::source::SceneSource;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Reads the libraries a scene names and merges them. None where one of them cannot be used;
/// the problems say which.
pub fn libraries(
    names: &[String],
    scene: &SceneSource,
    folder: &Path,
    files: &mut Vec<FileStamp>,
    problems: &mut Vec<Problem>,
) -> Option<Library> {
    if names.is_empty() {
        let mut problem = scene.problem_at("equipment", "no equipment library is named");
        problem.help = Some("write `equipment: [\"sample\"]` to begin with".to_owned());
        problems.push(problem);
        return None;
    }
    let mut merged: Option<Library> = None;
    let mut whole = true;
    let mut seen = BTreeSet::new();
    for (i, name) in names.iter().enumerate() {
        let path = format!("equipment[{i}]");
        if !seen.insert(name) {
            problems.push(scene.problem_at(&path, format!("\"{name}\" is listed twice")));
            continue;
        }
        let before = problems.len();
        let library = match named(Shipped::Equipment, name, folder, scene, &path) {
            Ok(data) => {
                files.push(data.stamp);
                problems.extend(twice(&data.source));
                let library = typed::<Library>(&data.source, problems);
                if let Some(library) = &library {
                    library_numbers::check(library, &data.source, problems);
                }
                library
            }
            Err(problem) => {
                problems.push(problem);
                None
            }
        };
        match library {
            Some(library) if problems.len() == before => {
                merged = Some(merge(merged.take(), library, name));
            }
            _ => whole = false,
        }
    }
    merged.filter(|_| whole)
}

/// Puts a library over another.
fn merge(base: Option<Library>, mut top: Library, name: &str) -> Library {
    let names = part_names(&top);
    let origin = PartOrigin { library: name.to_owned(), sample: top.sample };
    let own: BTreeMap<String, PartOrigin> =
        names.into_iter().map(|part| (part, origin.clone())).collect();
    let Some(mut base) = base else {
        top.origin = own;
        return top;
    };
    base.posts.append(&mut top.posts);
    base.beams.append(&mut top.beams);
    base.braces.append(&mut top.braces);
    base.jacks.append(&mut top.jacks);
    base.sills.append(&mut top.sills);
    base.clips.append(&mut top.clips);
    base.sheets.append(&mut top.sheets);
    base.origin.extend(own);
    base.sample = base.origin.values().any(|o| o.sample);
    base.title = format!("{} + {}", base.title, top.title);
    if !top.source.is_empty() {
        base.source = if base.source.is_empty() {
            top.source
        } else {
            format!("{}; {}", base.source, top.source)
        };
    }
    base
}

/// Names of all parts.
pub(super) fn part_names(library: &Library) -> Vec<String> {
    library
        .posts
        .keys()
        .chain(library.beams.keys())
        .chain(library.braces.keys())
        .chain(library.jacks.keys())
        .chain(library.sills.keys())
        .chain(library.clips.keys())
        .chain(library.sheets.keys())
        .cloned()
        .collect()
}
