//! A document while changes are tried: history to the byte, conflicts, work after a crash.

use standwell::scene::book::Book;
use standwell::scene::keep::KeepError;
use standwell::scene::model::{Change, ChangeKind};
use std::fs;

const TEXT: &str = "// é: a comment\n(\n    format: 1, /* kept */ title: \"T\",\n)\n";

fn take_out(name: &str) -> Change {
    Change { name: name.to_owned(), change: ChangeKind::TakeOut(format!("main.{name}")) }
}

fn names(book: &Book) -> Vec<String> {
    book.changes().unwrap().into_iter().map(|c| c.name).collect()
}

#[test]
fn history_goes_back_and_forth_to_the_byte() {
    let mut book = Book::new(None, TEXT);
    let mut texts = vec![TEXT.to_owned()];
    for i in 0..60 {
        if i % 3 == 2 {
            book.take_out(i / 6).unwrap();
        } else {
            book.add(&take_out(&format!("brace é{i}"))).unwrap();
        }
        texts.push(book.text().to_owned());
    }
    assert_eq!(names(&book).len(), 20);
    for text in texts.iter().rev().skip(1) {
        assert!(book.undo());
        assert_eq!(book.text(), text);
    }
    assert!(!book.undo());
    for text in texts.iter().skip(1) {
        assert!(book.redo());
        assert_eq!(book.text(), text);
    }
    assert!(!book.redo());
    book.undo();
    book.add(&take_out("another way")).unwrap();
    assert!(!book.redo());
}

#[test]
fn a_change_written_by_hand_with_its_comment_comes_back_with_it() {
    let text = "(\n    format: 1,\n    changes: [\n        // why: too slender\n        \
                (name: \"a\", change: TakeOut(\"main.x\")), // said on Monday\n    ],\n)\n";
    let mut book = Book::new(None, text);
    book.take_out(0).unwrap();
    assert_eq!(names(&book), Vec::<String>::new());
    assert!(book.text().contains("why: too slender"));
    book.undo();
    assert_eq!(book.text(), text);
    assert!(book.take_out(7).is_err());
}

#[test]
fn saved_is_known_by_the_bytes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ron");
    fs::write(&path, TEXT).unwrap();
    let mut book = Book::new(Some(path.clone()), TEXT);
    assert!(!book.is_unsaved());
    book.add(&take_out("a")).unwrap();
    assert!(book.is_unsaved());
    book.undo();
    assert!(!book.is_unsaved());
    book.redo();
    book.save(false).unwrap();
    assert!(!book.is_unsaved());
    assert_eq!(fs::read_to_string(&path).unwrap(), book.text());
    book.undo();
    assert!(book.is_unsaved());
}

#[test]
fn a_file_changed_meanwhile_keeps_both() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ron");
    fs::write(&path, TEXT).unwrap();
    let mut book = Book::new(Some(path.clone()), TEXT);
    book.add(&take_out("mine")).unwrap();
    let theirs = TEXT.replace("\"T\"", "\"Theirs\"");
    fs::write(&path, &theirs).unwrap();
    assert!(matches!(book.save(false).unwrap_err(), KeepError::ChangedMeanwhile { .. }));
    assert_eq!(fs::read_to_string(&path).unwrap(), theirs);
    book.rebase(&theirs).unwrap();
    assert!(book.text().contains("Theirs") && book.is_unsaved());
    assert_eq!(names(&book), ["mine"]);
    book.undo();
    assert_eq!(book.text(), theirs);
    book.redo();
    book.save(false).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), book.text());
}

#[test]
fn work_survives_a_crash_and_is_offered_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ron");
    fs::write(&path, TEXT).unwrap();
    let mut book = Book::new(Some(path.clone()), TEXT);
    assert!(book.left_over().is_none());
    book.add(&take_out("a")).unwrap();
    book.keep().unwrap();
    let text = book.text().to_owned();
    drop(book);
    // The next run.
    let mut book = Book::new(Some(path.clone()), TEXT);
    let (unsaved, changed) = book.left_over().unwrap();
    assert!(!changed);
    book.take_up(&unsaved).unwrap();
    assert_eq!(book.text(), text);
    // The file has changed since: what was tried is laid over it.
    let theirs = TEXT.replace("\"T\"", "\"Theirs\"");
    fs::write(&path, &theirs).unwrap();
    let mut book = Book::new(Some(path.clone()), &theirs);
    let (unsaved, changed) = book.left_over().unwrap();
    assert!(changed);
    book.take_up(&unsaved).unwrap();
    assert!(book.text().contains("Theirs"));
    assert_eq!(names(&book), ["a"]);
    // Saved: nothing is offered any more.
    book.save(false).unwrap();
    assert!(Book::new(Some(path), book.text()).left_over().is_none());
}

#[test]
fn a_job_of_the_program_is_saved_under_a_name() {
    let folder = tempfile::tempdir().unwrap();
    let mut book = Book::new(None, TEXT);
    book.add(&take_out("a")).unwrap();
    assert!(book.save(false).is_err());
    let path = folder.path().join("own.ron");
    book.save_as(&path, false).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), book.text());
    assert!(matches!(book.save_as(&path, false).unwrap_err(), KeepError::There { .. }));
    book.undo();
    book.save(false).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), TEXT);
}

#[test]
fn names_of_changes_are_free() {
    let mut book = Book::new(None, TEXT);
    for due in ["brace", "brace (2)", "brace (3)"] {
        let name = book.free_name("brace");
        assert_eq!(name, due);
        book.add(&take_out(&name)).unwrap();
    }
}

/// What was taken out here and not saved stays out when the changes are laid over a file that
/// somebody else changed, and what they took out stays out too.
#[test]
fn what_is_taken_out_stays_out_over_somebody_elses_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.ron");
    let mut first = Book::new(None, TEXT);
    for name in ["a", "b", "c"] {
        first.add(&take_out(name)).unwrap();
    }
    let began = first.text().to_owned();
    fs::write(&path, &began).unwrap();
    let mut book = Book::new(Some(path.clone()), &began);
    book.take_out(0).unwrap();
    book.add(&take_out("mine")).unwrap();
    book.keep().unwrap();
    // They took "c" out, added one of their own and renamed the job.
    let mut theirs = Book::new(None, began.replace("\"T\"", "\"Theirs\""));
    theirs.take_out(2).unwrap();
    theirs.add(&take_out("theirs")).unwrap();
    let mut rebased = book.clone();
    rebased.rebase(theirs.text()).unwrap();
    assert_eq!(names(&rebased), ["b", "theirs", "mine"]);
    assert!(rebased.text().contains("Theirs"));
    // The same after a crash: the next run reads their file and finds the work.
    drop(book);
    let mut next = Book::new(Some(path), theirs.text());
    let (unsaved, changed) = next.left_over().unwrap();
    assert!(changed);
    next.take_up(&unsaved).unwrap();
    assert!(!names(&next).contains(&"a".to_owned()), "{:?}", names(&next));
    assert!(names(&next).contains(&"mine".to_owned()));
}

#[test]
fn a_job_of_the_program_keeps_its_unsaved_work_too() {
    let folder = tempfile::tempdir().unwrap();
    let keeps = folder.path().join("own/tower.unsaved");
    let mut book = Book::of_program(Some(keeps.clone()), TEXT);
    book.add(&take_out("a")).unwrap();
    book.keep().unwrap();
    let text = book.text().to_owned();
    let mut next = Book::of_program(Some(keeps.clone()), TEXT);
    let (unsaved, changed) = next.left_over().unwrap();
    assert!(!changed);
    next.take_up(&unsaved).unwrap();
    assert_eq!(next.text(), text);
    // Saved under a name it has a file, and nothing is left to offer.
    next.save_as(&folder.path().join("own.ron"), false).unwrap();
    assert!(!keeps.exists());
    assert!(Book::of_program(Some(keeps), TEXT).left_over().is_none());
}
