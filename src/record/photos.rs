//! Photo files that a record names: they lie beside it, or they do not.

use super::model::Record;
use std::path::{Path, PathBuf};

/// A photo that is named and not there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MissingPhoto {
    pub photo: String,
    /// Where it is named, and by whom.
    pub named: String,
}

impl MissingPhoto {
    /// For a person.
    #[must_use]
    pub fn words(&self) -> String {
        format!("photo {} is not there ({})", self.photo, self.named)
    }
}

/// Where a photo of a record lies: its name is looked for from the record's folder.
#[must_use]
pub fn photo_path(record: &Path, photo: &str) -> PathBuf {
    record.parent().unwrap_or(Path::new("")).join(photo.trim())
}

/// Photos that a record names and that are not there, each once, in its order. Known to work by
/// `tests/record/photos.rs`.
#[must_use]
pub fn missing_photos(record: &Record, path: &Path) -> Vec<MissingPhoto> {
    let looked = record
        .inspections
        .iter()
        .map(|i| (&i.photo, format!("inspection by {} on {}", i.by, i.on)));
    let walked = record
        .walked
        .iter()
        .map(|w| (&w.photo, format!("station {}, {} on {}", w.station, w.by, w.on)));
    let mut out: Vec<MissingPhoto> = Vec::new();
    for (photo, named) in looked.chain(walked) {
        let known = out.iter().any(|m| m.photo == *photo);
        if !photo.trim().is_empty() && !known && !photo_path(path, photo).is_file() {
            out.push(MissingPhoto { photo: photo.clone(), named });
        }
    }
    out
}
