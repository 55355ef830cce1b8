//! Elements met before, each with a number of its own.
//!
//! Two members with the same run, section and releases, number for number, are one element,
//! so a single number says all that a stiffness is made of but its unknowns and its axial force.
//! The numbers are compared exactly, never by their hash alone.

use super::groups::Groups;
use crate::mechanics::element::Element;
use crate::mechanics::frame::{Frame, MemberKind, Release};
use crate::mechanics::memo::Fold;
use std::collections::HashMap;
use std::hash::BuildHasherDefault;
use std::sync::Arc;

/// From one end to the other (3), local z (3), kind, section (6), releases (6), arms and whether there
/// are any (7). Where it lies makes no difference, so that posts that are alike are one element.
const WORDS: usize = 26;

/// The elements met so far.
#[derive(Clone, Debug, Default)]
pub(super) struct Known {
    numbers: HashMap<[u64; WORDS], usize, BuildHasherDefault<Fold>>,
    elements: Vec<Element>,
    groups: Arc<Vec<Groups>>,
}

impl Known {
    /// The element of a member between its present nodes, and its number.
    pub(super) fn element(&mut self, frame: &Frame, member: usize) -> (Element, u32) {
        let (elements, all) = (&mut self.elements, &mut self.groups);
        let number = *self.numbers.entry(words(frame, member)).or_insert_with(|| {
            let element = Element::new(frame, member);
            Arc::make_mut(all).push(Groups::new(&element));
            elements.push(element);
            elements.len() - 1
        });
        let member = &frame.members[member];
        let element = elements[number].between([member.i, member.j]);
        (element, u32::try_from(number).unwrap_or(u32::MAX))
    }

    /// By number: what of an element has to do with what.
    pub(super) fn groups(&self) -> Arc<Vec<Groups>> {
        Arc::clone(&self.groups)
    }
}

fn words(frame: &Frame, member: usize) -> [u64; WORDS] {
    let m = &frame.members[member];
    let s = &frame.sections[m.section];
    let along = frame.nodes[m.j] - frame.nodes[m.i];
    let release = |end: usize, axis: usize| match m.release[end][axis] {
        Release::Rigid => u64::MAX,
        Release::Free => 0,
        Release::Spring(k) => k.to_bits(),
    };
    let bits = f64::to_bits;
    let arm = |end: usize, axis: usize| m.arms.map_or(0, |arms| arms.at[end][axis].to_bits());
    [
        bits(along.x),
        bits(along.y),
        bits(along.z),
        bits(m.z.x),
        bits(m.z.y),
        bits(m.z.z),
        u64::from(m.kind == MemberKind::Bar),
        bits(s.e),
        bits(s.g),
        bits(s.a),
        bits(s.iy),
        bits(s.iz),
        bits(s.j),
        release(0, 0),
        release(0, 1),
        release(0, 2),
        release(1, 0),
        release(1, 1),
        release(1, 2),
        u64::from(m.arms.is_some()),
        arm(0, 0),
        arm(0, 1),
        arm(0, 2),
        arm(1, 0),
        arm(1, 1),
        arm(1, 2),
    ]
}
