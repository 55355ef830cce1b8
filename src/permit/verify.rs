//! Does an issued permit still hold?

use super::draft::{Basis, Picture, draft};
use super::issue::seal;
use super::model::{FileBound, PERMIT_VERSION, Permit};
use super::window::Asked;
use crate::record::{self, Date};
use crate::scene::equip::Shipped;
use crate::scene::{self, FileStamp};
use std::path::{Path, PathBuf};

/// Why a permit does not hold.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Void {
    #[error("it was never issued: this is a draft")]
    Draft,
    #[error("it is of format {0}, and this program reads {PERMIT_VERSION}")]
    Format(u32),
    #[error("its own text was altered after it was issued")]
    SealBroken,
    #[error("it was issued over something that stands in its way")]
    IssuedOverRefusal,
    #[error("it was drafted by version {was} of the program, and this is {is}")]
    Program { was: String, is: String },
    #[error("{0} was changed since it was issued")]
    Changed(String),
    #[error("{0} is not there any more, or cannot be read")]
    Gone(String),
    #[error("the job now rests on {0}, which the permit does not name")]
    Added(String),
    #[error("the job does not rest on {0} any more")]
    Dropped(String),
    #[error("the job cannot be read or judged any more: {0}")]
    Unreadable(String),
    #[error("drafted again from the same files it says something else: {0}")]
    Differs(String),
    #[error("it ended on {0}")]
    Ended(String),
}

/// Everything that voids the permit; empty: it holds. `scene` is where the job's file lies, `today` the
/// day to hold against its end.
#[must_use]
pub fn verify(
    permit: &Permit,
    scene: &Path,
    today: Option<Date>,
    progress: &dyn Fn(usize, usize) -> bool,
) -> Vec<Void> {
    let mut voids = at_a_glance(permit, scene, today);
    let folder = scene.parent().unwrap_or(Path::new(""));
    // Where the program or a file differs the draft would too, and says nothing new.
    if voids.is_empty()
        && let Err(more) = again(permit, scene, folder, progress)
    {
        voids.extend(more);
    }
    voids
}

/// What voids the permit as far as its own text, the day and its files tell: quick, where [`verify`]
/// judges the job again. Empty does not say that the permit holds.
#[must_use]
pub fn at_a_glance(permit: &Permit, scene: &Path, today: Option<Date>) -> Vec<Void> {
    if permit.permit_version != PERMIT_VERSION {
        return vec![Void::Format(permit.permit_version)];
    }
    let mut voids = Vec::new();
    match &permit.issue {
        None => voids.push(Void::Draft),
        Some(issue) => {
            if seal(permit) != permit.seal {
                voids.push(Void::SealBroken);
            }
            match (&issue.valid_until, today) {
                (Some(until), Some(today)) if today.to_string() > *until => {
                    voids.push(Void::Ended(until.clone()));
                }
                // An end that cannot be held against a day is not known to be ahead.
                (Some(until), None) => voids.push(Void::Ended(until.clone())),
                _ => {}
            }
        }
    }
    if !permit.refusals.is_empty() {
        voids.push(Void::IssuedOverRefusal);
    }
    let version = env!("CARGO_PKG_VERSION");
    if permit.version != version {
        voids.push(Void::Program { was: permit.version.clone(), is: version.to_owned() });
    }
    voids.extend(files_not_as_they_were(permit, scene));
    voids
}

/// Which of the files it is bound to are not as they were; quick, where [`verify`] judges the job
/// again. Empty does not say that the permit holds.
#[must_use]
pub fn files_not_as_they_were(permit: &Permit, scene: &Path) -> Vec<Void> {
    let folder = scene.parent().unwrap_or(Path::new(""));
    let check = |file: &FileBound| match bytes(folder, &file.path) {
        None => Some(Void::Gone(file.path.clone())),
        Some(bytes) if FileStamp::new("", &bytes).sha256 != file.sha256 => {
            Some(Void::Changed(file.path.clone()))
        }
        Some(_) => None,
    };
    permit.files.iter().chain(&permit.pictures).filter_map(check).collect()
}

/// The bytes of a file a permit names.
fn bytes(folder: &Path, name: &str) -> Option<Vec<u8>> {
    if let Some(shipped) = name.strip_prefix("shipped:") {
        let (kind, name) = shipped.split_once('/')?;
        let kind =
            [Shipped::Equipment, Shipped::Criteria].into_iter().find(|k| k.folder() == kind)?;
        return kind.text(name.strip_suffix(".ron")?).map(|text| text.as_bytes().to_vec());
    }
    std::fs::read(folder.join(name)).ok()
}

/// Drafts it again from what lies there now.
fn again(
    permit: &Permit,
    scene: &Path,
    folder: &Path,
    progress: &dyn Fn(usize, usize) -> bool,
) -> Result<(), Vec<Void>> {
    let unreadable = |problems: scene::Problems| vec![Void::Unreadable(problems.to_string())];
    let loaded = scene::load(scene).map_err(unreadable)?;
    let files = loaded.files.clone();
    let review = crate::review::judge(loaded, progress).map_err(unreadable)?;
    // The record comes last, after what the scene itself rests on.
    let record = permit.files.last().map(|f| folder.join(&f.path));
    let record =
        record.map(|path| record::load(&path, &review.assembly)).transpose().map_err(unreadable)?;
    let pictures: Vec<Picture> = permit
        .pictures
        .iter()
        .filter_map(|p| {
            let path: PathBuf = folder.join(&p.path);
            Some(Picture { bytes: std::fs::read(&path).ok()?, path })
        })
        .collect();
    let basis = Basis {
        review: &review,
        record: record.as_ref(),
        files: &files,
        scene,
        pictures: &pictures,
    };
    let asked = Asked {
        from: permit.from.as_ref().map(|s| s.step.clone()),
        until: permit.until.as_ref().map(|s| s.step.clone()),
    };
    let fresh = draft(&basis, permit.kind, &asked);
    let mut voids = lists(&permit.files, &fresh.files);
    if voids.is_empty() {
        let bare = Permit { issue: None, seal: String::new(), ..permit.clone() };
        if bare != fresh {
            voids.push(Void::Differs(differing(&bare, &fresh)));
        }
    }
    if voids.is_empty() { Ok(()) } else { Err(voids) }
}

fn lists(was: &[FileBound], is: &[FileBound]) -> Vec<Void> {
    let paths = |files: &[FileBound]| files.iter().map(|f| f.path.clone()).collect::<Vec<_>>();
    let (was, is) = (paths(was), paths(is));
    let added = is.iter().filter(|p| !was.contains(p)).map(|p| Void::Added(p.clone()));
    let dropped = was.iter().filter(|p| !is.contains(p)).map(|p| Void::Dropped(p.clone()));
    added.chain(dropped).collect()
}

/// Names of the fields that differ.
fn differing(was: &Permit, is: &Permit) -> String {
    let fields = |permit: &Permit| match serde_json::to_value(permit) {
        Ok(serde_json::Value::Object(fields)) => fields,
        _ => serde_json::Map::new(),
    };
    let (was, is) = (fields(was), fields(is));
    let names: Vec<&str> = was
        .iter()
        .filter(|(name, value)| is.get(*name) != Some(value))
        .map(|(n, _)| n.as_str())
        .collect();
    names.join(", ")
}
