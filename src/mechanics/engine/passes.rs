//! Solves of a strand one after another, each made of the one before.
//!
//! Forwards a front passes on to its parent what is put on its part of the tree, and nothing else. A
//! front below which all is loaded as before passes on what it did, so that a change goes up the few
//! branches it is on. Backwards all fronts are gone through: what moves somewhere moves everywhere.
//!
//! What a front passes on is summed up child by child, never with what others have passed on further
//! up, so that it is the same, bit for bit, whatever was solved before (`tests/mechanics/tree.rs`).

use super::answers::Found;
use super::backwards::Backwards;
use super::eliminated::Eliminated;
use super::packed::Lanes;
use crate::mechanics::linalg::{Work, widely};
use std::ops::Range;
use std::sync::{Mutex, PoisonError};

/// Right-hand sides solved together.
const TOGETHER: usize = 4;

/// The last solve of a case.
#[derive(Debug, Default)]
struct Pass {
    loads: Vec<f64>,
    /// What it is to be solved for now.
    next: Vec<f64>,
    /// Front by front, as places in [`Eliminated::at`]: its own unknowns reduced, and what it passes on.
    forward: Vec<f64>,
    /// By front: nothing is known of what it passes on.
    fresh: Vec<bool>,
}

impl Pass {
    /// Nothing known.
    fn renew(&mut self, strand: &Eliminated) {
        let (own, all) = (strand.shape.own.len(), strand.at.len());
        let fresh = vec![true; strand.fronts.len()];
        let [loads, next] = [(); 2].map(|()| vec![0.0; own]);
        *self = Self { loads, next, forward: vec![0.0; all], fresh };
    }
}

/// The last solves of a strand, by the number of the case.
#[derive(Debug, Default)]
pub(super) struct Passes {
    by_case: Vec<Pass>,
    /// As [`Eliminated::at`]: of what is passed on, the place in the parent's front.
    up: Vec<u32>,
    /// Room for what moves.
    room: Vec<Lanes<TOGETHER>>,
    back: Backwards,
}

impl Eliminated {
    /// Answers to cases, each known by its number: what it was the last time is taken up. `loads`: case,
    /// place in the strand, value. A case that loads nothing is not answered.
    pub(super) fn follow(&self, loads: &[(usize, u32, f64)], found: &mut Found<'_>) {
        let mut passes = self.passes.lock().unwrap_or_else(PoisonError::into_inner);
        let Passes { by_case, up, room, back } = &mut *passes;
        if !back.is_made() {
            *back = Backwards::new(self, None);
        }
        let strand = &*back;
        if up.len() != self.at.len() {
            *up = self.ways_up(self, &[], &[]);
        }
        let mut open: Vec<(usize, Pass)> = Vec::new();
        for of_case in loads.chunk_by(|a, b| a.0 == b.0) {
            let case = of_case[0].0;
            if by_case.len() <= case {
                by_case.resize_with(case + 1, Pass::default);
            }
            let mut pass = std::mem::take(&mut by_case[case]);
            if pass.forward.len() != self.at.len() {
                pass.renew(self);
            }
            pass.next.fill(0.0);
            of_case.iter().for_each(|(_, place, value)| pass.next[*place as usize] += value);
            if pass.next.iter().any(|load| *load != 0.0) {
                open.push((case, pass));
            } else {
                by_case[case] = pass;
            }
        }
        widely(Forward { strand: self, up, passes: &mut open });
        let mut moved = Vec::with_capacity(self.shape.own.len());
        room.resize(self.shape.own.len(), [0.0; TOGETHER]);
        for some in open.chunks(TOGETHER) {
            if let [(case, pass)] = some {
                let mut alone = vec![[0.0]; self.shape.own.len()];
                widely(Back { strand, reduced: [&pass.forward], x: &mut alone });
                found(*case, &self.shape.own, alone.as_flattened());
                continue;
            }
            // A place for which there is no case solves the last one again.
            let reduced = std::array::from_fn(|lane| &some[lane.min(some.len() - 1)].1.forward[..]);
            widely(Back::<TOGETHER> { strand, reduced, x: room });
            for (lane, (case, _)) in some.iter().enumerate() {
                moved.clear();
                moved.extend(room.iter().map(|x| x[lane]));
                found(*case, &self.shape.own, &moved);
            }
        }
        for (case, pass) in open {
            by_case[case] = pass;
        }
    }

    /// Takes up what a strand of the shape before was solved for: fronts that are the same pass on the
    /// same. `was`: by front which of those it is.
    pub(super) fn take_up(&mut self, before: &Self, was: &[Option<usize>]) {
        let mut known = before.passes.lock().unwrap_or_else(PoisonError::into_inner);
        if known.by_case.is_empty() {
            return;
        }
        let carried = |pass: &Pass| {
            let mut out = Pass::default();
            if pass.forward.len() != before.at.len() {
                return out;
            }
            out.next = vec![0.0; self.shape.own.len()];
            out.loads.reserve_exact(self.shape.own.len());
            out.forward.reserve_exact(self.at.len());
            for (k, (was, node)) in was.iter().zip(&self.shape.nodes).enumerate() {
                if let Some(at) = *was {
                    let own = before.shape.nodes[at].own.clone();
                    out.loads.extend_from_slice(&pass.loads[own]);
                    let passed = before.starts[at]..before.starts[at + 1];
                    out.forward.extend_from_slice(&pass.forward[passed]);
                }
                out.loads.resize(node.own.end, 0.0);
                out.forward.resize(self.starts[k + 1], 0.0);
                out.fresh.push(was.is_none_or(|at| pass.fresh[at]));
            }
            out
        };
        let by_case = known.by_case.iter().map(carried).collect();
        let up =
            if known.up.is_empty() { Vec::new() } else { self.ways_up(before, &known.up, was) };
        let room = std::mem::take(&mut known.room);
        let back = Backwards::new(self, known.back.is_made().then_some((&known.back, before, was)));
        self.passes = Mutex::new(Passes { by_case, up, room, back });
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

fn same(a: &[f64], b: &[f64]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.to_bits() == b.to_bits())
}

/// Forwards through the fronts below which something is otherwise than in the last solve.
struct Forward<'a> {
    strand: &'a Eliminated,
    up: &'a [u32],
    passes: &'a mut [(usize, Pass)],
}

impl Work for Forward<'_> {
    type Answer = ();
    #[inline(always)]
    fn work(self) {
        let Self { strand, up, passes } = self;
        let Eliminated { shape, fronts, starts, .. } = strand;
        // By case and front: whether it passes on something else.
        let mut otherwise = vec![vec![false; fronts.len()]; passes.len()];
        let mut asked = Vec::with_capacity(passes.len());
        let (mut alone, mut some) = (Vec::new(), Vec::new());
        for (k, node) in shape.nodes.iter().enumerate() {
            let children = shape.children(k);
            asked.clear();
            for (number, ((_, pass), otherwise)) in passes.iter().zip(&otherwise).enumerate() {
                let own = node.own.clone();
                let as_before = same(&pass.next[own.clone()], &pass.loads[own])
                    && !children.iter().any(|&child| otherwise[child as usize]);
                if !as_before || pass.fresh[k] {
                    asked.push(number);
                }
            }
            let at = starts[k]..starts[k + 1];
            for asked in asked.chunks(TOGETHER) {
                let front = (strand, k, up);
                match asked {
                    [_] => {
                        through::<1>(front, at.clone(), asked, passes, &mut otherwise, &mut alone)
                    }
                    _ => through::<TOGETHER>(
                        front,
                        at.clone(),
                        asked,
                        passes,
                        &mut otherwise,
                        &mut some,
                    ),
                }
            }
        }
        for (_, pass) in passes {
            std::mem::swap(&mut pass.loads, &mut pass.next);
        }
    }
}

/// Through one front of a strand, at most `L` cases together. `at`: its places; `asked`: which of the cases.
#[inline(always)]
fn through<const L: usize>(
    (strand, k, up): (&Eliminated, usize, &[u32]),
    at: Range<usize>,
    asked: &[usize],
    passes: &mut [(usize, Pass)],
    otherwise: &mut [Vec<bool>],
    local: &mut Vec<Lanes<L>>,
) {
    let own = strand.shape.nodes[k].own.clone();
    let boundary = own.len();
    local.clear();
    local.resize(at.len(), [0.0; L]);
    for (lane, &number) in asked.iter().enumerate() {
        let pass = &passes[number].1;
        local.iter_mut().zip(&pass.next[own.clone()]).for_each(|(local, load)| local[lane] = *load);
        for &child in strand.shape.children(k) {
            let passed = strand.passed(child as usize);
            for (&place, value) in up[passed.clone()].iter().zip(&pass.forward[passed]) {
                local[place as usize][lane] += value;
            }
        }
    }
    strand.fronts[k].front.forward(local);
    for (lane, &number) in asked.iter().enumerate() {
        let pass = &mut passes[number].1;
        let fresh = std::mem::replace(&mut pass.fresh[k], false);
        let known = &mut pass.forward[at.clone()];
        let mut on = known[boundary..].iter().zip(&local[boundary..]);
        otherwise[number][k] = fresh || on.any(|(a, b)| a.to_bits() != b[lane].to_bits());
        known.iter_mut().zip(&*local).for_each(|(known, now)| *known = now[lane]);
    }
}

/// Backwards through all fronts. `x` has room for what moves, the strand's unknowns in their order.
struct Back<'a, const L: usize> {
    strand: &'a Backwards,
    reduced: [&'a [f64]; L],
    x: &'a mut [Lanes<L>],
}

impl<const L: usize> Work for Back<'_, L> {
    type Answer = ();
    #[inline(always)]
    fn work(self) {
        self.strand.solve(self.reduced, self.x);
    }
}
