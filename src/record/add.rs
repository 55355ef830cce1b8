//! Adding entries: the text of the file is patched, and nothing else in it changes.

use super::model::{Inspection, Record, Release, Walked};
use crate::scene::edit::{self, Edit, EditError};
use crate::scene::tree;
use crate::scene::typed::options;
use serde::Serialize;
use std::io::{self, Write};
use std::path::Path;

/// Why an entry was not added.
#[derive(Debug, thiserror::Error)]
pub enum AddError {
    #[error("the record's text cannot be changed: {0}")]
    Edit(#[from] EditError),
    #[error("the entry cannot be written: {0}")]
    Entry(#[from] ron::Error),
    #[error("{path}: {error}")]
    File { path: String, error: io::Error },
    #[error("{path} was changed by somebody else in the meantime; read it again")]
    Changed { path: String },
}

/// One thing to add to a record.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    Inspection(Inspection),
    Release(Release),
    Walked(Walked),
}

impl Entry {
    fn list(&self) -> &'static str {
        match self {
            Self::Inspection(_) => "inspections",
            Self::Release(_) => "releases",
            Self::Walked(_) => "walked",
        }
    }

    fn text(&self) -> Result<String, ron::Error> {
        match self {
            Self::Inspection(entry) => line(entry),
            Self::Release(entry) => line(entry),
            Self::Walked(entry) => line(entry),
        }
    }
}

fn line(entry: &impl Serialize) -> Result<String, ron::Error> {
    options().to_string(entry)
}

/// The record's text with one entry more, at the end of its list.
///
/// # Errors
/// When the text is not a record.
pub fn add(text: &str, entry: &Entry) -> Result<String, AddError> {
    let tree = tree::parse(text).map_err(EditError::from)?;
    let (list, item) = (entry.list(), entry.text()?);
    let change = if tree.find(list).is_some() {
        Edit::Append { path: list.to_owned(), item }
    } else {
        Edit::AddField {
            path: String::new(),
            name: list.to_owned(),
            value: format!("[\n        {item},\n    ]"),
        }
    };
    Ok(edit::edit(text, &tree, &change)?)
}

/// Adds an entry to a record's file, which is made if it is not there. `known` is the text the entry
/// was made on; a file that says something else by now is left alone. The new text is written beside
/// the file and takes its place whole.
///
/// # Errors
/// When the file was changed meanwhile or cannot be written; it is as it was then.
pub fn add_to_file(path: &Path, known: Option<&str>, entry: &Entry) -> Result<String, AddError> {
    let failed = |error: io::Error| AddError::File { path: path.display().to_string(), error };
    let there = match std::fs::read_to_string(path) {
        Ok(text) => Some(text),
        Err(error) if error.kind() == io::ErrorKind::NotFound => None,
        Err(error) => return Err(failed(error)),
    };
    if there.as_deref() != known {
        return Err(AddError::Changed { path: path.display().to_string() });
    }
    let text = match there {
        Some(text) => text,
        None => empty()?,
    };
    let text = add(&text, entry)?;
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut beside = tempfile::NamedTempFile::new_in(folder).map_err(failed)?;
    beside.write_all(text.as_bytes()).map_err(failed)?;
    beside.as_file().sync_all().map_err(failed)?;
    beside.persist(path).map_err(|e| failed(e.error))?;
    Ok(text)
}

fn empty() -> Result<String, ron::Error> {
    let Record { format, .. } = Record::default();
    Ok(format!("(\n    format: {format},\n)\n"))
}
