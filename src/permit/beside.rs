//! An issued permit's files beside its scene: JSON to verify, a page to print.

use super::draft::Basis;
use super::model::Permit;
use super::sheet::html;
use super::verify::{Void, at_a_glance};
use crate::record::Date;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Where an issued permit's JSON goes: `my-floor.ron` gets `my-floor.permit-to-load.json`.
#[must_use]
pub fn path_beside(permit: &Permit, scene: &Path) -> PathBuf {
    let stem = scene.file_stem().unwrap_or_default().to_string_lossy();
    let what = permit.kind.words().replace(' ', "-");
    scene.with_file_name(format!("{stem}.{what}.json"))
}

/// Writes a file that is not there yet, whole or not at all.
///
/// # Errors
/// When it is there, or cannot be written.
pub fn new_file(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut beside = tempfile::NamedTempFile::new_in(folder)?;
    beside.write_all(bytes)?;
    beside.as_file().sync_all()?;
    beside.persist_noclobber(path)?;
    Ok(())
}

/// The permit as the text of its JSON file.
///
/// # Errors
/// When serde cannot write it, for which there is no cause.
pub fn json(permit: &Permit) -> io::Result<String> {
    let mut text = serde_json::to_string_pretty(permit).map_err(io::Error::other)?;
    text.push('\n');
    Ok(text)
}

/// Writes both beside the scene; gives their paths. Files that are there are kept.
///
/// # Errors
/// When one of them is there or cannot be written.
pub fn write_beside(permit: &Permit, basis: &Basis<'_>) -> io::Result<Vec<PathBuf>> {
    let path = path_beside(permit, basis.scene);
    new_file(&path, json(permit)?.as_bytes())?;
    let page = path.with_extension("html");
    std::fs::write(&page, html(permit, basis))?;
    Ok(vec![path, page])
}

/// Writes the page of a permit that is void beside its JSON file; gives its path. It is the program's
/// own to write again, where the issued sheet is kept as it was.
///
/// # Errors
/// When it cannot be written.
pub fn write_void(permit: &Permit, voids: &[Void], json: &Path) -> io::Result<PathBuf> {
    let page = json.with_extension("void.html");
    std::fs::write(&page, super::void_html(permit, voids))?;
    Ok(page)
}

/// An issued permit that lies beside a scene, held against its files.
#[derive(Clone, Debug, PartialEq)]
pub struct Lying {
    pub path: PathBuf,
    pub permit: Permit,
    /// What voids it at a glance. Empty does not say that the permit holds: that is what
    /// [`super::verify()`] is for.
    pub voids: Vec<Void>,
}

/// The issued permit of a draft's kind beside the scene, if one lies there that can be read.
#[must_use]
pub fn lying_beside(draft: &Permit, scene: &Path) -> Option<Lying> {
    let path = path_beside(draft, scene);
    let text = std::fs::read_to_string(&path).ok()?;
    let permit: Permit = serde_json::from_str(&text).ok()?;
    permit.issue.as_ref()?;
    let voids = at_a_glance(&permit, scene, Date::today());
    Some(Lying { path, permit, voids })
}
