//! What of a stage's frame is as in that of the stage before: taken over, piece by piece, in the order in
//! which it would be made.
//!
//! Where nothing differs about a member, nor about anything it shares a joint with, its joints pass what they
//! passed and what they join is there as it was. A post then has the nodes and pieces it had, and a bar the
//! ends, if those posts are taken over too.
//!
//! Holds if: of every two stages in a row of the shipped scenes and of random sequences the frame made from
//! the one before is the one made from nothing (`tests/review/kept.rs`).

use super::{StageFrame, push_node};
use crate::assembly::model::{Assembly, MemberId};
use crate::mechanics::frame::{FrameMember, Support};
use crate::sequence::Stage;
use crate::sequence::changed::{Marks, neighbours, touched};
use std::ops::Range;

/// Nodes and members that a stage has more than the one before, most often.
const MORE: usize = 64;

/// No place.
const NONE: usize = usize::MAX;

/// A frame that another is made from.
pub(super) struct Known<'a> {
    frame: &'a StageFrame,
    /// Members that may be otherwise.
    otherwise: Marks,
    /// By node and by section of that frame: what it is in the new one.
    node: Vec<usize>,
    section: Vec<usize>,
    /// By member that is no post: its pieces.
    pieces: Vec<Range<u32>>,
    /// Supports looked at so far: they come in the order of the posts.
    supports: usize,
}

impl<'a> Known<'a> {
    /// None where too much may be otherwise.
    pub(super) fn new(
        assembly: &Assembly,
        stage: &Stage,
        (before, frame): (&Stage, &'a StageFrame),
    ) -> Option<Self> {
        if !frame.unknown.is_empty() || before.strip.secured != stage.strip.secured {
            return None;
        }
        let mut otherwise = Marks::none(assembly.members.len());
        for id in touched(assembly, before, stage) {
            otherwise.add(id);
            neighbours(assembly, id).for_each(|other| {
                otherwise.add(other);
            });
        }
        let posts = frame.of_post.values().map(|pieces| pieces.end).max().unwrap_or(0);
        let mut pieces = vec![0..0; assembly.members.len()];
        for (at, member) in (0..).zip(&frame.of).skip(posts) {
            let of = &mut pieces[member.index()];
            *of = if of.end == 0 { at..at + 1 } else { of.start..at + 1 };
        }
        Some(Self {
            frame,
            otherwise,
            node: vec![NONE; frame.frame.nodes.len()],
            section: vec![NONE; frame.frame.sections.len()],
            pieces,
            supports: 0,
        })
    }

    /// Nodes and members that the other frame has, and a few more.
    pub(super) fn room(&self) -> [usize; 2] {
        [self.frame.frame.nodes.len() + MORE, self.frame.frame.members.len() + MORE]
    }

    /// Takes a post over; false where it is to be made.
    pub(super) fn post(&mut self, out: &mut StageFrame, post: MemberId) -> bool {
        let (Some(chain), Some(pieces)) =
            (self.frame.posts.get(&post), self.frame.of_post.get(&post))
        else {
            return false;
        };
        let first = chain.first().map_or(NONE, |(_, node)| *node);
        // One that is pinned to the head of another has no foot of its own.
        let own = (first..).zip(chain).all(|(due, (_, node))| due == *node);
        if self.otherwise.has(post) || !own {
            return false;
        }
        let mut take_over = |&(station, was): &(f64, usize)| {
            let node = push_node(&mut out.frame, self.frame.frame.nodes[was]);
            self.node[was] = node;
            (station, node)
        };
        let nodes: Vec<(f64, usize)> = chain.iter().map(&mut take_over).collect();
        let from = out.frame.members.len();
        pieces.clone().for_each(|piece| self.piece(out, piece));
        out.of_post.put(post, from..out.frame.members.len());
        out.posts.put(post, &nodes);
        self.supports(out, first..first + chain.len(), post);
        true
    }

    /// The supports of a post's own nodes.
    fn supports(&mut self, out: &mut StageFrame, own: Range<usize>, post: MemberId) {
        let left = &self.frame.frame.supports[self.supports..];
        let is_own = |support: &&Support| own.contains(&support.node);
        let before = left.iter().take_while(|support| !is_own(support)).count();
        for support in left[before..].iter().take_while(is_own) {
            self.supports += 1;
            let node = self.node[support.node];
            out.frame.supports.push(Support { node, ..*support });
            if support.node == own.start && support.fixed[0] {
                out.feet.push((node, post));
            }
        }
        if before < left.len() {
            self.supports += before;
        }
    }

    /// Takes a bar between posts over; false where it is to be made.
    pub(super) fn bar(&mut self, out: &mut StageFrame, bar: MemberId) -> bool {
        let Range { start, end } = self.pieces[bar.index()];
        let pieces = start as usize..end as usize;
        let stands = |member: &FrameMember| {
            [member.i, member.j].into_iter().all(|node| self.node[node] != NONE)
        };
        if self.otherwise.has(bar) || !self.frame.frame.members[pieces.clone()].iter().all(stands) {
            return false;
        }
        pieces.for_each(|piece| self.piece(out, piece));
        true
    }

    fn piece(&mut self, out: &mut StageFrame, piece: usize) {
        let mut member = self.frame.frame.members[piece];
        (member.i, member.j) = (self.node[member.i], self.node[member.j]);
        let section = &mut self.section[member.section];
        if *section == NONE {
            *section = out.section(self.frame.frame.sections[member.section]);
        }
        member.section = *section;
        out.frame.members.push(member);
        out.of.push(self.frame.of[piece]);
        out.pieces.push(self.frame.pieces[piece]);
    }
}
