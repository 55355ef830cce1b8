//! Evidence that slabs carry themselves: logs are read and held against the drawings' shares while
//! the scene is read, so that a bad log is an error with its file and line.

use super::file::{self, FileStamp};
use super::model::{Action, EvidenceBy, LogText, Scene, SequenceItem, Strength};
use super::problem::Problem;
use super::source::SceneSource;
use crate::concrete::evidence::{Basis, Criterion};
use crate::concrete::times::{Formed, days};
use crate::concrete::{Determination, Log, Released, determine};
use crate::criteria::Pack;
use std::path::Path;

const HOUR: f64 = 3600.0;
const DAY: f64 = 86_400.0;

/// Works out every evidence of a scene.
pub(super) fn resolve(
    scene: &mut Scene,
    source: &SceneSource,
    folder: &Path,
    pack: &Pack,
    files: &mut Vec<FileStamp>,
    problems: &mut Vec<Problem>,
) {
    let slabs = scene.slabs.clone();
    for (i, item) in scene.sequence.iter_mut().enumerate() {
        let SequenceItem::Step(step) = item else { continue };
        for (j, action) in step.actions.iter_mut().enumerate() {
            let Action::Evidence(evidence) = action else { continue };
            let strength =
                slabs.iter().find(|s| s.name == evidence.slab).and_then(|s| s.strength.as_ref());
            match found(&evidence.by, strength, folder, pack, files) {
                Ok(found) => evidence.found = Some(found),
                Err(Wrong::Here(message, help)) => {
                    let path = format!("sequence[{i}].do[{j}].by");
                    problems.push(Problem { help, ..source.problem_at(&path, message) });
                }
                Err(Wrong::There(problem)) => problems.push(*problem),
            }
        }
    }
}

/// What is wrong, at the evidence or in a file of its own.
enum Wrong {
    Here(String, Option<String>),
    There(Box<Problem>),
}

fn found(
    by: &EvidenceBy,
    strength: Option<&Strength>,
    folder: &Path,
    pack: &Pack,
    files: &mut Vec<FileStamp>,
) -> Result<Determination, Wrong> {
    let criterion =
        strength.map(|s| Criterion { specified: s.specified.si(), strip: s.strip, clear: s.clear });
    match by {
        EvidenceBy::Test { strength, report } => {
            let mut found = determine(criterion, &Basis::Test { strength: strength.si() });
            found.notes.push(format!("Report: {report}."));
            Ok(found)
        }
        EvidenceBy::Specification { condition, releases, signed } => {
            let mut found = determine(criterion, &Basis::Specification { releases: *releases });
            found.notes.push(format!("Condition: {condition}. Signed: {signed}."));
            Ok(found)
        }
        EvidenceBy::Age { warm, span, live_over_dead } => {
            let due =
                |undisturbed| days(Formed::SlabSoffit, span.si(), *live_over_dead, undisturbed);
            let basis = Basis::Age {
                days: warm.si() / DAY,
                due_strip: due(true),
                due_clear: due(false),
                allowed: pack.strip_by_time.value,
            };
            let mut found = determine(criterion, &basis);
            found.notes.push(format!("{}: {}.", pack.title, pack.strip_by_time.source));
            Ok(found)
        }
        EvidenceBy::Maturity { log, longest_gap } => {
            let Some(strength) = strength.filter(|s| !s.curve.is_empty()) else {
                return Ok(nothing(
                    "The slab gives no curve of its own mix: maturity shows no strength.",
                ));
            };
            let Some(datum) = strength.datum else {
                return Ok(nothing(
                    "The slab states no datum temperature: maturity shows no strength.",
                ));
            };
            let (text, file) = match log {
                LogText::Csv(text) => (text.clone(), None),
                LogText::File(name) => {
                    let path = folder.join(name);
                    let text = file::read_text(&path).map_err(|p| Wrong::There(Box::new(p)))?;
                    files.push(FileStamp::new(&path, text.as_bytes()));
                    (text, Some(path))
                }
            };
            let log = Log::read(&text, longest_gap.map(|g| g.si() / HOUR)).map_err(|e| {
                let help = Some(e.help.to_owned());
                match file {
                    None => Wrong::Here(e.to_string(), help),
                    Some(path) => Wrong::There(Box::new(Problem {
                        line: e.line,
                        column: usize::from(e.line > 0),
                        help,
                        ..file::whole(&path, e.to_string())
                    })),
                }
            })?;
            let curve: Vec<(f64, f64)> =
                strength.curve.iter().map(|(m, s)| (m.si(), s.si())).collect();
            Ok(determine(criterion, &Basis::Maturity { log: &log, curve: &curve, datum: datum.0 }))
        }
    }
}

fn nothing(why: &str) -> Determination {
    Determination { released: Released::No, strength: None, notes: vec![why.to_owned()] }
}
