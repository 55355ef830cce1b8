//! Motions that strain nothing, found on the tree: what is left free once feet have lifted.
//!
//! The factor that says whether a stage is rigid is that of K − sD, D the diagonal of K and s far below
//! the softest real part. Its negative pivots count the motions below s (Sylvester), and inverse iteration
//! with it finds them: each step shrinks what strains something by s over its own eigenvalue. What they come
//! to is read off M = Xᵀ·D·(K − sD)⁻¹·D·X, which is −1/s times the identity for motions that strain
//! nothing. Nor may a motion strain any member by its strain modes, whatever its stiffness: what is merely
//! soft is none. Anything else is left to be looked at on a matrix of its own
//! (`crate::mechanics::mechanisms`). Whoever pins them has to ask again whether the rest is rigid.
//!
//! Holds if: it finds the motions that are found there, and stops each by its pin
//! (`tests/mechanics/loose.rs`).

use super::OnTree;
use super::solve::STRAINLESS;
use crate::mechanics::engine::factor::Factor;
use crate::mechanics::engine::strands::SLOTS;
use crate::mechanics::frame::Dof;
use crate::mechanics::linalg::random_vector;
use crate::mechanics::mechanisms::WORST;
use crate::mechanics::modes::{dot, orthonormalise};
use crate::mechanics::strain_modes::strain;

/// Motions looked for at most.
const MOST: usize = 8;
/// Steps of the iteration: each shrinks what strains something to a thousandth at most.
const STEPS: usize = 4;
/// A motion's eigenvalue, over the shift, is no more than this off zero.
const ZERO: f64 = 1e-3;
/// Translations below this, in motions of unit size, are round-off; a motion without any is a spin.
const ROUND_OFF: f64 = 1e-8;

/// A motion that strains nothing: nodes that move, and how; the largest translation is one.
#[derive(Clone, Debug, PartialEq)]
pub struct Loose {
    pub moved: Vec<(usize, [f64; 6])>,
    /// What stops it and none of the others.
    pub pin: Dof,
}

impl OnTree<'_> {
    /// The motions that strain nothing, as far as the pins leave any. None where they are not surely told:
    /// too many, nearly strained, or turnings on the spot.
    pub fn loose(&mut self) -> Option<&[Loose]> {
        if self.laid.loose.get().is_none() {
            let found = self.find_loose();
            self.laid.loose.get_or_init(|| found);
        }
        self.laid.loose.get()?.as_deref()
    }

    fn find_loose(&mut self) -> Option<Vec<Loose>> {
        let factor = self.strain_factor();
        let count = factor.pivots.negative;
        if count == 0 || count > MOST || !factor.pivots.are_certain() {
            return None;
        }
        let root: Vec<f64> = self.diagonal().into_iter().map(f64::sqrt).collect();
        if !root.iter().all(|d| *d > 0.0 && d.is_finite()) {
            return None;
        }
        let n = root.len();
        let mut x: Vec<Vec<f64>> = (0..count).map(|k| random_vector(n, 3000 + k as u64)).collect();
        let mut next = Vec::new();
        for _ in 0..STEPS {
            orthonormalise(&mut x).ok()?;
            next = inverse(&factor, &root, &x);
            if !next.iter().flatten().all(|v| v.is_finite()) {
                return None;
            }
            std::mem::swap(&mut x, &mut next);
        }
        // Now `x` follows from `next`, which is orthonormal.
        for (a, before) in next.iter().enumerate() {
            for (b, after) in x.iter().enumerate() {
                let due = if a == b { -1.0 } else { 0.0 };
                if !((dot(before, after) * STRAINLESS - due).abs() <= ZERO) {
                    return None;
                }
            }
        }
        for vector in &mut next {
            vector.iter_mut().zip(&root).for_each(|(v, root)| *v /= root);
        }
        let loose = self.one_by_one(next)?;
        let elements = &self.laid.parts.elements;
        let size = elements.iter().map(|e| e.length).sum::<f64>() / elements.len().max(1) as f64;
        let strains = |loose: &Loose| strain(elements, size, &loose.moved);
        loose.iter().all(|loose| strains(loose) < WORST).then_some(loose)
    }

    /// Diagonal of the stiffness, strand by strand in the order of their unknowns.
    fn diagonal(&self) -> Vec<f64> {
        let laid = &self.laid;
        let at = laid.parts.diagonal.get_or_init(|| {
            let mut at = vec![0.0; laid.plan.strand_of.len()];
            for (element, &known) in laid.parts.elements.iter().zip(&laid.parts.known) {
                let of = element.nodes.map(|node| laid.parts.owner[node].map(|owner| owner.number));
                let made = self.engine.made.of(known, element, 0.0, [true; 2]);
                for &(row, _, value) in made.entries.iter().filter(|(r, c, _)| r == c) {
                    if let Some(number) = of[usize::from(row / 6)] {
                        at[(number * SLOTS + u32::from(row % 6)) as usize] += value;
                    }
                }
            }
            at
        });
        laid.shapes.iter().flat_map(|shape| &shape.own).map(|&dof| at[dof as usize]).collect()
    }

    /// Brings them apart, each with a translation that none of the others has.
    fn one_by_one(&self, mut motions: Vec<Vec<f64>>) -> Option<Vec<Loose>> {
        let laid = &self.laid;
        let own: Vec<Dof> = (laid.shapes.iter().flat_map(|shape| &shape.own))
            .map(|&unknown| laid.parts.node_and_dof(unknown))
            .collect();
        // In the order of the nodes, as they are looked at in `crate::mechanics::null_basis`.
        let mut order: Vec<usize> = (0..own.len()).filter(|at| own[*at].1 < 3).collect();
        order.sort_by_key(|at| own[*at]);
        let mut pins = Vec::with_capacity(motions.len());
        for k in 0..motions.len() {
            let mut best = (k, 0, 0.0);
            for (m, motion) in motions.iter().enumerate().skip(k) {
                for &at in &order {
                    // The first of nearly equal ones, so that round-off does not choose.
                    if motion[at].abs() > best.2 * (1.0 + 1e-6) {
                        best = (m, at, motion[at].abs());
                    }
                }
            }
            let (row, column, size) = best;
            let largest = motions[row].iter().fold(0.0, |most: f64, v| most.max(v.abs()));
            if !(size > 1e-3 * largest) {
                return None;
            }
            motions.swap(k, row);
            let by = motions[k][column];
            motions[k].iter_mut().for_each(|v| *v /= by);
            let pivot = motions[k].clone();
            for other in motions.iter_mut().enumerate().filter(|(m, _)| *m != k).map(|(_, o)| o) {
                let part = other[column];
                other.iter_mut().zip(&pivot).for_each(|(v, p)| *v -= part * p);
                other[column] = 0.0;
            }
            pins.push(own[column]);
        }
        let loose = motions.iter().zip(pins).map(|(motion, pin)| {
            let moving = |(v, (_, dof)): &(&f64, &Dof)| *dof < 3 && v.abs() > 0.0;
            let largest = motion
                .iter()
                .zip(&own)
                .filter(moving)
                .fold(0.0, |most: f64, (v, _)| most.max(v.abs()));
            let mut moved: Vec<(usize, [f64; 6])> = Vec::new();
            for (value, &(node, dof)) in motion.iter().zip(&own) {
                let value = value / largest;
                if value.abs() < ROUND_OFF {
                    continue;
                }
                match moved.binary_search_by_key(&node, |(node, _)| *node) {
                    Ok(at) => moved[at].1[dof] = value,
                    Err(at) => {
                        let mut of = [0.0; 6];
                        of[dof] = value;
                        moved.insert(at, (node, of));
                    }
                }
            }
            Loose { moved, pin }
        });
        Some(loose.collect())
    }
}

/// One step, with every unknown times the root of its entry on the diagonal.
fn inverse(factor: &Factor, root: &[f64], x: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let times = |x: &Vec<f64>| x.iter().zip(root).map(|(x, root)| x * root).collect();
    factor.apply(x.iter().map(times).collect()).iter().map(times).collect()
}
