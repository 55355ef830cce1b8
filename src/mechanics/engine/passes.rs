//! Solves of a strand one after another, each made of the one before.
//!
//! Forwards a front passes on to its parent what is put on its part of the tree, and nothing else. A
//! front below which all is loaded as before passes on what it did, so that a change goes up the few
//! branches it is on. Backwards all fronts are gone through: what moves somewhere moves everywhere.
//!
//! What a front passes on is summed up child by child, never with what others have passed on further
//! up, so that it is the same, bit for bit, whatever was solved before (`tests/mechanics/tree.rs`).

use super::answers::{Found, Moved, OnStrand};
use super::backwards::Backwards;
use super::eliminated::Eliminated;
use super::packed::Lanes;
use crate::mechanics::linalg::{Work, widely};
use std::ops::Range;
use std::sync::{Mutex, PoisonError};

/// Right-hand sides solved together: the cases of a group, a lane each.
const TOGETHER: usize = 4;

type Group = Lanes<TOGETHER>;

/// The last solves of a group of cases.
#[derive(Debug, Default)]
struct Pass {
    loads: Vec<Group>,
    /// Places at which a case may load something.
    loaded: Vec<u32>,
    /// Front by front, as places in [`Eliminated::at`]: its own unknowns reduced and divided by their pivots,
    /// and what it passes on.
    forward: Vec<Group>,
    /// By front: nothing is known of what it passes on, or it is loaded otherwise.
    fresh: Vec<Fresh>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Fresh {
    No,
    Loaded,
    Unknown,
}

impl Pass {
    /// Nothing known.
    fn new(strand: &Eliminated) -> Self {
        Self {
            loads: vec![[0.0; TOGETHER]; strand.shape.own.len()],
            loaded: Vec::new(),
            forward: vec![[0.0; TOGETHER]; strand.at.len()],
            fresh: vec![Fresh::Unknown; strand.fronts.len()],
        }
    }

    /// Puts the loads of some cases in the place of theirs. By lane: whether the case is among them and loads
    /// anything.
    fn load(
        &mut self,
        strand: &Eliminated,
        loads: &[OnStrand],
        room: &mut Loading,
    ) -> [bool; TOGETHER] {
        let mut is_new = [false; TOGETHER];
        loads.iter().for_each(|(case, ..)| is_new[case % TOGETHER] = true);
        room.next.resize(self.loads.len(), [0.0; TOGETHER]);
        room.seen.resize(self.loads.len(), false);
        let before = std::mem::take(&mut self.loaded);
        let mut loaded = Vec::with_capacity(before.len());
        for place in before {
            room.begin(place, &self.loads, is_new, &mut loaded);
        }
        for &(case, place, value) in loads {
            room.begin(place, &self.loads, is_new, &mut loaded);
            room.next[place as usize][case % TOGETHER] += value;
        }
        let Loading { next, seen } = room;
        let mut acts = [false; TOGETHER];
        loaded.retain(|&place| {
            let at = place as usize;
            seen[at] = false;
            if !same(&next[at..=at], &self.loads[at..=at]) {
                self.loads[at] = next[at];
                let front = strand.shape.nodes.partition_point(|node| node.own.end <= at);
                if self.fresh[front] == Fresh::No {
                    self.fresh[front] = Fresh::Loaded;
                }
            }
            for lane in 0..TOGETHER {
                acts[lane] |= is_new[lane] && next[at][lane] != 0.0;
            }
            next[at] != [0.0; TOGETHER]
        });
        self.loaded = loaded;
        acts
    }
}

/// Room for loads: what they are to be, and which have been come to.
#[derive(Debug, Default)]
struct Loading {
    next: Vec<Group>,
    seen: Vec<bool>,
}

impl Loading {
    /// Comes to a place: the cases that are new load nothing there yet, the others what they did.
    fn begin(
        &mut self,
        place: u32,
        was: &[Group],
        is_new: [bool; TOGETHER],
        loaded: &mut Vec<u32>,
    ) {
        let at = place as usize;
        if !std::mem::replace(&mut self.seen[at], true) {
            let was = was[at];
            self.next[at] = std::array::from_fn(|lane| if is_new[lane] { 0.0 } else { was[lane] });
            loaded.push(place);
        }
    }
}

/// The last solves of a strand.
#[derive(Debug, Default)]
pub(super) struct Passes {
    /// By the number of the case, so many in a group.
    groups: Vec<Pass>,
    /// As [`Eliminated::at`]: of what is passed on, the place in the parent's front.
    up: Vec<u32>,
    loading: Loading,
    /// Room for what moves.
    room: Vec<Group>,
    back: Backwards,
}

impl Eliminated {
    /// Answers to cases, each known by its number: what it was the last time is taken up. `loads`: case by
    /// case. One that loads nothing is not answered.
    pub(super) fn follow(&self, loads: &[OnStrand], found: &mut Found<'_>) {
        let mut passes = self.passes.lock().unwrap_or_else(PoisonError::into_inner);
        let Passes { groups, up, loading, room, back } = &mut *passes;
        if !back.is_made() {
            *back = Backwards::new(self, None);
        }
        if up.len() != self.at.len() {
            *up = self.ways_up(self, &[], &[]);
        }
        room.resize(self.shape.own.len(), [0.0; TOGETHER]);
        for of_group in loads.chunk_by(|a, b| a.0 / TOGETHER == b.0 / TOGETHER) {
            let group = of_group[0].0 / TOGETHER;
            while groups.len() <= group {
                groups.push(Pass::new(self));
            }
            let pass = &mut groups[group];
            let acts = pass.load(self, of_group, loading);
            let lanes = (0..TOGETHER).filter(|lane| acts[*lane]);
            let cases: Vec<_> = lanes.map(|lane| (group * TOGETHER + lane, lane)).collect();
            if cases.is_empty() {
                continue;
            }
            widely(Forward { strand: self, up, pass: &mut *pass });
            widely(Back { strand: back, reduced: &pass.forward, x: room });
            found(Moved::of_lanes(&cases, &self.shape.own, room));
        }
    }

    /// Takes up what a strand of the shape before was solved for: fronts that are the same pass on the
    /// same. `was`: by front which of those it is.
    pub(super) fn take_up(&mut self, before: &Self, was: &[Option<usize>]) {
        let mut known = before.passes.lock().unwrap_or_else(PoisonError::into_inner);
        if known.groups.is_empty() {
            return;
        }
        let carried = |pass: &Pass| {
            let own = self.shape.own.len();
            let mut out = Pass::default();
            out.loads.reserve_exact(own);
            out.forward.reserve_exact(self.at.len());
            for (k, (was, node)) in was.iter().zip(&self.shape.nodes).enumerate() {
                if let Some(at) = *was {
                    let own = before.shape.nodes[at].own.clone();
                    out.loads.extend_from_slice(&pass.loads[own]);
                    let passed = before.starts[at]..before.starts[at + 1];
                    out.forward.extend_from_slice(&pass.forward[passed]);
                }
                out.loads.resize(node.own.end, [0.0; TOGETHER]);
                out.forward.resize(self.starts[k + 1], [0.0; TOGETHER]);
                out.fresh.push(was.map_or(Fresh::Unknown, |at| pass.fresh[at]));
            }
            let is_loaded =
                |(place, loads): (u32, &Group)| (*loads != [0.0; TOGETHER]).then_some(place);
            out.loaded = (0..).zip(&out.loads).filter_map(is_loaded).collect();
            out
        };
        let groups = known.groups.iter().map(carried).collect();
        let up =
            if known.up.is_empty() { Vec::new() } else { self.ways_up(before, &known.up, was) };
        let (loading, room) = (std::mem::take(&mut known.loading), std::mem::take(&mut known.room));
        let back = Backwards::new(self, known.back.is_made().then_some((&known.back, before, was)));
        self.passes = Mutex::new(Passes { groups, up, loading, room, back });
    }

    /// The places of what fronts pass on in their parents' fronts. `before`: a strand that some fronts
    /// were in, with its places, which those keep whose parents were in it too.
    fn ways_up(&self, before: &Self, known: &[u32], was: &[Option<usize>]) -> Vec<u32> {
        let mut up = vec![0; self.at.len()];
        let mut place = vec![0; self.shape.own.len()];
        let was = |front: usize| was.get(front).copied().flatten();
        for k in 0..self.fronts.len() {
            let children = self.shape.children(k);
            // A front that was there had the children it has.
            let is_known = was(k).is_some() && children.iter().all(|c| was(*c as usize).is_some());
            if !is_known {
                let own = &self.at[self.starts[k]..self.starts[k + 1]];
                own.iter().zip(0..).for_each(|(&unknown, at)| place[unknown as usize] = at);
            }
            for &child in children {
                let child = child as usize;
                let passed = self.passed(child);
                if let (true, Some(was)) = (is_known, was(child)) {
                    up[passed].copy_from_slice(&known[before.passed(was)]);
                    continue;
                }
                for at in passed {
                    up[at] = place[self.at[at] as usize];
                }
            }
        }
        up
    }

    /// What a front passes on, as places in [`Eliminated::at`].
    fn passed(&self, front: usize) -> Range<usize> {
        self.starts[front] + self.shape.nodes[front].own.len()..self.starts[front + 1]
    }
}

fn same(a: &[Group], b: &[Group]) -> bool {
    let (a, b) = (a.as_flattened(), b.as_flattened());
    a.iter().zip(b).all(|(a, b)| a.to_bits() == b.to_bits())
}

/// Forwards through the fronts below which something is otherwise than in the last solve. All cases of the
/// group go together: what is as it was comes to what it came to.
struct Forward<'a> {
    strand: &'a Eliminated,
    up: &'a [u32],
    pass: &'a mut Pass,
}

impl Work for Forward<'_> {
    type Answer = ();
    #[inline(always)]
    fn work(self) {
        let Self { strand, up, pass } = self;
        let Eliminated { shape, fronts, starts, .. } = strand;
        // By front: whether it passes on something else.
        let mut otherwise = vec![false; fronts.len()];
        let mut local: Vec<Group> = Vec::new();
        for (k, (node, made)) in shape.nodes.iter().zip(fronts).enumerate() {
            let children = shape.children(k);
            let fresh = std::mem::replace(&mut pass.fresh[k], Fresh::No);
            if fresh == Fresh::No && !children.iter().any(|&child| otherwise[child as usize]) {
                continue;
            }
            let boundary = node.own.len();
            local.clear();
            local.extend_from_slice(&pass.loads[node.own.clone()]);
            local.resize(starts[k + 1] - starts[k], [0.0; TOGETHER]);
            for &child in children {
                let passed = strand.passed(child as usize);
                for (&place, values) in up[passed.clone()].iter().zip(&pass.forward[passed]) {
                    let local = &mut local[place as usize];
                    for lane in 0..TOGETHER {
                        local[lane] += values[lane];
                    }
                }
            }
            made.front.forward(&mut local);
            made.front.divide(&mut local);
            let known = &mut pass.forward[starts[k]..starts[k + 1]];
            otherwise[k] = fresh == Fresh::Unknown || !same(&known[boundary..], &local[boundary..]);
            known.copy_from_slice(&local);
        }
    }
}

/// Backwards through all fronts. `x` has room for what moves, the strand's unknowns in their order.
struct Back<'a> {
    strand: &'a Backwards,
    reduced: &'a [Group],
    x: &'a mut [Group],
}

impl Work for Back<'_> {
    type Answer = ();
    #[inline(always)]
    fn work(self) {
        self.strand.solve(self.reduced, self.x);
    }
}
