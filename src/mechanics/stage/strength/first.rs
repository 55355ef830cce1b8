//! The answers of first order that the check begins with.

use super::families::{self, Bows, Nodal, UNIT_LEAN};
use super::of_frame::OfFrame;
use super::rounds::band;
use super::side::Side;
use super::{DIGITS_SAID, Start, Subject};
use crate::assembly::MemberId;
use crate::mechanics::answers::Unknown;
use crate::mechanics::engine::stage_tree::{Answered, OnTree, TreeSolution};
use crate::mechanics::stage::bands::round_down;
use crate::mechanics::stage::effective;
use std::collections::BTreeMap;

/// Growth of sideways forces by second order that is allowed for beforehand.
const GROWTH: f64 = 1.1;

/// First order: sideways stiffness from a unit lean, and the compressions to start with.
pub(super) struct First {
    pub compression: Vec<f64>,
    pub answered: Answered,
    /// By axis: which of the answers is that to the unit lean.
    lean: Vec<usize>,
}

impl First {
    /// `before`: the answers that the stage before began with.
    pub(super) fn new(
        subject: &Subject<'_>,
        tree: &mut OnTree<'_>,
        of_frame: &OfFrame,
        sides: &[Side],
        start: Start<'_>,
        weighed: &[f64],
        bows: &mut Bows,
        before: Option<Answered>,
    ) -> Result<Self, Unknown> {
        // The heads pushed sideways are known; a lean goes with the unit lean.
        let leans = subject.pack.out_of_plumb.value.si().tan() / UNIT_LEAN;
        let mut compression = start.most.to_vec();
        band(&mut compression);
        let mut loads: Vec<Nodal> = Vec::new();
        let mut first_of = Vec::with_capacity(sides.len() + 1);
        let elements = tree.elements();
        for side in sides {
            first_of.push(loads.len());
            loads.push(families::leaning(subject, weighed, side.axis, UNIT_LEAN));
            loads.push(side.eccentric.clone());
            loads.push(families::crooked(
                subject,
                &elements,
                &of_frame.offsets,
                &compression,
                side.axis,
                (&of_frame.numbers, bows),
                &|_| true,
            ));
            loads.extend(side.push.clone());
        }
        first_of.push(loads.len());
        tree.ease()?;
        let answered = tree.answer_stiffened(loads, before)?;
        for (at, pushed) in first_of.windows(2).zip(start.pushed) {
            let some = &answered.solutions()[at[0]..at[1]];
            for (k, c) in compression.iter_mut().enumerate() {
                let lateral = pushed.axial[k] + leans * some[0].axial[k];
                let sideways: f64 = some[1..].iter().map(|s| s.axial[k].abs()).sum();
                *c = c.max(start.rest[k] + GROWTH * (lateral.abs() + sideways));
            }
        }
        first_of.pop();
        Ok(Self { compression, answered, lean: first_of })
    }

    /// Displacements and axial forces under the unit lean along an axis.
    pub(super) fn lean(&self, which: usize) -> &TreeSolution {
        &self.answered.solutions()[self.lean[which]]
    }

    /// Critical compression of each post, axis by axis.
    pub(super) fn critical(
        &self,
        subject: &Subject<'_>,
        of_frame: &OfFrame,
        axes: &[[f64; 2]],
        service: &dyn Fn(MemberId) -> f64,
        left_out: &dyn Fn(MemberId) -> bool,
    ) -> BTreeMap<MemberId, Vec<f64>> {
        let mut out: BTreeMap<MemberId, Vec<f64>> = BTreeMap::new();
        for (which, &axis) in axes.iter().enumerate() {
            let between = &of_frame.between[which];
            let moved = &self.lean(which).displacement;
            let drift = effective::drift(subject.frame, &of_frame.connected, moved, axis, left_out);
            for &post in subject.frame.posts.keys() {
                let critical = effective::critical(
                    between.get(&post).copied(),
                    service(post),
                    UNIT_LEAN,
                    drift.get(&post).copied().unwrap_or(f64::INFINITY),
                );
                out.entry(post).or_default().push(round_down(critical, DIGITS_SAID));
            }
        }
        out
    }
}
