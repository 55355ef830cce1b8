//! Strands: sets of unknowns that have nothing to do with one another.
//!
//! A floor of posts, ledgers and joists is stiff line by line: along a line the heads move together,
//! across it they belong to another line. What nothing joins is eliminated, kept and solved by itself,
//! so that a change in one line leaves all others as they are. Strands follow from the members of the
//! stage alone (`groups`), so a skew brace or a nailed deck makes one strand of several by itself.
//!
//! A [`Plan`] is the division of a stage; what a strand is then is its shape (`super::shapes`).

use super::dissection::Dissection;
use petgraph::unionfind::UnionFind;
use std::ops::Range;

/// Part of a member in one group of its unknowns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    pub piece: u32,
    pub group: u8,
    /// Takes the second way down of nodes that have one.
    pub second: bool,
}

impl Part {
    /// The order of a strand's parts in one node of the tree.
    #[must_use]
    pub fn order(&self) -> (u32, bool, u8) {
        (self.piece, self.second, self.group)
    }
}

/// Lasting numbers of a node: its six degrees of freedom, and a second way down.
pub const SLOTS: u32 = 7;
/// The second way down among them.
pub const SECOND: u32 = 6;

/// How a stage falls apart.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Plan {
    pub strands: Vec<Strand>,
    /// Tree node and lasting number of every unknown, strand by strand, in the order of elimination.
    pub unknowns: Vec<(u32, u32)>,
    /// Tree node and part, strand by strand.
    pub parts: Vec<(u32, Part)>,
    /// By lasting number; [`Plan::NONE`] where it is none of the stage's.
    pub strand_of: Vec<u32>,
    /// All that a member touches is in one strand: nothing had to be bounded.
    pub whole: bool,
    /// By lasting number of a node: whether it has a second way down. Empty: none.
    pub split: Vec<bool>,
}

/// One strand of a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Strand {
    /// The least lasting number in it.
    pub key: u32,
    pub unknowns: Range<usize>,
    pub parts: Range<usize>,
}

/// The order in which a node's unknowns are eliminated: alike ones of all its nodes together.
#[must_use]
pub fn kinds_first(dof: u32) -> (u32, u32) {
    (dof % SLOTS, dof / SLOTS)
}

/// What a stage is made of, before it is divided.
#[derive(Clone, Debug, Default)]
pub struct Undivided {
    /// Lasting number and tree node of every unknown that may be there.
    pub unknowns: Vec<(u32, u32)>,
    parts: Vec<(Part, Range<usize>)>,
    touched: Vec<u32>,
}

impl Undivided {
    /// Parts with what they touch.
    pub fn parts(&self) -> impl Iterator<Item = (Part, &[u32])> {
        self.parts.iter().map(|(part, at)| (*part, &self.touched[at.clone()]))
    }

    /// Adds a part of a member with the lasting numbers it touches.
    pub fn part(&mut self, part: Part, touched: &[u32]) {
        let from = self.touched.len();
        self.touched.extend(touched);
        if self.touched.len() > from {
            self.parts.push((part, from..self.touched.len()));
        }
    }
}

impl Plan {
    pub const NONE: u32 = u32::MAX;

    /// By strand: whether one of these members has a part in it.
    #[must_use]
    pub fn strands_with(&self, members: &[bool]) -> Vec<bool> {
        let has = |(_, part): &(u32, Part)| members[part.piece as usize];
        self.strands.iter().map(|strand| self.parts[strand.parts.clone()].iter().any(has)).collect()
    }

    /// The members that have a part in some of the strands, ascending.
    #[must_use]
    pub fn members_of(&self, strands: &[bool], members: usize) -> Vec<usize> {
        let is = self.is_in(strands, members);
        is.iter().enumerate().filter(|(_, is)| **is).map(|(member, _)| member).collect()
    }

    /// By member: whether it has a part in some of the strands.
    #[must_use]
    pub fn is_in(&self, strands: &[bool], members: usize) -> Vec<bool> {
        let mut is = vec![false; members];
        for (strand, _) in self.strands.iter().zip(strands).filter(|(_, asked)| **asked) {
            for (_, part) in &self.parts[strand.parts.clone()] {
                is[part.piece as usize] = true;
            }
        }
        is
    }

    /// This division with some strands divided anew: `anew` says which by strand, `part` what they have
    /// become, `piece` which a member is now.
    #[must_use]
    pub fn with(&self, anew: &[bool], part: &Self, piece: impl Fn(u32) -> u32) -> Self {
        let kept = self.strands.iter().zip(anew).filter(|(_, anew)| !**anew);
        let mut strands: Vec<(&Self, &Strand)> = kept.map(|(strand, _)| (self, strand)).collect();
        strands.extend(part.strands.iter().map(|strand| (part, strand)));
        strands.sort_by_key(|(_, strand)| strand.key);
        let mut out = Self { strand_of: vec![Self::NONE; self.strand_of.len()], ..Self::default() };
        out.unknowns.reserve(self.unknowns.len() + part.unknowns.len());
        out.parts.reserve(self.parts.len() + part.parts.len());
        for (number, (of, strand)) in (0..).zip(strands) {
            let (unknowns, parts) = (out.unknowns.len(), out.parts.len());
            out.unknowns.extend(&of.unknowns[strand.unknowns.clone()]);
            let own = of.parts[strand.parts.clone()].iter();
            if std::ptr::eq(of, part) {
                out.parts.extend(own);
            } else {
                let now = |part: &Part| Part { piece: piece(part.piece), ..*part };
                out.parts.extend(own.map(|(node, part)| (*node, now(part))));
            }
            for (_, unknown) in &out.unknowns[unknowns..] {
                out.strand_of[*unknown as usize] = number;
            }
            let (unknowns, parts) = (unknowns..out.unknowns.len(), parts..out.parts.len());
            out.strands.push(Strand { key: strand.key, unknowns, parts });
        }
        out
    }

    /// Divides a stage. `most`: how many lasting numbers there are.
    #[must_use]
    pub fn new(tree: &Dissection, most: usize, undivided: &Undivided) -> Self {
        let Undivided { unknowns, parts, touched } = undivided;
        let mut sets = UnionFind::<u32>::new(most);
        for (_, at) in parts {
            let first = touched[at.start];
            touched[at.clone()].iter().for_each(|&other| {
                sets.union(first, other);
            });
        }
        let label = sets.into_labeling();
        let mut node_of = vec![Self::NONE; most];
        for &(unknown, node) in unknowns {
            node_of[unknown as usize] = node;
        }
        let there = |unknown: &u32| node_of[*unknown as usize] != Self::NONE;
        let small = |n: usize| u32::try_from(n).unwrap_or(Self::NONE);
        // Sets in the order of their least members: by label the number of its strand.
        let mut number = vec![Self::NONE; most];
        let mut keys: Vec<u32> = Vec::new();
        for unknown in (0..small(most)).filter(there) {
            let number = &mut number[label[unknown as usize] as usize];
            if *number == Self::NONE {
                *number = small(keys.len());
                keys.push(unknown);
            }
        }
        let strand_of = |unknown: u32| number[label[unknown as usize] as usize] as usize;
        // By strand, tree node and order of elimination, the last first: each sorting keeps the one
        // before it.
        let kinds = (0..SLOTS).flat_map(|kind| (kind..small(most)).step_by(SLOTS as usize));
        let placed: Vec<_> =
            kinds.filter(there).map(|unknown| (node_of[unknown as usize], unknown)).collect();
        let (placed, _) = sorted(&placed, tree.nodes.len(), |(node, _)| *node as usize);
        let (unknowns, of_unknowns) =
            sorted(&placed, keys.len(), |(_, unknown)| strand_of(*unknown));
        let mut placed: Vec<_> = parts
            .iter()
            .map(|(part, at)| {
                // The one furthest from the root: all lie on one path to it.
                let deepest = touched[at.clone()]
                    .iter()
                    .map(|&t| node_of[t as usize])
                    .max_by_key(|node| tree.depth[*node as usize]);
                (deepest.unwrap_or(Self::NONE), *part, touched[at.start])
            })
            .collect();
        for of_piece in placed.chunk_by_mut(|a, b| a.1.piece == b.1.piece) {
            of_piece.sort_unstable_by_key(|(_, part, _)| part.order());
        }
        if !placed.is_sorted_by_key(|(_, part, _)| part.order()) {
            placed.sort_unstable_by_key(|(_, part, _)| part.order());
        }
        let (placed, _) = sorted(&placed, tree.nodes.len(), |(node, ..)| *node as usize);
        let (placed, of_parts) = sorted(&placed, keys.len(), |(.., first)| strand_of(*first));
        let parts = placed.into_iter().map(|(node, part, _)| (node, part)).collect();
        let mut strand = vec![Self::NONE; most];
        let strands: Vec<Strand> = (keys.into_iter().zip(of_unknowns).zip(of_parts))
            .map(|((key, unknowns), parts)| Strand { key, unknowns, parts })
            .collect();
        for (k, of) in (0..).zip(&strands) {
            for (_, unknown) in &unknowns[of.unknowns.clone()] {
                strand[*unknown as usize] = k;
            }
        }
        Self { strands, unknowns, parts, strand_of: strand, ..Self::default() }
    }
}

/// Things in the order of their bucket, those of one as they were, and where each bucket lies.
fn sorted<T: Copy>(
    things: &[T],
    buckets: usize,
    of: impl Fn(&T) -> usize,
) -> (Vec<T>, Vec<Range<usize>>) {
    let mut ends = vec![0; buckets];
    things.iter().for_each(|thing| ends[of(thing)] += 1);
    let mut from = 0;
    let ranges = ends.iter().map(|count| {
        from += count;
        from - count..from
    });
    let ranges: Vec<Range<usize>> = ranges.collect();
    let mut next: Vec<usize> = ranges.iter().map(|range| range.start).collect();
    let mut out = things.to_vec();
    for thing in things {
        let at = &mut next[of(thing)];
        out[*at] = *thing;
        *at += 1;
    }
    (out, ranges)
}
