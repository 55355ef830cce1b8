//! Element matrices made lately, entry by entry: posts that are alike and pressed alike have one.

use crate::mechanics::element::Element;
use crate::mechanics::memo::Memo;
use std::cell::RefCell;
use std::sync::Arc;

/// Kept at most, some hundred bytes each.
const MOST: usize = 20_000;

/// Row and column among a member's twelve unknowns, and the number there.
pub(super) type Entry = (u8, u8, f64);

/// What an element has in some of its bending planes under an axial force.
#[derive(Debug)]
pub(super) struct Made {
    pub entries: Vec<Entry>,
    /// Critical factors inside below the force. Beyond counting: one is certain, and no proof is given.
    pub negative: usize,
}

/// The element's number, which planes, and the axial force.
type Key = (u32, [bool; 2], u64);

/// Matrices by all that they are made of.
#[derive(Clone, Debug, Default)]
pub(super) struct Entries(RefCell<Memo<Key, Arc<Made>, MOST>>);

impl Entries {
    /// `number` says all that the element is made of but its nodes.
    pub(super) fn of(
        &self,
        number: u32,
        element: &Element,
        axial: f64,
        planes: [bool; 2],
    ) -> Arc<Made> {
        self.0.borrow_mut().of((number, planes, axial.to_bits()), || {
            let mut entries = Vec::new();
            let small = |at: usize| u8::try_from(at).unwrap_or(u8::MAX);
            let mut add = |row: usize, column: usize, value: f64| {
                entries.push((small(row), small(column), value));
            };
            let negative = element.entries(axial, planes, &mut add).unwrap_or(1);
            Arc::new(Made { entries, negative })
        })
    }
}
