//! Solves of a strand one after another, each made of the one before.
//!
//! Forwards a front passes on to its parent what is put on its part of the tree, and nothing else. A
//! front below which all is loaded as before passes on what it did, so that a change goes up the few
//! branches it is on. Backwards all fronts are gone through: what moves somewhere moves everywhere.
//!
//! What a front passes on is summed up child by child, never with what others have passed on further
//! up, so that it is the same, bit for bit, whatever was solved before (`tests/mechanics/tree.rs`).

use super::answers::Found;
use super::factor::Eliminated;
use super::packed::Lanes;
use crate::mechanics::linalg::{Work, widely};
use std::sync::PoisonError;

/// Right-hand sides solved together backwards.
const TOGETHER: usize = 4;

/// The last solve of a case.
#[derive(Debug, Default)]
struct Pass {
    loads: Vec<f64>,
    /// Front by front, as places in [`Eliminated::at`]: its own unknowns reduced, and what it passes on.
    forward: Vec<f64>,
    moved: Vec<f64>,
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
        if starts.is_empty() {
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

    /// Where fronts begin, and the places of what they pass on in their parents' fronts.
    fn ways_up(&self) -> (Vec<usize>, Vec<u32>) {
        let mut starts = Vec::with_capacity(self.fronts.len());
        let mut end = 0;
        for made in &self.fronts {
            starts.push(end);
            end += made.dofs.len();
        }
        let mut up = vec![0; self.at.len()];
        let mut place = vec![0; self.shape.own.len()];
        for (k, node) in self.shape.nodes.iter().enumerate() {
            let own = starts[k]..starts[k] + self.fronts[k].dofs.len();
            self.at[own].iter().zip(0..).for_each(|(&unknown, at)| place[unknown as usize] = at);
            for &child in &node.children {
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
        let mut otherwise = Vec::with_capacity(passes.len());
        for (_, pass) in passes.iter_mut() {
            let fresh = pass.forward.len() != at.len();
            if fresh {
                pass.loads = vec![0.0; shape.own.len()];
                pass.forward = vec![0.0; at.len()];
                pass.moved = vec![0.0; shape.own.len()];
            }
            otherwise.push((fresh, vec![fresh; fronts.len()]));
        }
        let mut local: Vec<Lanes<1>> = Vec::new();
        for (k, (node, made)) in shape.nodes.iter().zip(fronts).enumerate() {
            let boundary = made.front.own..made.dofs.len();
            let each = passes.iter_mut().zip(cases).zip(&mut otherwise);
            for (((_, pass), (_, loads)), (fresh, otherwise)) in each {
                let own = node.own.clone();
                let as_before = same(&loads[own.clone()], &pass.loads[own.clone()])
                    && !node.children.iter().any(|&child| otherwise[child as usize]);
                if as_before && !*fresh {
                    continue;
                }
                local.clear();
                local.extend(loads[own].iter().map(|&load| [load]));
                local.resize(boundary.end, [0.0]);
                for &child in &node.children {
                    let (child, from) = (child as usize, starts[child as usize]);
                    let passed = from + fronts[child].front.own..from + fronts[child].dofs.len();
                    for (&place, value) in up[passed.clone()].iter().zip(&pass.forward[passed]) {
                        local[place as usize][0] += value;
                    }
                }
                made.front.forward(&mut local);
                let known = &mut pass.forward[starts[k]..starts[k] + boundary.end];
                let mut on = known[boundary.clone()].iter().zip(&local[boundary.clone()]);
                otherwise[k] = *fresh || on.any(|(a, [b])| a.to_bits() != b.to_bits());
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
