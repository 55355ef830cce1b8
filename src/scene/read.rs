//! From a file or a text to a scene with its equipment and criteria.

use super::check;
use super::equip;
use super::evidence;
use super::file::{self, FileStamp};
use super::format;
use super::model::Scene;
use super::problem::{Problem, Problems};
use super::source::SceneSource;
use super::typed::{self, Typed};
use crate::criteria::Pack;
use crate::equipment::Library;
use std::path::Path;

/// A scene with everything it names.
#[derive(Clone, Debug)]
pub struct Loaded {
    pub scene: Scene,
    pub source: SceneSource,
    /// All equipment libraries merged.
    pub library: Library,
    pub pack: Pack,
    /// What was read: the scene first, then equipment, then criteria.
    pub files: Vec<FileStamp>,
}

/// Reads a scene file, its equipment and its criteria.
///
/// # Errors
/// All that is wrong with any of them, each with file, line and column.
pub fn load(path: &Path) -> Result<Loaded, Problems> {
    load_under(path, None)
}

/// As [`load`], under another criteria pack than the scene's: see [`read_under`].
///
/// # Errors
/// As [`load`].
pub fn load_under(path: &Path, criteria: Option<&str>) -> Result<Loaded, Problems> {
    let text = file::read_text(path).map_err(one)?;
    read_under(&text, path, criteria)
}

/// As [`load`], from a text; `path` says where it would lie, for messages and for the files
/// beside it.
///
/// # Errors
/// As [`load`].
pub fn read(text: &str, path: &Path) -> Result<Loaded, Problems> {
    read_under(text, path, None)
}

/// As [`read`], under another criteria pack than the scene's where one is given; its options follow
/// plus signs, `us+california`, and those of the scene do not count then.
///
/// # Errors
/// As [`read`].
pub fn read_under(text: &str, path: &Path, criteria: Option<&str>) -> Result<Loaded, Problems> {
    file::check_text(path, text).map_err(one)?;
    let stamp = FileStamp::new(path, text.as_bytes());
    let mut source = SceneSource::new(path, text).map_err(one)?;
    format::bring_up(&mut source).map_err(one)?;

    let mut problems = Vec::new();
    let (scene, substituted) = match typed::read::<Scene>(&source) {
        Typed::Fits(scene) => (Some(scene), Vec::new()),
        Typed::Misfits(found) => {
            problems.extend(found.misfits.iter().map(|m| m.problem(&source)));
            (found.value, found.misfits)
        }
    };
    let Some(mut scene) = scene else { return Err(sorted(path, problems)) };
    if let Some(criteria) = criteria {
        let mut names = criteria.split('+').map(str::to_owned);
        scene.criteria = names.next().unwrap_or_default();
        scene.options = names.collect();
    }
    // A list that was passed over is empty here; what it would hold is not "not there".
    let whole = substituted.is_empty();

    let folder = path.parent().unwrap_or(Path::new(""));
    let mut files = vec![stamp];
    let (mut library, mut pack) = (None, None);
    if whole || source.find("equipment").is_some() && fits(&substituted, "equipment") {
        library = equip::libraries(&scene.equipment, &source, folder, &mut files, &mut problems);
    }
    if whole || source.find("criteria").is_some() && fits(&substituted, "criteria") {
        pack = equip::pack(
            &scene.criteria,
            &scene.options,
            &source,
            folder,
            &mut files,
            &mut problems,
        );
    }
    let found = check::scene(&scene, &source, library.as_ref());
    problems.extend(found.into_iter().filter(|p| whole || !follows(p, &substituted)));

    if let Some(pack) = pack.as_ref().filter(|_| problems.is_empty()) {
        evidence::resolve(&mut scene, &source, folder, pack, &mut files, &mut problems);
    }
    match (library, pack) {
        (Some(library), Some(pack)) if problems.is_empty() => {
            Ok(Loaded { scene, source, library, pack, files })
        }
        _ => Err(sorted(path, problems)),
    }
}

/// No misfit lies at or inside the path.
fn fits(misfits: &[typed::Misfit], path: &str) -> bool {
    !misfits.iter().any(|m| m.path.starts_with(path))
}

/// With parts of the scene filled in, only what lies clear of them is worth saying: not what
/// lies at or around a misfit, nor a name that may only be missing because its owner was.
fn follows(problem: &Problem, misfits: &[typed::Misfit]) -> bool {
    let about_names = ["there is no ", "a second ", "nothing to judge"]
        .iter()
        .any(|start| problem.message.starts_with(start));
    about_names && !misfits.iter().all(|m| m.keeps_names)
        || misfits
            .iter()
            .any(|m| m.path.starts_with(&problem.path) || problem.path.starts_with(&m.path))
}

/// A criteria pack on its own: a shipped name or a file, its options after plus signs. Files are
/// looked for from the present folder.
///
/// # Errors
/// As [`load`].
pub fn read_pack(name: &str) -> Result<Pack, Problems> {
    let path = Path::new("command line");
    let mut names = name.split('+').map(str::to_owned);
    let criteria = names.next().unwrap_or_default();
    let options: Vec<String> = names.collect();
    let text = format!("(criteria: {criteria:?}, options: {options:?})");
    let source = SceneSource::new(path, text).map_err(one)?;
    let (mut files, mut problems) = (Vec::new(), Vec::new());
    let folder = Path::new("");
    equip::pack(&criteria, &options, &source, folder, &mut files, &mut problems)
        .ok_or_else(|| sorted(path, problems))
}

fn one(problem: Problem) -> Problems {
    Problems(vec![problem])
}

/// More problems than this at once help nobody.
const MOST_PROBLEMS: usize = 200;

/// The scene's own problems first, each file's in the order of the file.
fn sorted(scene: &Path, mut problems: Vec<Problem>) -> Problems {
    problems.sort_by(|a, b| {
        let key = |p: &Problem| (p.file != scene, p.file.clone(), p.line, p.column);
        key(a).cmp(&key(b)).then_with(|| (&a.path, &a.message).cmp(&(&b.path, &b.message)))
    });
    problems.dedup();
    let more = problems.len().saturating_sub(MOST_PROBLEMS);
    if more > 0 {
        problems.truncate(MOST_PROBLEMS);
        problems.push(file::whole(scene, format!("and {more} more")));
    }
    Problems(problems)
}
