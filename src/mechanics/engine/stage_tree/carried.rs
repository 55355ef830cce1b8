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

#[cfg(test)]
mod tests {
    use super::{Carried, Owner};
    use crate::assembly::model::{MemberId, Point, Vector};
    use crate::mechanics::frame::{FrameMember, Release, Section};
    use crate::mechanics::stage::idealise::StageFrame;

    /// A frame with the owners of its nodes.
    type Owned = (StageFrame, Vec<Option<Owner>>);

    /// A post of some pieces a metre each beside others of one, by their numbers.
    fn frame(posts: &[(u32, usize)]) -> Owned {
        let (mut out, mut owners) = (StageFrame::default(), Vec::new());
        out.frame.sections.push(Section { e: 2e11, g: 8e10, a: 1e-3, iy: 1e-6, iz: 1e-6, j: 2e-6 });
        for &(post, pieces) in posts {
            let first = out.frame.nodes.len();
            for node in 0..=pieces {
                out.frame.nodes.push(Point::new(f64::from(post), 0.0, node as f64));
                let number = 10 * post + u32::try_from(node).unwrap();
                owners.push(Some(Owner { post: post as usize, number, shared: true }));
            }
            for piece in 0..pieces {
                let (i, j) = (first + piece, first + piece + 1);
                out.frame.members.push(FrameMember::beam(i, j, 0, Vector::x()));
                out.of.push(MemberId(post));
            }
        }
        (out, owners)
    }

    fn found((a, of_a): &Owned, (b, of_b): &Owned) -> Option<Vec<Option<usize>>> {
        let carried = Carried::find((a, of_a), (b, of_b))?;
        Some((0..b.of.len()).map(|member| carried.then(member)).collect())
    }

    #[test]
    fn members_stay_around_what_comes_and_goes() {
        let before = frame(&[(1, 2), (3, 1), (4, 2)]);
        let now = frame(&[(1, 2), (2, 3), (4, 2)]);
        let expected = [Some(0), Some(1), None, None, None, Some(3), Some(4)];
        assert_eq!(found(&before, &now), Some(expected.to_vec()));
        let carried = Carried::find((&before.0, &before.1), (&now.0, &now.1)).unwrap();
        assert_eq!(carried.gone().collect::<Vec<u32>>(), [2]);
        assert_eq!(carried.come().collect::<Vec<u32>>(), [2, 3, 4]);
        // A post that is cut further keeps what is as it was at its foot.
        let cut = found(&before, &frame(&[(1, 3), (3, 1), (4, 2)])).unwrap();
        assert_eq!(cut, [Some(0), Some(1), None, Some(2), Some(3), Some(4)]);
        // In another order nothing is said.
        assert_eq!(found(&before, &frame(&[(4, 2), (3, 1), (1, 2)])), None);
    }

    #[test]
    fn a_member_with_anything_otherwise_is_another() {
        let before = frame(&[(1, 1), (2, 1)]);
        let as_it_was = [Some(0), Some(1)].to_vec();
        assert_eq!(found(&before, &before), Some(as_it_was.clone()));
        let changed = |change: &dyn Fn(&mut Owned)| {
            let mut now = before.clone();
            change(&mut now);
            found(&before, &now)
        };
        let other = Some([None, Some(1)].to_vec());
        let free = |now: &mut Owned| now.0.frame.members[0].release[1][2] = Release::Free;
        assert_eq!(changed(&free), other);
        assert_eq!(changed(&|now| now.0.frame.members[0].z = Vector::y()), other);
        assert_eq!(changed(&|now| now.0.frame.nodes[1].z += 0.001), other);
        assert_eq!(changed(&|now| now.1[1].as_mut().unwrap().number += 1), other);
        let section = |now: &mut Owned| {
            let stiffer = Section { iy: 2e-6, ..now.0.frame.sections[0] };
            now.0.frame.sections.push(stiffer);
            now.0.frame.members[0].section = 1;
        };
        assert_eq!(changed(&section), other);
        // Sections may be in another order.
        let again = |now: &mut Owned| {
            let first = now.0.frame.sections[0];
            now.0.frame.sections.insert(0, Section { iy: 2e-6, ..first });
            now.0.frame.members.iter_mut().for_each(|member| member.section = 1);
        };
        assert_eq!(changed(&again), Some(as_it_was));
    }
}
