//! Reading a record, with file, line and column of what is wrong.

use super::hold_points::{OF_SCENE, PLANNED};
use super::model::{FORMAT, Record};
use crate::assembly::Assembly;
use crate::scene::file::{self, FileStamp};
use crate::scene::model::Action;
use crate::scene::{Problem, Problems, SceneSource, format, suggest, typed};
use crate::sequence::names::resolve;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// A record with its text and the stamp of its bytes.
#[derive(Clone, Debug)]
pub struct LoadedRecord {
    pub record: Record,
    pub source: SceneSource,
    pub stamp: FileStamp,
}

/// Where a scene's record lies: `my-floor.ron` has `my-floor.asbuilt.ron` beside it.
#[must_use]
pub fn path_beside(scene: &Path) -> PathBuf {
    let stem = scene.file_stem().map_or_else(|| "scene".into(), std::ffi::OsStr::to_os_string);
    let mut name = stem;
    name.push(".asbuilt.ron");
    scene.with_file_name(name)
}

/// Reads a record file.
///
/// # Errors
/// All that is wrong with it.
pub fn load(path: &Path, assembly: &Assembly) -> Result<LoadedRecord, Problems> {
    let text = file::read_text(path).map_err(|p| Problems(vec![p]))?;
    read(&text, path, assembly)
}

/// As [`load`], from a text.
///
/// # Errors
/// All that is wrong with it: what does not read, names that lead nowhere in the assembly, entries
/// without a name.
pub fn read(text: &str, path: &Path, assembly: &Assembly) -> Result<LoadedRecord, Problems> {
    let one = |problem: Problem| Problems(vec![problem]);
    file::check_text(path, text).map_err(one)?;
    let stamp = FileStamp::new(path, text.as_bytes());
    let source = SceneSource::new(path, text).map_err(one)?;
    format::number(&source, FORMAT).map_err(one)?;
    let record = match typed::read::<Record>(&source) {
        typed::Typed::Fits(record) => record,
        typed::Typed::Misfits(found) => {
            return Err(Problems(found.misfits.iter().map(|m| m.problem(&source)).collect()));
        }
    };
    let problems = check(&record, &source, assembly);
    if problems.is_empty() {
        Ok(LoadedRecord { record, source, stamp })
    } else {
        Err(Problems(problems))
    }
}

/// Ids of the hold points that steps of the scene meet; none where the steps cannot be written out,
/// which is an error of the scene and said there.
fn of_scene(assembly: &Assembly) -> Vec<String> {
    let steps = crate::sequence::expand(&assembly.scene, assembly).unwrap_or_default();
    let actions = steps.iter().flat_map(|s| &s.actions);
    actions
        .filter_map(|action| match action {
            Action::HoldPoint(hold) => Some(format!("{OF_SCENE}{}", hold.name)),
            _ => None,
        })
        .collect()
}

fn check(record: &Record, source: &SceneSource, assembly: &Assembly) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut at = |path: String, message: String, help: Option<String>| {
        problems.push(Problem { help, ..source.problem_at(&path, message) });
    };
    let of_scene = of_scene(assembly);
    let mut ids: BTreeSet<&str> = PLANNED.iter().map(|p| p.id).collect();
    ids.extend(of_scene.iter().map(String::as_str));
    for (i, point) in record.hold_points.iter().enumerate() {
        if point.id.trim().is_empty() {
            at(format!("hold_points[{i}].id"), "a hold point without an id".to_owned(), None);
        } else if !ids.insert(&point.id) {
            let message = format!("a second hold point \"{}\"", point.id);
            at(format!("hold_points[{i}].id"), message, None);
        }
    }
    for (i, entry) in record.inspections.iter().enumerate() {
        nobody(&entry.by, format!("inspections[{i}].by"), &mut at);
        if entry.parts.is_empty() {
            at(format!("inspections[{i}].parts"), "an inspection of no part".to_owned(), None);
        }
        for (j, name) in entry.parts.iter().enumerate() {
            if let Err(trouble) = resolve(assembly, name) {
                at(format!("inspections[{i}].parts[{j}]"), trouble.message, trouble.help);
            }
        }
        for (name, length) in [("out_of_plumb", entry.out_of_plumb), ("jack", entry.jack)] {
            if length.is_some_and(|l| l.si() < 0.0) {
                at(format!("inspections[{i}].{name}"), "a length below zero".to_owned(), None);
            }
        }
    }
    for (i, release) in record.releases.iter().enumerate() {
        nobody(&release.by, format!("releases[{i}].by"), &mut at);
        if !ids.contains(release.point.as_str()) {
            let help = suggest::help(&release.point, ids.iter().copied());
            at(
                format!("releases[{i}].point"),
                format!("there is no hold point \"{}\"", release.point),
                help,
            );
        }
        if !release.withdrawn && release.evidence.iter().all(|e| e.trim().is_empty()) {
            at(
                format!("releases[{i}].evidence"),
                "a release without evidence".to_owned(),
                Some("say what it rests on: a report, a measurement, a photograph".to_owned()),
            );
        }
    }
    for (i, walked) in record.walked.iter().enumerate() {
        nobody(&walked.by, format!("walked[{i}].by"), &mut at);
    }
    problems
}

fn nobody(by: &str, path: String, at: &mut impl FnMut(String, String, Option<String>)) {
    if by.trim().is_empty() {
        at(path, "nobody is named: an entry counts only with a person's name".to_owned(), None);
    }
}
