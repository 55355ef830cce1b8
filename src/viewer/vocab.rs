//! The words the window's parts share: what can be chosen, what a person may want, in what order
//! systems run.

use crate::assembly::MemberId;
use crate::assembly::model::Point;
use crate::findings::Severity;
use crate::scene::model::ChangeKind;
use crate::units::UnitSystem;
use crate::viewer::guide::Wish;
use crate::viewer::shown::Shown;
use crate::viewer::theme::Look;
use bevy::prelude::{Message, SystemSet};
use std::path::PathBuf;

/// A thing that can be hovered or chosen, in every panel and in the scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Item {
    Member(MemberId),
    /// Index into the review's findings.
    Finding(usize),
}

/// What is chosen and what the pointer is over.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Selection {
    pub hovered: Option<Item>,
    pub chosen: Option<Item>,
}

/// Views with a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NamedView {
    /// From a corner, above.
    Corner,
    Plan,
    /// Along y, seen from the low side.
    Front,
    /// Along x, seen from the high side.
    Side,
}

impl NamedView {
    pub const ALL: [Self; 4] = [Self::Corner, Self::Plan, Self::Front, Self::Side];
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Corner => "Corner",
            Self::Plan => "Plan",
            Self::Front => "Front",
            Self::Side => "Side",
        }
    }
}

/// Which findings the list shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Filter {
    /// Those of all stages, not of this one alone.
    pub all_stages: bool,
    /// Unknown ones rank with fix first.
    pub least: Severity,
}

impl Default for Filter {
    fn default() -> Self {
        Self { all_stages: false, least: Severity::Note }
    }
}

/// What of a card is unfolded, whatever it is of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Unfolded {
    /// The hand calculation.
    pub calc: bool,
    /// The way of the load.
    pub load: bool,
}

/// What a person wants. Panels and keys send these; one system acts on them.
#[derive(Message, Clone, Debug, PartialEq)]
pub enum Intent {
    Open(PathBuf),
    /// Ask for a file with the desktop's own dialog.
    AskForFile,
    /// Ask for a path in the window itself, or no longer.
    AskForPath(bool),
    /// Ask for a member by its name, or no longer.
    AskForName(bool),
    Reload,
    CancelLoading,
    GoToStage(usize),
    StepBy(i32),
    Play(bool),
    Choose(Option<Item>),
    Hover(Option<Item>),
    /// Bring it into the middle.
    LookAt(Item),
    /// Next or previous finding of those listed.
    NextFinding(i32),
    Fit,
    View(NamedView),
    Look(Look),
    Units(UnitSystem),
    /// Let the mechanism or sway of the chosen finding move.
    Move(bool),
    Filter(Filter),
    /// Unfold or fold parts of the card.
    Unfold(Unfolded),
    /// Put the message about the last file away.
    Dismiss,
    Help(bool),
    /// Teach, walk, sign.
    Guide(Wish),
    /// What of the scene is drawn.
    Shown(Box<Shown>),
    /// Draw in full also while the eye moves.
    AlwaysFull(bool),
    /// Measure between two points, or no longer.
    Measure(bool),
    /// An end of what is measured.
    MeasureAt(Point),
    /// Compare with this stage from now on, or with none.
    Pin(Option<usize>),
    /// Draw this kind of reserve in the strip, or not; its position among the kinds.
    Reserve(usize, bool),
    Edit(EditIntent),
}

/// What a person wants of the changes tried in the scene.
#[derive(Clone, Debug, PartialEq)]
pub enum EditIntent {
    Try(ChangeKind),
    /// Takes a change out of the list, by its position.
    TakeOut(usize),
    Undo,
    Redo,
    /// Into the scene's own file.
    Save,
    /// Over whatever is in the file by now: they were asked.
    SaveAnyway,
    SaveAs(PathBuf),
    /// Unsaved work of an earlier run: take it up again, or throw it away.
    TakeUp(bool),
    /// Somebody else changed the file: lay the changes made here over it.
    LayOver,
    /// Put the message about saving, and the comparison, away.
    Dismiss,
    /// Compare with the scene under other criteria.
    Under(String),
    /// Judge the text in the book, where that was cancelled.
    Judge,
}

/// Order of the window's systems in `Update`.
#[derive(SystemSet, Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum ViewerSet {
    /// Read keys, pointer, finished loading; act on intents.
    Intent,
    /// Bring entities in line with the review.
    Sync,
    /// Colours, visibility, lines.
    Paint,
}
