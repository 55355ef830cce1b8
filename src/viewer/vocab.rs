//! The words the window's parts share: what can be chosen, what a person may want, in what order
//! systems run.

use crate::assembly::MemberId;
use crate::findings::Severity;
use crate::units::UnitSystem;
use crate::viewer::guide::Wish;
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

/// What a person wants. Panels and keys send these; one system acts on them.
#[derive(Message, Clone, Debug, PartialEq)]
pub enum Intent {
    Open(PathBuf),
    /// Ask for a file with the desktop's own dialog.
    AskForFile,
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
    /// Put the message about the last file away.
    Dismiss,
    Help(bool),
    /// Teach, walk, sign.
    Guide(Wish),
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
