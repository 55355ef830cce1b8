//! The changes tried in the scene on screen: the book they are written in, and what they come to.

use crate::review::{Comparison, Review};
use crate::scene::book::Book;
use crate::scene::keep::{KeepError, Unsaved};
use crate::scene::model::Change;
use crate::viewer::state::Errand;
use crate::viewer::theme::Grade;
use crate::viewer::vocab::EditIntent;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The stage on screen, judged before all others after an edit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Glance {
    pub step: String,
    /// What was seen, worst first.
    pub seen: Vec<(Grade, String)>,
}

impl Glance {
    /// From what the checks saw.
    #[must_use]
    pub fn of(step: &str, seen: &[crate::checks::Seeing]) -> Self {
        let mut seen: Vec<(Grade, String)> = seen
            .iter()
            .map(|s| &*s.observation)
            .map(|o| (Grade::of(o.severity, o.unknown), o.headline.clone()))
            .collect();
        seen.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
        Self { step: step.to_owned(), seen }
    }
    #[must_use]
    pub fn worst(&self) -> Option<Grade> {
        self.seen.first().map(|s| s.0)
    }
}

/// Two reviews and what differs between them.
#[derive(Clone, Debug)]
pub struct Compared {
    /// What with what, for a person.
    pub title: String,
    pub before: Arc<Review>,
    pub after: Arc<Review>,
    pub differs: Comparison,
}

/// Why the text was not saved, and what may be done about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotSaved {
    pub why: String,
    /// It can be written over what is there, if somebody says so.
    pub may_overwrite: bool,
    /// Somebody else's text is there: the changes can be laid over it.
    pub may_lay_over: bool,
    /// Nothing can be written there: another place is the way out.
    pub elsewhere: bool,
    /// Where it was to go, if not to its own file.
    pub to: Option<PathBuf>,
}

impl NotSaved {
    #[must_use]
    pub fn of(error: &KeepError, to: Option<&Path>) -> Self {
        let changed = matches!(error, KeepError::ChangedMeanwhile { .. });
        Self {
            why: error.to_string(),
            may_overwrite: changed
                || matches!(error, KeepError::Gone { .. } | KeepError::There { .. }),
            may_lay_over: changed && to.is_none(),
            elsewhere: matches!(error, KeepError::Full { .. } | KeepError::Io { .. }),
            to: to.map(Path::to_owned),
        }
    }
}

/// The book of the scene on screen.
#[derive(Default)]
pub struct Trying {
    pub book: Option<Book>,
    /// The changes in the book's text, in order.
    pub changes: Vec<Change>,
    /// An edit is being judged.
    pub judging: bool,
    /// What is on screen is not yet the text in the book.
    pub stale: bool,
    /// The stage on screen after the last edit, until all are judged.
    pub glance: Option<Glance>,
    /// What the last edit made better and worse.
    pub compared: Option<Compared>,
    /// Unsaved work of an earlier run, and whether the file has changed since.
    pub left_over: Option<(Unsaved, bool)>,
    pub not_saved: Option<NotSaved>,
    /// Said once after an action: saved, taken back.
    pub told: Option<String>,
    /// The last edit was a new change, which is taken back if it cannot be made.
    pub fresh: bool,
    /// Edits made since the last one that was judged.
    pub unjudged: usize,
}

impl Trying {
    /// A scene was read: its text begins a new history, unless it is the one at hand.
    pub fn open(&mut self, book: Book) {
        let same = |b: &Book| b.path() == book.path() && b.text() == book.text();
        if self.book.as_ref().is_some_and(same) {
            return;
        }
        *self = Self { left_over: book.left_over(), book: Some(book), ..Self::default() };
        self.count();
    }

    /// Whether there is anything to lose.
    #[must_use]
    pub fn is_unsaved(&self) -> bool {
        self.book.as_ref().is_some_and(Book::is_unsaved)
    }

    /// Whether there is anything to show.
    #[must_use]
    pub fn is_of_interest(&self) -> bool {
        !self.changes.is_empty()
            || self.is_unsaved()
            || self.left_over.is_some()
            || self.not_saved.is_some()
            || self.judging
            || self.compared.is_some()
            || self.stale
            || self.book.as_ref().is_some_and(|b| b.redo_words().is_some())
    }

    fn count(&mut self) {
        let changes = self.book.as_ref().and_then(|b| b.changes().ok());
        self.changes = changes.unwrap_or_default();
    }

    fn book(&mut self) -> Result<&mut Book, String> {
        self.book.as_mut().ok_or_else(|| "there is no scene to change".to_owned())
    }

    /// Acts on what a person wants; gives what has to be done elsewhere.
    ///
    /// # Errors
    /// Text for a person, where the scene's text does not allow it.
    pub fn act(&mut self, intent: &EditIntent) -> Result<Option<Errand>, String> {
        self.told = None;
        let edited = match intent {
            EditIntent::Try(change) => {
                let units = crate::units::UnitSystem::Metres;
                let words = crate::changes::words::of(change, units);
                let book = self.book()?;
                let name = book.free_name(&words);
                let change = Change { name, change: change.clone() };
                book.add(&change).map_err(|e| e.to_string())?;
                self.fresh = true;
                true
            }
            EditIntent::TakeOut(index) => {
                self.book()?.take_out(*index).map_err(|e| e.to_string())?;
                self.fresh = false;
                true
            }
            EditIntent::Undo => {
                self.fresh = false;
                self.book()?.undo()
            }
            EditIntent::Redo => {
                self.fresh = false;
                self.book()?.redo()
            }
            EditIntent::TakeUp(true) => {
                let Some((unsaved, _)) = self.left_over.take() else { return Ok(None) };
                self.fresh = false;
                self.book()?.take_up(&unsaved).map_err(|e| e.to_string())?;
                true
            }
            EditIntent::TakeUp(false) => {
                self.left_over = None;
                return Ok(Some(Errand::Edit(intent.clone())));
            }
            EditIntent::Dismiss => {
                self.not_saved = None;
                self.compared = None;
                return Ok(None);
            }
            EditIntent::Judge => return Ok(Some(Errand::TryOut)),
            EditIntent::Save
            | EditIntent::SaveAnyway
            | EditIntent::SaveAs(_)
            | EditIntent::Under(_)
            | EditIntent::LayOver => return Ok(Some(Errand::Edit(intent.clone()))),
        };
        self.count();
        self.stale |= edited;
        self.unjudged += usize::from(edited);
        Ok(edited.then_some(Errand::TryOut))
    }

    /// The last edit cannot be judged. A new change is taken back; says what was done.
    pub fn failed(&mut self, why: &str) -> String {
        self.judging = false;
        self.glance = None;
        if std::mem::take(&mut self.fresh)
            && let Some(book) = &mut self.book
            && book.take_back()
        {
            self.count();
            // What was edited before it and not judged either still waits.
            self.unjudged = self.unjudged.saturating_sub(1);
            self.stale = self.unjudged > 0;
            return format!("{why}\n\nThe change was taken back.");
        }
        why.to_owned()
    }

    /// Writes the book to its file or another.
    pub fn save(&mut self, to: Option<&Path>, asked: bool) {
        self.told = None;
        let Some(book) = &mut self.book else { return };
        let done = match to {
            Some(path) => book.save_as(path, asked),
            None => book.save(asked),
        };
        self.not_saved = done.as_ref().err().map(|error| NotSaved::of(error, to));
        if done.is_ok() {
            let name = book.path().map(|p| p.display().to_string()).unwrap_or_default();
            self.told = Some(format!("saved to {name}"));
        }
    }

    /// Lays the changes over what is in the file now; true if there is something to judge.
    pub fn lay_over(&mut self) -> bool {
        let Some(book) = &mut self.book else { return false };
        let Some(path) = book.path().map(Path::to_owned) else { return false };
        let done = crate::scene::file::read_text(&path)
            .map_err(|e| e.to_string())
            .and_then(|theirs| book.rebase(&theirs).map_err(|e| e.to_string()));
        match done {
            Ok(()) => {
                self.not_saved = None;
                self.fresh = false;
                self.stale = true;
                self.count();
                true
            }
            Err(why) => {
                self.told = Some(why);
                false
            }
        }
    }
}

/// Judges the stage on screen alone.
#[must_use]
pub fn glance(laid_out: &crate::changes::LaidOut, stage: usize) -> Option<Glance> {
    let at = laid_out.sequence.stages.get(stage)?;
    let (assembly, pack) = (&laid_out.assembly, &laid_out.pack);
    let judged = crate::review::judge_one(assembly, pack, at);
    let seen = crate::review::observe_one(assembly, pack, &laid_out.sequence, at, &judged);
    Some(Glance::of(&at.step, &seen))
}
