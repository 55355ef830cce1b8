//! One line of a scene written out as the steps of the normal cycle.

pub mod cycle;
pub mod deck;
pub mod erect;
pub mod grid;
pub mod order;
pub mod pour;
pub mod strip;
pub mod tower;

use super::machine::Machine;
use super::trouble::Trouble;
use crate::scene::model::{SequenceItem, StepText};
use std::borrow::Cow;

/// The steps of an entry, given what stands before it.
///
/// # Errors
/// When the entry names a block, post or line that is not there, or has nothing to do.
pub fn steps_of<'e>(
    entry: &'e SequenceItem,
    before: &Machine<'_>,
) -> Result<Cow<'e, [StepText]>, Trouble> {
    match entry {
        SequenceItem::Step(step) => Ok(Cow::Borrowed(std::slice::from_ref(step))),
        SequenceItem::Tower(text) => tower::steps(text, before).map(Cow::Owned),
        SequenceItem::Erect(text) => erect::steps(text, before).map(Cow::Owned),
        SequenceItem::Strip(text) => strip::steps(text, before).map(Cow::Owned),
        SequenceItem::Deck(text) => deck::steps(text, before).map(Cow::Owned),
        SequenceItem::Pour(text) => pour::steps(text, before).map(Cow::Owned),
    }
}
