//! The answers of first order that the check begins with.

use super::families::{self, Nodal, UNIT_LEAN};
use super::imperfect::Offsets;
use super::side::Side;
use super::{Start, Subject};
use crate::assembly::MemberId;
use crate::mechanics::answers::Unknown;
use crate::mechanics::engine::stage_tree::{OnTree, Order};
use crate::mechanics::stage::effective::{self, Columns};
use std::collections::BTreeMap;

/// Growth of sideways forces by second order that is allowed for beforehand.
const GROWTH: f64 = 1.1;

/// First order: sideways stiffness from a unit lean, and the compressions to start with.
pub(super) struct First {
    pub compression: Vec<f64>,
    /// By axis: displacements and axial forces under the unit lean.
    pub lean: Vec<(Vec<[f64; 6]>, Vec<f64>)>,
    /// The same under what pushes the heads and the lean of all posts.
    pub lateral: Vec<(Vec<[f64; 6]>, Vec<f64>)>,
}

fn sum<T>(a: &[T], b: &[T], of: impl Fn(&T, &T) -> T) -> Vec<T> {
    a.iter().zip(b).map(|(a, b)| of(a, b)).collect()
}

impl First {
    pub(super) fn new(
        subject: &Subject<'_>,
        tree: &mut OnTree<'_>,
        offsets: &Offsets,
        sides: &[Side],
        start: Start<'_>,
    ) -> Result<Self, Unknown> {
        // The heads pushed sideways are known; a lean goes with the unit lean.
        let leans = subject.pack.out_of_plumb.value.si().tan() / UNIT_LEAN;
        let mut compression = start.most.to_vec();
        let mut lean = Vec::with_capacity(sides.len());
        let mut lateral = Vec::with_capacity(sides.len());
        let mut loads: Vec<Nodal> = Vec::new();
        let mut first_of = Vec::with_capacity(sides.len() + 1);
        for side in sides {
            first_of.push(loads.len());
            loads.push(families::leaning(subject, start.weighed, side.axis, UNIT_LEAN));
            loads.push(side.eccentric.clone());
            let elements = tree.elements();
            loads.push(families::crooked(subject, &elements, offsets, start.most, side.axis, None));
            loads.extend(side.push.clone());
        }
        first_of.push(loads.len());
        let mut moved = tree.solve_all(Order::First, &loads)?;
        for (at, pushed) in first_of.windows(2).zip(start.pushed) {
            let some = &moved[at[0]..at[1]];
            let mut axial: Vec<Vec<f64>> = some.iter().map(|m| tree.axial(m)).collect();
            for (k, c) in compression.iter_mut().enumerate() {
                let lateral = pushed.axial[k] + leans * axial[0][k];
                let sideways: f64 = axial[1..].iter().map(|a| a[k].abs()).sum();
                *c = c.max(start.rest[k] + GROWTH * (lateral.abs() + sideways));
            }
            let own = std::mem::take(&mut moved[at[0]]);
            lateral.push((
                sum(&pushed.displacement, &own, |a, b| {
                    std::array::from_fn(|d| a[d] + leans * b[d])
                }),
                sum(&pushed.axial, &axial[0], |a, b| a + leans * b),
            ));
            lean.push((own, axial.swap_remove(0)));
        }
        Ok(Self { compression, lean, lateral })
    }

    /// Critical compression of each post, axis by axis.
    pub(super) fn critical(
        &self,
        subject: &Subject<'_>,
        columns: &mut Columns,
        axes: &[[f64; 2]],
        service: &dyn Fn(MemberId) -> f64,
        left_out: &dyn Fn(MemberId) -> bool,
    ) -> BTreeMap<MemberId, Vec<f64>> {
        let mut out: BTreeMap<MemberId, Vec<f64>> = BTreeMap::new();
        for (&axis, (moved, _)) in axes.iter().zip(&self.lean) {
            let between = effective::between_holds(subject.frame, columns, axis);
            let drift = effective::drift(subject.frame, moved, axis, left_out);
            for &post in subject.frame.posts.keys() {
                let critical = effective::critical(
                    between.get(&post).copied(),
                    service(post),
                    UNIT_LEAN,
                    drift.get(&post).copied().unwrap_or(f64::INFINITY),
                );
                out.entry(post).or_default().push(critical);
            }
        }
        out
    }
}
