//! What a frame has in common with the one before: members that are as they were.
//!
//! When a post is stood up all others stay, and with them the strands that nothing new touches
//! (`super::divide`). A member is as it was if it has the same nodes in the same place, the same section
//! and the same releases, number for number. Members keep their order from frame to frame, so that what
//! is sorted by them stays sorted.
//!
//! Holds if: a stage is judged as one that is judged alone, bit for bit (`tests/mechanics/sequences.rs`,
//! `random_sequences.rs`), and a division taken over is the one made from nothing
//! (`tests/mechanics/carried.rs`).

use super::Owner;
use crate::mechanics::frame::{Frame, FrameMember};
use crate::mechanics::stage::idealise::StageFrame;
use std::ops::Range;

/// Members of one frame in another.
#[derive(Debug)]
pub(super) struct Carried {
    /// By member of the frame before: which it is now.
    now: Vec<u32>,
    /// By member: which it was.
    then: Vec<u32>,
}

impl Carried {
    const NONE: u32 = u32::MAX;

    /// None where the members are in another order. `owners`: by node of each.
    pub(super) fn find(
        (before, owners_before): (&StageFrame, &[Option<Owner>]),
        (frame, owners): (&StageFrame, &[Option<Owner>]),
    ) -> Option<Self> {
        let has = |frame: &StageFrame| {
            let most = frame.of.iter().map(|member| member.index() + 1).max().unwrap_or(0);
            let mut has = vec![false; most];
            frame.of.iter().for_each(|member| has[member.index()] = true);
            has
        };
        let (had, has) = (has(before), has(frame));
        let is_in = |has: &[bool], k: usize| has.get(k) == Some(&true);
        let alike = Alike::new((&before.frame, owners_before), (&frame.frame, owners));
        let (old, new) = (&before.of, &frame.of);
        let mut out = Self { now: vec![Self::NONE; old.len()], then: vec![Self::NONE; new.len()] };
        let (mut a, mut b) = (0, 0);
        while a < old.len() && b < new.len() {
            if !is_in(&had, new[b].index()) {
                b += 1;
            } else if !is_in(&has, old[a].index()) {
                a += 1;
            } else if old[a] == new[b] {
                // The pieces of one member.
                let (from, to) = (run(old, a), run(new, b));
                (a, b) = (from.end, to.end);
                out.join(from, to, &alike);
            } else {
                return None;
            }
        }
        Some(out)
    }

    /// Pieces of one member, from its foot on and from its head on as far as they are alike.
    fn join(&mut self, from: Range<usize>, to: Range<usize>, alike: &Alike<'_>) {
        let mut join = |a: usize, b: usize| {
            let is = alike.are(a, b);
            if is {
                self.now[a] = u32::try_from(b).unwrap_or(Self::NONE);
                self.then[b] = u32::try_from(a).unwrap_or(Self::NONE);
            }
            is
        };
        let first = from.clone().zip(to.clone()).take_while(|&(a, b)| join(a, b)).count();
        let left = (from.start + first..from.end).rev().zip((to.start + first..to.end).rev());
        let _ = left.take_while(|&(a, b)| join(a, b)).count();
    }

    /// Which a member of the frame before is now.
    pub(super) fn now(&self, member: u32) -> Option<u32> {
        Some(self.now[member as usize]).filter(|now| *now != Self::NONE)
    }

    /// Which a member was.
    pub(super) fn then(&self, member: usize) -> Option<usize> {
        Some(self.then[member]).filter(|then| *then != Self::NONE).map(|then| then as usize)
    }

    /// Members of the frame before that are no more.
    pub(super) fn gone(&self) -> impl Iterator<Item = u32> {
        (0..).zip(&self.now).filter(|(_, now)| **now == Self::NONE).map(|(member, _)| member)
    }

    /// Members that were not before.
    pub(super) fn come(&self) -> impl Iterator<Item = u32> {
        (0..).zip(&self.then).filter(|(_, then)| **then == Self::NONE).map(|(member, _)| member)
    }
}

/// What stands one after another for the same.
fn run<T: PartialEq>(of: &[T], from: usize) -> Range<usize> {
    from..from + of[from..].iter().take_while(|other| **other == of[from]).count()
}

/// Members of two frames held against one another.
struct Alike<'a> {
    before: (&'a Frame, &'a [Option<Owner>]),
    now: (&'a Frame, &'a [Option<Owner>]),
    /// By section of the frame before: which it is now.
    sections: Vec<Option<usize>>,
}

impl<'a> Alike<'a> {
    fn new(
        before: (&'a Frame, &'a [Option<Owner>]),
        now: (&'a Frame, &'a [Option<Owner>]),
    ) -> Self {
        let same = |section| now.0.sections.iter().position(|s| s == section);
        let sections = before.0.sections.iter().map(same).collect();
        Self { before, now, sections }
    }

    fn are(&self, a: usize, b: usize) -> bool {
        let (a, b) = (&self.before.0.members[a], &self.now.0.members[b]);
        // All of a member: what is added to it is to be compared as well.
        let FrameMember { i, j, section, kind, z, release, arms } = a;
        self.are_nodes(*i, b.i)
            && self.are_nodes(*j, b.j)
            && self.sections[*section] == Some(b.section)
            && *kind == b.kind
            && *z == b.z
            && *release == b.release
            && *arms == b.arms
    }

    /// Nodes of the same lasting number at the same place.
    fn are_nodes(&self, a: usize, b: usize) -> bool {
        let (Some(before), Some(now)) = (self.before.1[a], self.now.1[b]) else { return false };
        before.number == now.number && self.before.0.nodes[a] == self.now.0.nodes[b]
    }
}
