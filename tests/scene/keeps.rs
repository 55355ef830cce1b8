//! Saving: whole or not at all, never over somebody else's work.

use standwell::scene::FileStamp;
use standwell::scene::keep::{
    Expect, KeepError, Unsaved, forget_unsaved, keep_unsaved, left_over, unsaved_file, write_whole,
    write_with,
};
use standwell::scene::model::{Change, ChangeKind};
use std::fs;
use std::io::{self, Write};

fn bytes(text: &str) -> Expect {
    Expect::Bytes(FileStamp::new("", text.as_bytes()).sha256)
}

fn names(folder: &std::path::Path) -> Vec<String> {
    let names = fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name());
    let mut names: Vec<String> = names.map(|n| n.to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn a_full_disk_half_way_leaves_the_old_file_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ron");
    fs::write(&path, "old").unwrap();
    let full = |file: &mut fs::File, bytes: &[u8]| {
        file.write_all(&bytes[..bytes.len() / 2])?;
        Err(io::Error::from(io::ErrorKind::StorageFull))
    };
    let failed = write_with(&path, "a longer new text", &bytes("old"), full).unwrap_err();
    assert!(matches!(failed, KeepError::Full { .. }));
    assert!(failed.to_string().contains("disk is full"), "{failed}");
    assert_eq!(fs::read_to_string(&path).unwrap(), "old");
    assert_eq!(names(folder.path()), ["job.ron"]);
}

#[test]
fn somebody_elses_work_is_not_overwritten_unasked() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ron");
    fs::write(&path, "theirs").unwrap();
    let refused = write_whole(&path, "mine", &bytes("as read")).unwrap_err();
    assert!(matches!(refused, KeepError::ChangedMeanwhile { .. }));
    assert_eq!(fs::read_to_string(&path).unwrap(), "theirs");
    // Also when it is changed while the new text is being written.
    let meanwhile = |file: &mut fs::File, new: &[u8]| {
        fs::write(&path, "theirs again")?;
        file.write_all(new)
    };
    let refused = write_with(&path, "mine", &bytes("theirs"), meanwhile).unwrap_err();
    assert!(matches!(refused, KeepError::ChangedMeanwhile { .. }));
    assert_eq!(fs::read_to_string(&path).unwrap(), "theirs again");
    write_whole(&path, "mine", &Expect::Anything).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), "mine");
}

#[test]
fn a_file_that_is_gone_or_there_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ron");
    assert!(matches!(
        write_whole(&path, "mine", &bytes("as read")).unwrap_err(),
        KeepError::Gone { .. }
    ));
    assert_eq!(names(folder.path()), Vec::<String>::new());
    write_whole(&path, "new", &Expect::Nothing).unwrap();
    let there = write_whole(&path, "newer", &Expect::Nothing).unwrap_err();
    assert!(matches!(there, KeepError::There { .. }));
    assert_eq!(fs::read_to_string(&path).unwrap(), "new");
}

#[cfg(unix)]
#[test]
fn rights_and_links_stay() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let folder = tempfile::tempdir().unwrap();
    let (file, link) = (folder.path().join("job.ron"), folder.path().join("link.ron"));
    fs::write(&file, "old").unwrap();
    fs::set_permissions(&file, fs::Permissions::from_mode(0o640)).unwrap();
    symlink(&file, &link).unwrap();
    write_whole(&link, "new", &bytes("old")).unwrap();
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(fs::read_to_string(&file).unwrap(), "new");
    assert_eq!(fs::metadata(&file).unwrap().permissions().mode() & 0o777, 0o640);
}

#[test]
fn unsaved_work_is_kept_beside_and_forgotten() {
    let folder = tempfile::tempdir().unwrap();
    // A folder that is not there yet is made.
    let path = unsaved_file(&folder.path().join("deep/job.ron"));
    assert_eq!(left_over(&path), None);
    let out = ChangeKind::TakeOut("main.brace".to_owned());
    let taken_out = vec![Change { name: "a".to_owned(), change: out }];
    let text = "(a: \"\\\"\n\")".to_owned();
    let unsaved = Unsaved { began_with: "ab".to_owned(), text, taken_out };
    keep_unsaved(&path, &unsaved).unwrap();
    assert_eq!(left_over(&path), Some(unsaved));
    assert!(path.file_name().unwrap().to_string_lossy().starts_with('.'));
    forget_unsaved(&path);
    assert_eq!(left_over(&path), None);
    // One that is not whole is none; one of an older program has nothing taken out.
    fs::write(&path, "(began_with: \"ab\", te").unwrap();
    assert_eq!(left_over(&path), None);
    fs::write(&path, "(began_with: \"ab\", text: \"\")").unwrap();
    assert_eq!(left_over(&path).unwrap().taken_out, []);
}

/// Between the look at the bytes and the rename somebody may put another file in its place: the
/// open file still holds the old bytes, but it is not the one of that name any more.
#[cfg(unix)]
#[test]
fn a_file_put_in_its_place_meanwhile_is_not_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ron");
    fs::write(&path, "as read").unwrap();
    let meanwhile = |file: &mut fs::File, new: &[u8]| {
        let other = folder.path().join("other");
        // The same bytes: what tells the two apart is which file it is.
        fs::write(&other, "as read")?;
        fs::rename(&other, &path)?;
        file.write_all(new)
    };
    let refused = write_with(&path, "mine", &bytes("as read"), meanwhile).unwrap_err();
    assert!(matches!(refused, KeepError::ChangedMeanwhile { .. }), "{refused}");
    assert_eq!(fs::read_to_string(&path).unwrap(), "as read");
    // A name that was free and is taken by now.
    let fresh = folder.path().join("fresh.ron");
    let meanwhile = |file: &mut fs::File, new: &[u8]| {
        fs::write(&fresh, "theirs")?;
        file.write_all(new)
    };
    let refused = write_with(&fresh, "mine", &Expect::Nothing, meanwhile).unwrap_err();
    assert!(matches!(refused, KeepError::There { .. }), "{refused}");
    assert_eq!(fs::read_to_string(&fresh).unwrap(), "theirs");
    assert_eq!(names(folder.path()), ["fresh.ron", "job.ron"]);
}
