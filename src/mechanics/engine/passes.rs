//! Solves of a strand one after another, each made of the one before.
//!
//! Forwards a front passes on to its parent what is put on its part of the tree, and nothing else. A
//! front below which all is loaded as before passes on what it did, so that a change goes up the few
//! branches it is on. Backwards all fronts are gone through: what moves somewhere moves everywhere.
//!
//! What a front passes on is summed up child by child, never with what others have passed on further
//! up, so that it is the same, bit for bit, whatever was solved before (`tests/mechanics/tree.rs`).

use super::answers::Found;
use super::factor::{Eliminated, Made};
use super::packed::Lanes;
use crate::mechanics::linalg::{Work, widely};
use std::sync::{Arc, Mutex, PoisonError};

/// Right-hand sides solved together backwards.
const TOGETHER: usize = 4;

/// The last solve of a case.
#[derive(Debug, Default)]
struct Pass {
    loads: Vec<f64>,
    /// Front by front, as places in [`Eliminated::at`]: its own unknowns reduced, and what it passes on.
    forward: Vec<f64>,
    moved: Vec<f64>,
    /// By front: nothing is known of what it passes on.
    fresh: Vec<bool>,
}

impl Pass {
    /// Nothing known.
    fn renew(&mut self, strand: &Eliminated) {
        let (own, all) = (strand.shape.own.len(), strand.at.len());
        let fresh = vec![true; strand.fronts.len()];
        *self =
            Self { loads: vec![0.0; own], forward: vec![0.0; all], moved: vec![0.0; own], fresh };
    }
}

/// The last solves of a strand, by the number of the case.
#[derive(Debug, Default)]
pub(super) struct Passes {
    by_case: Vec<Pass>,
    /// Where each front begins in [`Eliminated::at`].
    starts: Vec<usize>,
    /// As [`Eliminated::at`]: of what is passed on, the place in the parent's front.
    up: Vec<u32>,
}

impl Eliminated {
    /// Answers to cases, each known by its number: what it was the last time is taken up.
    pub(super) fn follow(&self, cases: &[(usize, &[f64])], found: &mut Found<'_>) {
        let mut passes = self.passes.lock().unwrap_or_else(PoisonError::into_inner);
        let Passes { by_case, starts, up } = &mut *passes;
        if up.len() != self.at.len() {
            (*starts, *up) = self.ways_up();
        }
        let most = cases.iter().map(|(case, _)| case + 1).max().unwrap_or(0);
        if by_case.len() < most {
            by_case.resize_with(most, Pass::default);
        }
        let take = |&(case, _): &(usize, _)| (case, std::mem::take(&mut by_case[case]));
        let mut open: Vec<(usize, Pass)> = cases.iter().map(take).collect();
        widely(Forward { strand: self, starts, up, passes: &mut open, cases });
        for some in open.chunks_mut(TOGETHER) {
            if some.len() == 1 {
                widely(Backward::<1> { strand: self, starts, passes: some });
            } else {
                widely(Backward::<TOGETHER> { strand: self, starts, passes: some });
            }
        }
        for (case, pass) in open {
            found(case, &self.shape.own, &pass.moved);
            by_case[case] = pass;
        }
    }

    /// Takes up what a strand of the shape before was solved for: fronts that are the same pass on the
    /// same.
    pub(super) fn take_up(&mut self, before: &Self) {
        let known = before.passes.lock().unwrap_or_else(PoisonError::into_inner);
        if known.by_case.is_empty() {
            return;
        }
        let starts = starts(&self.fronts);
        // By front: which it was.
        let was = (0..).zip(&self.fronts).map(|(k, made)| {
            let at = self.shape.place_in(&before.shape, k)?;
            Arc::ptr_eq(&before.fronts[at], made).then_some(at)
        });
        let was: Vec<Option<usize>> = was.collect();
        let carried = |pass: &Pass| {
            let mut out = Pass::default();
            if pass.forward.len() != before.at.len() {
                return out;
            }
            out.renew(self);
            for (k, at) in was.iter().enumerate().filter_map(|(k, at)| Some((k, (*at)?))) {
                let own = self.shape.nodes[k].own.clone();
                out.loads[own].copy_from_slice(&pass.loads[before.shape.nodes[at].own.clone()]);
                let (from, count) = (known.starts[at], self.fronts[k].dofs.len());
                let passed = &pass.forward[from..from + count];
                out.forward[starts[k]..starts[k] + count].copy_from_slice(passed);
                out.fresh[k] = pass.fresh[at];
            }
            out
        };
        let by_case = known.by_case.iter().map(carried).collect();
        self.passes = Mutex::new(Passes { by_case, starts, up: Vec::new() });
    }

    /// Where fronts begin, and the places of what they pass on in their parents' fronts.
    fn ways_up(&self) -> (Vec<usize>, Vec<u32>) {
        let starts = starts(&self.fronts);
        let mut up = vec![0; self.at.len()];
        let mut place = vec![0; self.shape.own.len()];
        for k in 0..self.fronts.len() {
            let own = starts[k]..starts[k] + self.fronts[k].dofs.len();
            self.at[own].iter().zip(0..).for_each(|(&unknown, at)| place[unknown as usize] = at);
            for &child in self.shape.children(k) {
                let child = child as usize;
                let made = &self.fronts[child];
                for at in starts[child] + made.front.own..starts[child] + made.dofs.len() {
                    up[at] = place[self.at[at] as usize];
                }
            }
        }
        (starts, up)
    }
}

/// Where fronts begin.
fn starts(fronts: &[Arc<Made>]) -> Vec<usize> {
    let mut end = 0;
    let start = |made: &Arc<Made>| {
        end += made.dofs.len();
        end - made.dofs.len()
    };
    fronts.iter().map(start).collect()
}

fn same(a: &[f64], b: &[f64]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.to_bits() == b.to_bits())
}

/// Forwards through the fronts below which something is otherwise than in the last solve.
struct Forward<'a> {
    strand: &'a Eliminated,
    starts: &'a [usize],
    up: &'a [u32],
    passes: &'a mut [(usize, Pass)],
    cases: &'a [(usize, &'a [f64])],
}

impl Work for Forward<'_> {
    type Answer = ();
    #[inline(always)]
    fn work(self) {
        let Self { strand, starts, up, passes, cases } = self;
        let Eliminated { shape, fronts, at, .. } = strand;
        // By case and front: whether it passes on something else.
        let mut otherwise = vec![vec![false; fronts.len()]; passes.len()];
        for (_, pass) in passes.iter_mut().filter(|(_, pass)| pass.forward.len() != at.len()) {
            pass.renew(strand);
        }
        let mut local: Vec<Lanes<1>> = Vec::new();
        for (k, (node, made)) in shape.nodes.iter().zip(fronts).enumerate() {
            let boundary = made.front.own..made.dofs.len();
            let children = shape.children(k);
            let each = passes.iter_mut().zip(cases).zip(&mut otherwise);
            for (((_, pass), (_, loads)), otherwise) in each {
                let own = node.own.clone();
                let fresh = std::mem::replace(&mut pass.fresh[k], false);
                let as_before = same(&loads[own.clone()], &pass.loads[own.clone()])
                    && !children.iter().any(|&child| otherwise[child as usize]);
                if as_before && !fresh {
                    continue;
                }
                local.clear();
                local.extend(loads[own].iter().map(|&load| [load]));
                local.resize(boundary.end, [0.0]);
                for &child in children {
                    let (child, from) = (child as usize, starts[child as usize]);
                    let passed = from + fronts[child].front.own..from + fronts[child].dofs.len();
                    for (&place, value) in up[passed.clone()].iter().zip(&pass.forward[passed]) {
                        local[place as usize][0] += value;
                    }
                }
                made.front.forward(&mut local);
                let known = &mut pass.forward[starts[k]..starts[k] + boundary.end];
                let mut on = known[boundary.clone()].iter().zip(&local[boundary.clone()]);
                otherwise[k] = fresh || on.any(|(a, [b])| a.to_bits() != b.to_bits());
                known.iter_mut().zip(&local).for_each(|(known, [now])| *known = *now);
            }
        }
        for ((_, pass), (_, loads)) in passes.iter_mut().zip(cases) {
            pass.loads.copy_from_slice(loads);
        }
    }
}

/// Backwards through all fronts.
struct Backward<'a, const L: usize> {
    strand: &'a Eliminated,
    starts: &'a [usize],
    passes: &'a mut [(usize, Pass)],
}

impl<const L: usize> Work for Backward<'_, L> {
    type Answer = ();
    #[inline(always)]
    fn work(self) {
        let Self { strand, starts, passes } = self;
        let Eliminated { shape, fronts, at, .. } = strand;
        let mut x: Vec<Lanes<L>> = vec![[0.0; L]; shape.own.len()];
        let mut local: Vec<Lanes<L>> = Vec::new();
        for (k, (node, made)) in shape.nodes.iter().zip(fronts).enumerate().rev() {
            let own = made.front.own;
            local.clear();
            local.resize(own, [0.0; L]);
            for (lane, (_, pass)) in passes.iter().enumerate() {
                let reduced = &pass.forward[starts[k]..starts[k] + own];
                local.iter_mut().zip(reduced).for_each(|(local, value)| local[lane] = *value);
            }
            let boundary = &at[starts[k] + own..starts[k] + made.dofs.len()];
            local.extend(boundary.iter().map(|&unknown| x[unknown as usize]));
            made.front.backward(&mut local);
            x[node.own.clone()].copy_from_slice(&local[..own]);
        }
        for (lane, (_, pass)) in passes.iter_mut().enumerate() {
            pass.moved.iter_mut().zip(&x).for_each(|(moved, x)| *moved = x[lane]);
        }
    }
}
