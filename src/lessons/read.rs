//! A lesson with its scenes judged.

use super::model::{Card, FORMAT, Lesson};
use super::shipped;
use crate::review::{Review, judge};
use crate::scene::file::{self, FileStamp};
use crate::scene::{self, Problem, Problems, SceneSource, format, typed};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A lesson ready to be gone through.
#[derive(Clone, Debug)]
pub struct Opened {
    pub lesson: Lesson,
    pub review: Arc<Review>,
    /// The same done right.
    pub right: Option<Arc<Review>>,
    /// Of the scene with the fault, for the results.
    pub scene: FileStamp,
}

/// Reads a lesson from its text; `path` says where it lies, or is `shipped:` and its name.
///
/// # Errors
/// What does not read, with its place.
pub fn read(text: &str, path: &Path) -> Result<(Lesson, SceneSource), Problems> {
    let one = |problem: Problem| Problems(vec![problem]);
    file::check_text(path, text).map_err(one)?;
    let source = SceneSource::new(path, text).map_err(one)?;
    format::number(&source, FORMAT).map_err(one)?;
    match typed::read::<Lesson>(&source) {
        typed::Typed::Fits(lesson) => Ok((lesson, source)),
        typed::Typed::Misfits(found) => {
            Err(Problems(found.misfits.iter().map(|m| m.problem(&source)).collect()))
        }
    }
}

/// Reads a lesson and judges its scenes.
///
/// # Errors
/// What is wrong with the lesson or its scenes, and cards that name a step that is not there.
pub fn open(
    text: &str,
    path: &Path,
    progress: &dyn Fn(usize, usize) -> bool,
) -> Result<Opened, Problems> {
    let (lesson, source) = read(text, path)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let (review, stamp) = scene_of(&lesson.scene, folder, &source, "scene", progress)?;
    let right = match &lesson.right {
        Some(name) => Some(Arc::new(scene_of(name, folder, &source, "right", progress)?.0)),
        None => None,
    };
    let opened = Opened { lesson, review: Arc::new(review), right, scene: stamp };
    let problems = check(&opened, &source);
    if problems.is_empty() { Ok(opened) } else { Err(Problems(problems)) }
}

fn scene_of(
    name: &str,
    folder: &Path,
    from: &SceneSource,
    field: &str,
    progress: &dyn Fn(usize, usize) -> bool,
) -> Result<(Review, FileStamp), Problems> {
    let loaded = match shipped::scene(name) {
        Some(text) => scene::read(text, &PathBuf::from(format!("shipped:{name}")))?,
        None => {
            let path = folder.join(name);
            if !path.exists() {
                let message = format!("there is no scene \"{name}\" beside the lesson");
                return Err(Problems(vec![from.problem_at(field, message)]));
            }
            scene::load(&path)?
        }
    };
    let stamp = loaded.files.first().cloned().unwrap_or_else(|| FileStamp::new(name, b""));
    Ok((judge(loaded, progress)?, stamp))
}

fn check(opened: &Opened, source: &SceneSource) -> Vec<Problem> {
    let mut problems = Vec::new();
    let has = |review: &Review, step: &str| review.sequence.stages.iter().any(|s| s.step == step);
    let mut at = |path: String, message: String| problems.push(source.problem_at(&path, message));
    if opened.lesson.cards.is_empty() {
        at("cards".to_owned(), "a lesson without cards".to_owned());
    }
    for (i, card) in opened.lesson.cards.iter().enumerate() {
        let path = format!("cards[{i}]");
        if !has(&opened.review, card.at()) {
            at(path.clone(), format!("there is no step \"{}\" in the scene", card.at()));
        }
        match card {
            Card::Replay { right_at, .. } => match &opened.right {
                None => {
                    at(path, "a replay wants a scene done right: name it in `right`".to_owned());
                }
                Some(right) if !has(right, right_at) => {
                    at(path, format!("there is no step \"{right_at}\" in the scene done right"));
                }
                Some(_) => {}
            },
            Card::Choose { choices, .. } if choices.iter().filter(|c| c.right).count() != 1 => {
                at(path, "one of the choices is right, and one alone".to_owned());
            }
            _ => {}
        }
    }
    problems
}
