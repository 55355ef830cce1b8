//! Solves of a strand one after another, each made of the one before.
//!
//! Forwards a front passes on to its parent what is put on its part of the tree, and nothing else. A
//! front below which all is loaded as before passes on what it did, so that a change goes up the few
//! branches it is on. Backwards all fronts are gone through: what moves somewhere moves everywhere.
//!
//! What a front passes on is summed up child by child, never with what others have passed on further
//! up, so that it is the same, bit for bit, whatever was solved before (`tests/mechanics/tree.rs`).
//!
//! A strand of a new stage takes the solves of the one that it was made of when it is first asked: they are
//! moved where they lie, and the other one has none then. One that is never asked takes nothing.

use super::answers::{Found, Moved, OnStrand};
use super::backwards::Backwards;
use super::eliminated::Eliminated;
use super::packed::Lanes;
use super::runs::Runs;
use crate::mechanics::linalg::{Work, widely};
use std::ops::Range;
use std::sync::{Arc, PoisonError, Weak};

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

    /// Of a strand that some fronts of another are in, what was known of that one: `was`, by front which of
    /// those it was; `own` and `passed`, where what fronts have of their own and pass on has gone.
    fn take_up(&mut self, strand: &Eliminated, was: &[Option<usize>], [own, passed]: [&Runs; 2]) {
        own.apply(&mut self.loads, strand.shape.own.len(), [0.0; TOGETHER]);
        passed.apply(&mut self.forward, strand.at.len(), [0.0; TOGETHER]);
        self.loaded.retain_mut(|place| {
            let now = own.now(*place as usize).and_then(|now| u32::try_from(now).ok());
            *place = now.unwrap_or_default();
            now.is_some()
        });
        self.fresh =
            was.iter().map(|was| was.map_or(Fresh::Unknown, |at| self.fresh[at])).collect();
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
    /// What is to be taken up.
    before: Option<Before>,
}

/// A strand that another was made of, and by front of that one which of its fronts it was.
#[derive(Debug)]
struct Before {
    strand: Weak<Eliminated>,
    was: Vec<Option<usize>>,
}

impl Passes {
    /// Of a strand that was made of another one. `was`: by front which of those it was.
    pub(super) fn after(strand: &Arc<Eliminated>, was: Vec<Option<usize>>) -> Self {
        let passes = strand.passes.lock().unwrap_or_else(PoisonError::into_inner);
        if passes.groups.is_empty() && passes.before.is_none() {
            return Self::default();
        }
        let strand = Arc::downgrade(strand);
        Self { before: Some(Before { strand, was }), ..Self::default() }
    }
}

impl Eliminated {
    /// Answers to cases, each known by its number: what it was the last time is taken up. `loads`: case by
    /// case. One that loads nothing is not answered.
    pub(super) fn follow(&self, loads: &[OnStrand], found: &mut Found<'_>) {
        let mut passes = self.passes.lock().unwrap_or_else(PoisonError::into_inner);
        self.take_up(&mut passes);
        let Passes { groups, up, loading, room, back, .. } = &mut *passes;
        if !back.is_made() {
            *back = Backwards::new(self);
        }
        if up.len() != self.at.len() {
            *up = vec![0; self.at.len()];
            self.find_ways_up(up, |_| false);
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

    /// Takes what a strand that this one was made of was solved for, if it is still there: fronts that are the
    /// same pass on the same.
    fn take_up(&self, passes: &mut Passes) {
        let Some(Before { strand: before, was }) = passes.before.take() else { return };
        let Some(before) = before.upgrade() else { return };
        let mut known = before.passes.lock().unwrap_or_else(PoisonError::into_inner);
        before.take_up(&mut known);
        *passes = std::mem::take(&mut *known);
        let (mut own, mut passed) = (Runs::default(), Runs::default());
        for (k, was) in was.iter().enumerate() {
            let Some(was) = *was else { continue };
            own.push(before.shape.nodes[was].own.clone(), self.shape.nodes[k].own.start);
            passed.push(before.starts[was]..before.starts[was + 1], self.starts[k]);
        }
        let Passes { groups, up, back, .. } = passes;
        groups.iter_mut().for_each(|pass| pass.take_up(self, &was, [&own, &passed]));
        if !up.is_empty() {
            passed.apply(up, self.at.len(), 0);
            // A front that was there had the children it has.
            self.find_ways_up(up, |front| was[front].is_some());
        }
        if back.is_made() {
            back.take_up(self, &before, &was);
        }
    }

    /// The places of what fronts pass on in their parents' fronts. `known`: whether they are known of a front
    /// and its parent.
    fn find_ways_up(&self, up: &mut [u32], known: impl Fn(usize) -> bool) {
        let mut place = vec![0; self.shape.own.len()];
        for k in 0..self.fronts.len() {
            let children = self.shape.children(k);
            if known(k) && children.iter().all(|child| known(*child as usize)) {
                continue;
            }
            let own = &self.at[self.starts[k]..self.starts[k + 1]];
            own.iter().zip(0..).for_each(|(&unknown, at)| place[unknown as usize] = at);
            for &child in children {
                let passed = self.passed(child as usize);
                let places = self.at[passed.clone()].iter();
                up[passed].iter_mut().zip(places).for_each(|(up, at)| *up = place[*at as usize]);
            }
        }
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
