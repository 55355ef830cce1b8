//! Files from the disk: looked at for size and kind before they are read.

use super::problem::Problem;
use sha2::{Digest, Sha256};
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

/// The longest file that is read, in bytes.
pub const LONGEST: u64 = 16 * 1024 * 1024;

/// A file as it was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileStamp {
    /// Path of the file; for a shipped one `shipped:` and its name.
    pub path: PathBuf,
    /// SHA-256 of its bytes, in hexadecimal.
    pub sha256: String,
}

impl FileStamp {
    /// Of these bytes.
    #[must_use]
    pub fn new(path: impl Into<PathBuf>, bytes: &[u8]) -> Self {
        let sha256 = Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect();
        Self { path: path.into(), sha256 }
    }
}

/// A problem with a file as a whole.
#[must_use]
pub fn whole(path: &Path, message: impl Into<String>) -> Problem {
    Problem {
        file: path.to_owned(),
        line: 0,
        column: 0,
        path: String::new(),
        message: message.into(),
        help: None,
    }
}

/// Reads a text file.
///
/// # Errors
/// When it is not there, is not a file, is longer than [`LONGEST`] (found out before reading),
/// or is not UTF-8 text.
pub fn read_text(path: &Path) -> Result<String, Problem> {
    let failed = |error: &std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => whole(path, "there is no such file"),
        std::io::ErrorKind::PermissionDenied => whole(path, "this file may not be read"),
        _ => whole(path, format!("cannot be read: {error}")),
    };
    let data = std::fs::metadata(path).map_err(|e| failed(&e))?;
    if !data.is_file() {
        return Err(whole(path, "this is not a file"));
    }
    if data.len() > LONGEST {
        return Err(too_long(path, data.len()));
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(|e| failed(&e))?;
    // It may have grown since.
    file.take(LONGEST + 1).read_to_end(&mut bytes).map_err(|e| failed(&e))?;
    if bytes.len() as u64 > LONGEST {
        return Err(too_long(path, bytes.len() as u64));
    }
    text(path, bytes)
}

fn too_long(path: &Path, len: u64) -> Problem {
    let mega = |bytes: u64| bytes.div_ceil(1024 * 1024);
    let message = format!(
        "{} MB long; files up to {} MB are read, and a floor of 100 bays takes a page",
        mega(len),
        mega(LONGEST)
    );
    whole(path, message)
}

/// Bytes as text.
fn text(path: &Path, bytes: Vec<u8>) -> Result<String, Problem> {
    let place = |before: &[u8]| {
        let line = before.iter().filter(|&&b| b == b'\n').count() + 1;
        let last = before.rsplit(|&b| b == b'\n').next().unwrap_or(before);
        (line, String::from_utf8_lossy(last).chars().count() + 1)
    };
    let at = |before: &[u8], message: &str| {
        let (line, column) = place(before);
        Problem { line, column, ..whole(path, message) }
    };
    if bytes.starts_with(&[0xEF, 0xBB, 0xBF]) {
        return Err(at(&[], "starts with a byte order mark: save it as UTF-8 without one"));
    }
    if let Some(nul) = bytes.iter().position(|&b| b == 0) {
        return Err(at(&bytes[..nul], "holds a NUL byte: this is not a text file"));
    }
    String::from_utf8(bytes).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        at(&error.as_bytes()[..good], "is not UTF-8 text from here on")
    })
}

/// The checks of [`read_text`] for a text that is already in memory.
///
/// # Errors
/// When it is too long or holds a NUL.
pub fn check_text(path: &Path, content: &str) -> Result<(), Problem> {
    let len = content.len() as u64;
    if len > LONGEST {
        return Err(too_long(path, len));
    }
    if content.contains('\0') || content.starts_with('\u{feff}') {
        return text(path, content.as_bytes().to_vec()).map(|_| ());
    }
    Ok(())
}
