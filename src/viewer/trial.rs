//! Judges what is tried, off the window's thread: the stage on screen at once, then all; and does
//! what an edit asks for outside the state: saving, laying changes over somebody else's text.

use crate::review::{Comparison, Review, compare};
use crate::scene::book::Book;
use crate::scene::edit::{Edit, EditError, edit};
use crate::scene::file;
use crate::scene::tree::parse;
use crate::viewer::loading::{Bell, Desk, Line, What};
use crate::viewer::state::ViewerState;
use crate::viewer::trying::{Compared, Glance, NotSaved};
use crate::viewer::vocab::EditIntent;
use bevy::prelude::Resource;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A text to be judged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    pub path: PathBuf,
    pub text: String,
    /// The stage on screen: its step and its position.
    pub step: String,
    pub stage: usize,
}

/// Judges a text: tells of the stage on screen first, then of how many stages are done, which
/// answers whether to go on. The error is text for a person.
pub type TryFn = dyn Fn(&Ask, &dyn Fn(Glance), &dyn Fn(usize, usize) -> bool) -> Result<Review, String>
    + Send
    + Sync;

/// How texts are judged; tests put their own in.
#[derive(Resource, Clone)]
pub struct TryOut(pub Arc<TryFn>);

impl Default for TryOut {
    fn default() -> Self {
        super::rooms::try_out()
    }
}

/// What comes of a trial.
pub enum Tried {
    /// Unsaved work could not be kept beside the file.
    NotKept(String),
    Glance(Glance),
    Done(Result<Box<Judged>, String>),
    /// The scene under other criteria, which is not shown itself.
    Under(Result<Box<Compared>, String>),
}

/// A review with what differs from the one before.
pub struct Judged {
    pub review: Review,
    pub compared: Option<(Arc<Review>, Comparison)>,
}

impl Tried {
    pub(super) fn is_last(&self) -> bool {
        matches!(self, Self::Done(_) | Self::Under(_))
    }
}

/// What a change heard of on the disk means.
pub(super) enum News {
    /// Nothing: the window wrote it.
    None,
    /// Read the scene again.
    Read,
    /// The scene's own text is as it was and there is unsaved work: judge that again.
    Judge,
    /// The scene's text was changed, and there is unsaved work.
    Clash(NotSaved),
}

impl Desk {
    /// Judges the book's text.
    pub(super) fn try_out(&mut self, state: &mut ViewerState, try_out: &TryOut, bell: &Bell) {
        let (Some(book), Some(path)) = (&state.trying.book, state.path.clone()) else { return };
        let step = state.review.as_ref().and_then(|r| r.sequence.stages.get(state.stage));
        let ask = Ask {
            path: path.clone(),
            text: book.text().to_owned(),
            step: step.map(|s| s.step.clone()).unwrap_or_default(),
            stage: state.stage,
        };
        let (book, before, judge) = (book.clone(), state.review.clone(), try_out.0.clone());
        self.work(&path, state, bell, move |line| run(line, &ask, &book, before, &*judge));
        state.trying.judging = true;
        state.trying.glance = None;
        state.trying.compared = None;
    }

    /// Judges the scene on screen under other criteria, to see what differs.
    fn under(&mut self, pack: &str, state: &mut ViewerState, try_out: &TryOut, bell: &Bell) {
        let (Some(book), Some(path)) = (&state.trying.book, state.path.clone()) else { return };
        let Some(before) = state.review.clone() else { return };
        let with = format!("{pack:?}");
        let change = Edit::Replace { path: "criteria".to_owned(), with };
        let text = parse(book.text())
            .map_err(EditError::from)
            .and_then(|tree| edit(book.text(), &tree, &change));
        let text = match text {
            Ok(text) => text,
            Err(error) => {
                state.problem = Some(error.to_string());
                return;
            }
        };
        let ask = Ask { path: path.clone(), text, step: String::new(), stage: 0 };
        let judge = try_out.0.clone();
        let title = format!("under {pack} instead");
        self.work(&path, state, bell, move |line| {
            let judged = judge(&ask, &|_| {}, &|now, of| line.progress(now, of));
            let compared = judged.map(|after| {
                let differs = compare(&before, &after);
                Box::new(Compared { title, before, after: Arc::new(after), differs })
            });
            line.tell(What::Tried(Tried::Under(compared)));
        });
        state.trying.judging = true;
        state.trying.compared = None;
    }

    /// Does what an edit asks for outside the state.
    pub(super) fn edit(
        &mut self,
        edit: &EditIntent,
        state: &mut ViewerState,
        try_out: &TryOut,
        bell: &Bell,
    ) {
        let (to, asked) = match edit {
            EditIntent::Save => (None, false),
            // Where the last try was to save under another name, that is what is meant.
            EditIntent::SaveAnyway => {
                (state.trying.not_saved.as_ref().and_then(|n| n.to.clone()), true)
            }
            EditIntent::SaveAs(path) => (Some(path.clone()), false),
            EditIntent::Under(pack) => return self.under(pack, state, try_out, bell),
            EditIntent::LayOver => {
                if state.trying.lay_over() {
                    self.try_out(state, try_out, bell);
                }
                return;
            }
            EditIntent::TakeUp(false) => {
                if let Some(book) = &state.trying.book {
                    book.throw_away();
                }
                return;
            }
            _ => return,
        };
        state.trying.save(to.as_deref(), asked);
        if state.trying.not_saved.is_none() {
            self.wrote = true;
            if let Some(to) = to {
                state.path = Some(to.clone());
                self.watch.main_file(&to);
                self.watch.also(&to, bell);
            }
        }
    }

    /// What a change on the disk means for the scene on screen.
    pub(super) fn news(&mut self, path: &Path, state: &ViewerState) -> News {
        let wrote = std::mem::take(&mut self.wrote);
        let book = state.trying.book.as_ref().filter(|b| b.path() == Some(path));
        let Some(book) = book else { return News::Read };
        let same = file::read_text(path).map(|text| book.is_saved_text(&text));
        match (book.is_unsaved(), same) {
            (_, Ok(true)) if wrote => News::None,
            (false, _) => News::Read,
            (true, Ok(true)) => News::Judge,
            (true, Ok(false)) => News::Clash(NotSaved {
                why: format!(
                    "{}: somebody else changed this file. Your changes are still here and kept \
                     beside it.",
                    path.display()
                ),
                may_overwrite: true,
                may_lay_over: true,
                elsewhere: false,
                to: None,
            }),
            (true, Err(problem)) => News::Clash(NotSaved {
                why: format!("{problem}. Your changes are still here and kept beside it."),
                may_overwrite: true,
                may_lay_over: false,
                elsewhere: false,
                to: None,
            }),
        }
    }
}

/// The work of the thread.
fn run(line: &Line, ask: &Ask, book: &Book, before: Option<Arc<Review>>, judge: &TryFn) {
    if let Err(error) = book.keep() {
        line.tell(What::Tried(Tried::NotKept(error.to_string())));
    }
    let tell = |glance| line.tell(What::Tried(Tried::Glance(glance)));
    let work = std::panic::AssertUnwindSafe(|| {
        let review = judge(ask, &tell, &|now, of| line.progress(now, of))?;
        let compared = before.map(|before| {
            let differs = compare(&before, &review);
            (before, differs)
        });
        Ok(Box::new(Judged { review, compared }))
    });
    let done = std::panic::catch_unwind(work).unwrap_or_else(|_| {
        Err("judging the change failed inside the program; please report it with the file"
            .to_owned())
    });
    line.tell(What::Tried(Tried::Done(done)));
}

/// Takes in what a trial tells.
pub(super) fn take_in(tried: Tried, path: &Path, state: &mut ViewerState) {
    match tried {
        Tried::NotKept(why) => {
            state.trying.told = Some(format!("unsaved work is not kept for a crash: {why}"));
        }
        Tried::Under(Ok(compared)) => {
            state.trying.judging = false;
            state.trying.compared = Some(*compared);
        }
        Tried::Under(Err(why)) => {
            state.trying.judging = false;
            state.problem = Some(why);
        }
        Tried::Glance(glance) => state.trying.glance = Some(glance),
        Tried::Done(Err(why)) => {
            let why = state.trying.failed(&why);
            state.problem = Some(why);
        }
        Tried::Done(Ok(judged)) => {
            let Judged { review, compared } = *judged;
            let review = Arc::new(review);
            state.show(path, review.clone());
            let trying = &mut state.trying;
            trying.judging = false;
            trying.stale = false;
            trying.unjudged = 0;
            trying.glance = None;
            trying.fresh = false;
            trying.compared = compared.map(|(before, differs)| Compared {
                title: "the last change".to_owned(),
                before,
                after: review,
                differs,
            });
        }
    }
}
