//! A scene's text while changes are tried: undo and redo without end, saving, unsaved work.
//!
//! The text is the truth. A change is put into its `changes` section as a patch; undo takes the
//! very bytes back. Known to work by `tests/scene/book.rs`.

use super::edit::{self, Edit, EditError};
use super::file::FileStamp;
use super::keep::{self, Expect, KeepError, Unsaved};
use super::model::Change;
use super::source::SceneSource;
use super::tree::parse;
use super::typed::{self, Typed};
use std::path::{Path, PathBuf};

/// A document with its history.
#[derive(Clone, Debug)]
pub struct Book {
    /// Where it is saved; none for a job that is part of the program.
    path: Option<PathBuf>,
    /// Where unsaved work is kept; none: nowhere.
    keeps: Option<PathBuf>,
    text: String,
    /// SHA-256 of what is in the file, as far as is known.
    saved: String,
    /// Changes in the file as it was last read or written: what of them is not here was taken out.
    began: Vec<Change>,
    undo: Vec<Turn>,
    redo: Vec<Turn>,
}

/// One edit: what it did, and the bytes it replaced.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Turn {
    words: String,
    at: usize,
    old: String,
    new: String,
}

impl Turn {
    /// The bytes between what two texts have in common at their starts and ends.
    fn between(words: &str, old: &str, new: &str) -> Self {
        let same = |a: &[u8], b: &[u8]| a.iter().zip(b).take_while(|(x, y)| x == y).count();
        let mut start = same(old.as_bytes(), new.as_bytes());
        while !(old.is_char_boundary(start) && new.is_char_boundary(start)) {
            start -= 1;
        }
        let (o, n) = (&old[start..], &new[start..]);
        let mut end = o.bytes().rev().zip(n.bytes().rev()).take_while(|(x, y)| x == y).count();
        while !(o.is_char_boundary(o.len() - end) && n.is_char_boundary(n.len() - end)) {
            end -= 1;
        }
        let (old, new) = (o[..o.len() - end].to_owned(), n[..n.len() - end].to_owned());
        Self { words: words.to_owned(), at: start, old, new }
    }

    fn swap(&self, text: &mut String, there: &str, with: &str) {
        text.replace_range(self.at..self.at + there.len(), with);
    }
}

fn sha256(text: &str) -> String {
    FileStamp::new("", text.as_bytes()).sha256
}

impl Book {
    /// Of a text as it was read from a file, or of a job that is part of the program.
    #[must_use]
    pub fn new(path: Option<PathBuf>, text: impl Into<String>) -> Self {
        let keeps = path.as_deref().map(keep::unsaved_file);
        Self::kept(path, keeps, text.into())
    }

    /// Of a job that is part of the program and has no file of its own; unsaved work on it is kept
    /// in this file.
    #[must_use]
    pub fn of_program(keeps: Option<PathBuf>, text: impl Into<String>) -> Self {
        Self::kept(None, keeps, text.into())
    }

    fn kept(path: Option<PathBuf>, keeps: Option<PathBuf>, text: String) -> Self {
        let saved = sha256(&text);
        let began = changes(&text).unwrap_or_default();
        Self { path, keeps, text, saved, began, undo: Vec::new(), redo: Vec::new() }
    }

    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }
    /// Whether the text differs from the file's.
    #[must_use]
    pub fn is_unsaved(&self) -> bool {
        sha256(&self.text) != self.saved
    }
    /// Whether this is the very text the file is known to hold.
    #[must_use]
    pub fn is_saved_text(&self, text: &str) -> bool {
        sha256(text) == self.saved
    }
    /// What undo would take back, and redo would do again.
    #[must_use]
    pub fn undo_words(&self) -> Option<&str> {
        self.undo.last().map(|t| t.words.as_str())
    }
    #[must_use]
    pub fn redo_words(&self) -> Option<&str> {
        self.redo.last().map(|t| t.words.as_str())
    }

    /// Names and changes in the text, in order.
    ///
    /// # Errors
    /// When the text's section cannot be read.
    pub fn changes(&self) -> Result<Vec<Change>, EditError> {
        changes(&self.text)
    }

    /// Adds a change at the end of the section.
    ///
    /// # Errors
    /// As [`edit::add_change`]. The text stays as it was.
    pub fn add(&mut self, change: &Change) -> Result<(), EditError> {
        let new = edit::add_change(&self.text, change)?;
        self.turn(&change.name, new);
        Ok(())
    }

    /// Takes a change out of the section, by its position.
    ///
    /// # Errors
    /// When there is none at it.
    pub fn take_out(&mut self, index: usize) -> Result<(), EditError> {
        let name = self.changes()?.get(index).map(|c| c.name.clone()).unwrap_or_default();
        let tree = parse(&self.text)?;
        let path = format!("changes[{index}]");
        let new = edit::edit(&self.text, &tree, &Edit::Remove { path })?;
        self.turn(&format!("take out: {name}"), new);
        Ok(())
    }

    /// A name for a change that no other has: the words, with a number where there are such.
    #[must_use]
    pub fn free_name(&self, words: &str) -> String {
        let taken: Vec<String> =
            self.changes().unwrap_or_default().into_iter().map(|c| c.name).collect();
        let mut name = words.to_owned();
        let mut number = 2;
        while taken.contains(&name) {
            name = format!("{words} ({number})");
            number += 1;
        }
        name
    }

    fn turn(&mut self, words: &str, new: String) {
        self.undo.push(Turn::between(words, &self.text, &new));
        self.redo.clear();
        self.text = new;
    }

    /// Takes the last edit back, to the byte. False where there is none.
    pub fn undo(&mut self) -> bool {
        let Some(turn) = self.undo.pop() else { return false };
        turn.swap(&mut self.text, &turn.new, &turn.old);
        self.redo.push(turn);
        true
    }

    /// Takes the last edit back for good: it cannot be done again. False where there is none.
    pub fn take_back(&mut self) -> bool {
        let undone = self.undo();
        if undone {
            self.redo.pop();
        }
        undone
    }

    /// Does the edit last taken back again. False where there is none.
    pub fn redo(&mut self) -> bool {
        let Some(turn) = self.redo.pop() else { return false };
        turn.swap(&mut self.text, &turn.old, &turn.new);
        self.undo.push(turn);
        true
    }

    /// Writes the text to its file; `asked`: whatever is in it by now.
    ///
    /// # Errors
    /// When the file was changed or taken away meanwhile and nobody was asked, or cannot be
    /// written. Nothing is lost: the text stays here and beside the file.
    pub fn save(&mut self, asked: bool) -> Result<(), KeepError> {
        let Some(path) = self.path.clone() else {
            let error = std::io::Error::other("it is part of the program: save it under a name");
            return Err(KeepError::Io { path: PathBuf::from("this job"), error });
        };
        let expect = if asked { Expect::Anything } else { Expect::Bytes(self.saved.clone()) };
        let stamp = keep::write_whole(&path, &self.text, &expect)?;
        self.is_saved(stamp);
        Ok(())
    }

    fn is_saved(&mut self, stamp: FileStamp) {
        self.saved = stamp.sha256;
        self.began = self.changes().unwrap_or_default();
        if let Some(keeps) = &self.keeps {
            keep::forget_unsaved(keeps);
        }
    }

    /// Writes the text to another file, which is its file from then on.
    ///
    /// # Errors
    /// When there is one of that name and nobody was asked, or it cannot be written.
    pub fn save_as(&mut self, path: &Path, asked: bool) -> Result<(), KeepError> {
        let expect = if asked { Expect::Anything } else { Expect::Nothing };
        let stamp = keep::write_whole(path, &self.text, &expect)?;
        self.path = Some(path.to_owned());
        if let Some(old) = self.keeps.replace(keep::unsaved_file(path)) {
            keep::forget_unsaved(&old);
        }
        self.is_saved(stamp);
        Ok(())
    }

    /// Keeps unsaved work beside the file, or forgets it where there is none.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn keep(&self) -> Result<(), KeepError> {
        let Some(keeps) = &self.keeps else { return Ok(()) };
        if !self.is_unsaved() {
            keep::forget_unsaved(keeps);
            return Ok(());
        }
        let unsaved = Unsaved {
            began_with: self.saved.clone(),
            text: self.text.clone(),
            taken_out: self.taken_out(),
        };
        keep::keep_unsaved(keeps, &unsaved)
    }

    /// Changes of the file that were taken out here since.
    fn taken_out(&self) -> Vec<Change> {
        let here = self.changes().unwrap_or_default();
        self.began.iter().filter(|c| !here.contains(c)).cloned().collect()
    }

    /// Forgets unsaved work of an earlier run: somebody said so.
    pub fn throw_away(&self) {
        if let Some(keeps) = &self.keeps {
            keep::forget_unsaved(keeps);
        }
    }

    /// Unsaved work of an earlier run on this file, if it differs from what is here. With it,
    /// whether the file has changed since.
    #[must_use]
    pub fn left_over(&self) -> Option<(Unsaved, bool)> {
        let unsaved = keep::left_over(self.keeps.as_deref()?)?;
        let changed = unsaved.began_with != self.saved;
        (unsaved.text != self.text).then_some((unsaved, changed))
    }

    /// Takes unsaved work up again. Where the file has changed since, its changes that are not
    /// here are laid over the text that is, and what it took out is taken out of it.
    ///
    /// # Errors
    /// When its text cannot be read.
    pub fn take_up(&mut self, unsaved: &Unsaved) -> Result<(), EditError> {
        let new = if unsaved.began_with == self.saved {
            parse(&unsaved.text)?;
            unsaved.text.clone()
        } else {
            laid_over(&self.text, &changes(&unsaved.text)?, &unsaved.taken_out)?
        };
        self.turn("unsaved work taken up again", new);
        Ok(())
    }

    /// The file was changed by somebody else: their text, with the changes made here laid over
    /// it, and without those taken out here. History begins anew, so that undo cannot bring back
    /// what they changed.
    ///
    /// # Errors
    /// When a text cannot be read; nothing is changed then.
    pub fn rebase(&mut self, theirs: &str) -> Result<(), EditError> {
        // What the file began with here and has lost by now, they took out: it stays out.
        let mut mine = if self.is_unsaved() { self.changes()? } else { Vec::new() };
        mine.retain(|c| !self.began.contains(c));
        let new = laid_over(theirs, &mine, &self.taken_out())?;
        self.began = changes(theirs)?;
        self.saved = sha256(theirs);
        theirs.clone_into(&mut self.text);
        self.undo.clear();
        self.redo.clear();
        if new != self.text {
            self.turn("changes laid over the new file", new);
        }
        Ok(())
    }
}

/// The changes in a text.
fn changes(text: &str) -> Result<Vec<Change>, EditError> {
    let tree = parse(text)?;
    let Some(list) = tree.find("changes").and_then(|id| tree.node(id)) else {
        return Ok(Vec::new());
    };
    let section = text.get(list.range.clone()).unwrap_or_default();
    let source = SceneSource::new("", section).map_err(|p| EditError::Changes(p.message))?;
    match typed::read::<Vec<Change>>(&source) {
        Typed::Fits(changes) => Ok(changes),
        Typed::Misfits(found) => Err(EditError::Changes(
            found.misfits.first().map_or_else(String::new, |m| m.message.clone()),
        )),
    }
}

/// A text with those changes added that it does not have, and without those taken out.
fn laid_over(text: &str, mine: &[Change], taken_out: &[Change]) -> Result<String, EditError> {
    let there = changes(text)?;
    let mut new = text.to_owned();
    // From the last to the first, so that the places of the others stay.
    for index in (0..there.len()).rev().filter(|&i| taken_out.contains(&there[i])) {
        let path = format!("changes[{index}]");
        new = edit::edit(&new, &parse(&new)?, &Edit::Remove { path })?;
    }
    for change in mine.iter().filter(|c| !there.contains(c)) {
        new = edit::add_change(&new, change)?;
    }
    Ok(new)
}
