//! The panels: plain functions that read a [`View`] and say what a person wants. None of them
//! knows Bevy.

pub mod basis;
pub mod card;
pub mod edits;
pub mod finder;
pub mod findings;
pub mod help;
pub mod history;
pub mod lanes;
pub mod measures;
pub mod member;
pub mod pinned;
pub mod shown;
pub mod signs;
pub mod status;
pub mod strip;
mod strip_words;
pub mod style;
pub mod top;
pub mod tried;
pub mod verdict;

use crate::viewer::state::ViewerState;
use crate::viewer::theme::{Palette, TextSizes};

/// What panels may read.
#[derive(Clone, Copy)]
pub struct View<'a> {
    pub state: &'a ViewerState,
    pub palette: &'a Palette,
    pub text: &'a TextSizes,
}
