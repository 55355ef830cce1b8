//! Writing a scene's file so that it is whole at every moment, and keeping unsaved work.
//!
//! A file is written beside the old one, flushed to the disk and then put in its place: whoever
//! opens it sees the old text or the new one, and a full disk leaves the old. What stands in the
//! file is compared before with what was read from it, so that nobody else's work is overwritten
//! unasked. Known to work by `tests/scene/keeps.rs`.

use super::file::{FileStamp, LONGEST};
use super::model::Change;
use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, Read, Seek, Write};
use std::path::{Path, PathBuf};

/// What must be in the file before it is written over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Expect {
    /// The bytes with this SHA-256, in hexadecimal.
    Bytes(String),
    /// No file.
    Nothing,
    /// Whatever is there: somebody was asked.
    Anything,
}

/// Why a file was not written. The old one is as it was.
#[derive(Debug, thiserror::Error)]
pub enum KeepError {
    #[error("{path}: somebody else changed this file since it was read; it was not overwritten")]
    ChangedMeanwhile { path: PathBuf },
    #[error("{path}: this file was taken away since it was read; nothing was written")]
    Gone { path: PathBuf },
    #[error("{path}: there is a file of this name already; it was not overwritten")]
    There { path: PathBuf },
    #[error("{path}: the disk is full; the old file is as it was")]
    Full { path: PathBuf },
    #[error("{path}: could not be written: {error}; the old file is as it was")]
    Io { path: PathBuf, error: io::Error },
}

/// Writes a text to a file, whole or not at all.
///
/// # Errors
/// When the file holds something else than expected, or cannot be written.
pub fn write_whole(path: &Path, text: &str, expect: &Expect) -> Result<FileStamp, KeepError> {
    write_with(path, text, expect, Write::write_all)
}

/// As [`write_whole`]; `put` writes the bytes. Tests let it fail half-way.
///
/// # Errors
/// As [`write_whole`].
pub fn write_with(
    path: &Path,
    text: &str,
    expect: &Expect,
    put: impl FnOnce(&mut File, &[u8]) -> io::Result<()>,
) -> Result<FileStamp, KeepError> {
    let failed = |error: io::Error| match error.kind() {
        io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => {
            KeepError::Full { path: path.to_owned() }
        }
        _ => KeepError::Io { path: path.to_owned(), error },
    };
    // A link is followed, so that what it leads to is written and the link stays.
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let there = as_expected(path, &target, expect)?;
    let folder = match target.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder.to_owned(),
        _ => PathBuf::from("."),
    };
    let mut beside = tempfile::Builder::new()
        .prefix(".standwell-")
        .suffix(".part")
        .tempfile_in(&folder)
        .map_err(failed)?;
    put(beside.as_file_mut(), text.as_bytes()).map_err(failed)?;
    beside.as_file_mut().flush().map_err(failed)?;
    if let Ok(old) = fs::metadata(&target) {
        beside.as_file().set_permissions(old.permissions()).map_err(failed)?;
    } else {
        readable(beside.as_file()).map_err(failed)?;
    }
    beside.as_file().sync_all().map_err(failed)?;
    // Asked again on the open file, since writing took its time: only the rename is left to do.
    if let Some(mut there) = there {
        same_still(path, &target, &mut there, expect)?;
    }
    if *expect == Expect::Nothing {
        // Fails where a file has come meanwhile, in one go.
        beside.persist_noclobber(&target).map_err(|e| match e.error.kind() {
            io::ErrorKind::AlreadyExists => KeepError::There { path: path.to_owned() },
            _ => failed(e.error),
        })?;
    } else {
        beside.persist(&target).map_err(|e| failed(e.error))?;
    }
    // The new name is on the disk once the folder is; not every system lets a folder be flushed.
    if let Ok(folder) = File::open(&folder) {
        folder.sync_all().ok();
    }
    Ok(FileStamp::new(path, text.as_bytes()))
}

/// Whether the file is as expected; the file itself where its bytes count, to be asked again.
fn as_expected(path: &Path, target: &Path, expect: &Expect) -> Result<Option<File>, KeepError> {
    let path = || path.to_owned();
    match expect {
        Expect::Anything => Ok(None),
        Expect::Nothing if target.exists() => Err(KeepError::There { path: path() }),
        Expect::Nothing => Ok(None),
        Expect::Bytes(sha256) => {
            let opened = File::open(target).and_then(|mut file| Ok((hash(&mut file)?, file)));
            match opened {
                Ok((there, file)) if there == *sha256 => Ok(Some(file)),
                Ok(_) => Err(KeepError::ChangedMeanwhile { path: path() }),
                Err(error) if error.kind() == io::ErrorKind::NotFound => {
                    Err(KeepError::Gone { path: path() })
                }
                Err(error) => Err(KeepError::Io { path: path(), error }),
            }
        }
    }
}

/// Whether the open file still holds what it held, and is still the one of that name.
fn same_still(
    path: &Path,
    target: &Path,
    there: &mut File,
    expect: &Expect,
) -> Result<(), KeepError> {
    let changed = || KeepError::ChangedMeanwhile { path: path.to_owned() };
    let io = |error| KeepError::Io { path: path.to_owned(), error };
    there.seek(io::SeekFrom::Start(0)).map_err(io)?;
    let now = hash(there).map_err(io)?;
    if !matches!(expect, Expect::Bytes(sha256) if now == *sha256) {
        return Err(changed());
    }
    match fs::metadata(target) {
        Ok(named) if is_same(&named, &there.metadata().map_err(io)?) => Ok(()),
        Ok(_) => Err(changed()),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            Err(KeepError::Gone { path: path.to_owned() })
        }
        Err(error) => Err(io(error)),
    }
}

#[cfg(unix)]
fn is_same(a: &fs::Metadata, b: &fs::Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (a.dev(), a.ino()) == (b.dev(), b.ino())
}

/// Elsewhere a file that is open is not put out of its place.
#[cfg(not(unix))]
fn is_same(a: &fs::Metadata, b: &fs::Metadata) -> bool {
    a.len() == b.len() && a.modified().ok() == b.modified().ok()
}

/// SHA-256 of a file's bytes from where it stands.
fn hash(file: &mut File) -> io::Result<String> {
    let mut bytes = Vec::new();
    file.take(LONGEST + 1).read_to_end(&mut bytes)?;
    Ok(FileStamp::new("", &bytes).sha256)
}

/// A fresh file is made for its owner alone; a scene is for everybody, as an editor leaves it.
#[cfg(unix)]
fn readable(file: &File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable(_file: &File) -> io::Result<()> {
    Ok(())
}

/// Unsaved work, as it is kept beside the scene until it is saved.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Unsaved {
    /// SHA-256 of the scene's bytes the work began with.
    pub began_with: String,
    /// The whole document as it was last.
    pub text: String,
    /// Changes the scene had and the work took out.
    #[serde(default)]
    pub taken_out: Vec<Change>,
}

/// The file that keeps the unsaved work on a scene.
#[must_use]
pub fn unsaved_file(scene: &Path) -> PathBuf {
    let mut name = OsString::from(".");
    name.push(scene.file_name().unwrap_or_default());
    name.push(".unsaved");
    scene.with_file_name(name)
}

/// The folder that keeps unsaved work on jobs that are part of the program: the person's own for
/// what programs remember (XDG base directory specification, `XDG_STATE_HOME`).
#[must_use]
pub fn own_folder() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|p| p.is_absolute());
    let state = set("XDG_STATE_HOME").or_else(|| Some(set("HOME")?.join(".local/state")))?;
    Some(state.join("standwell"))
}

/// Keeps unsaved work in its file, [`unsaved_file`].
///
/// # Errors
/// As [`write_whole`].
pub fn keep_unsaved(path: &Path, unsaved: &Unsaved) -> Result<(), KeepError> {
    let path = path.to_owned();
    if let Some(folder) = path.parent().filter(|f| !f.as_os_str().is_empty() && !f.exists()) {
        fs::create_dir_all(folder)
            .map_err(|error| KeepError::Io { path: folder.to_owned(), error })?;
    }
    let text = ron::ser::to_string(unsaved).map_err(|error| KeepError::Io {
        path: path.clone(),
        error: io::Error::other(error.to_string()),
    })?;
    write_whole(&path, &text, &Expect::Anything).map(|_| ())
}

/// Unsaved work left over from an earlier run; none where there is none or it cannot be read,
/// since it is always written whole.
#[must_use]
pub fn left_over(path: &Path) -> Option<Unsaved> {
    let text = super::file::read_text(path).ok()?;
    ron::from_str(&text).ok()
}

/// Forgets the unsaved work kept in a file.
pub fn forget_unsaved(path: &Path) {
    // Where there is none there is nothing to forget.
    fs::remove_file(path).ok();
}
