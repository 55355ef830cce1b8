//! What typed reading cannot see: names that are nowhere, numbers that cannot be, circles.

mod circles;
mod duplicates;
mod grid;
mod names;
mod numbers;
mod parts;
mod places;
mod strip;
mod surroundings;

use super::lines::Grid;
use super::model::Scene;
use super::problem::Problem;
use super::source::SceneSource;
use super::suggest;
use crate::equipment::Library;
use std::collections::BTreeMap;

/// Everything wrong with a scene that reads as one. `library` is none where the equipment could
/// not be read; part names are not checked then.
#[must_use]
pub fn scene(scene: &Scene, source: &SceneSource, library: Option<&Library>) -> Vec<Problem> {
    let grids = scene
        .blocks
        .iter()
        .filter_map(|block| Some((block.name.as_str(), Grid::of(block).ok()?)))
        .collect();
    let mut check = Check { scene, source, library, grids, problems: Vec::new() };
    if scene.blocks.is_empty() && scene.members.is_empty() {
        check.help(
            "",
            "nothing to judge: the scene has no block and no member",
            Some("add a block to `blocks`, or a member to `members`".to_owned()),
        );
    }
    duplicates::check(&mut check);
    names::check(&mut check);
    grid::check(&mut check);
    numbers::check(&mut check);
    parts::check(&mut check);
    places::check(&mut check);
    circles::check(&mut check);
    surroundings::check(&mut check);
    check.problems
}

/// The scene under check, and what was found.
struct Check<'a> {
    scene: &'a Scene,
    source: &'a SceneSource,
    library: Option<&'a Library>,
    /// Grids of the blocks whose lines can be read.
    grids: BTreeMap<&'a str, Grid>,
    problems: Vec<Problem>,
}

impl Check<'_> {
    fn at(&mut self, path: &str, message: impl Into<String>) {
        self.help(path, message, None);
    }

    fn help(&mut self, path: &str, message: impl Into<String>, help: Option<String>) {
        self.problems.push(Problem { help, ..self.source.problem_at(path, message) });
    }

    /// The name must be among those that fit.
    fn known<'b>(
        &mut self,
        path: &str,
        kind: &str,
        name: &str,
        fitting: impl IntoIterator<Item = &'b str>,
    ) {
        let fitting: Vec<&str> = fitting.into_iter().collect();
        if !fitting.contains(&name) {
            let help = suggest::help(name, fitting);
            self.help(path, format!("there is no {kind} \"{name}\""), help);
        }
    }
}
