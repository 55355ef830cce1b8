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
use crate::mechanics::null_basis::readable;
use crate::mechanics::strain_modes::strain;

/// Motions looked for at most.
const MOST: usize = 8;
/// Steps of the iteration: each shrinks what strains something to a thousandth at most.
const STEPS: usize = 4;
/// A motion's eigenvalue, over the shift, is no more than this off zero.
const ZERO: f64 = 1e-3;

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
        let elements = &self.laid.parts.elements;
        let size = elements.iter().map(|e| e.length).sum::<f64>() / elements.len().max(1) as f64;
        let loose = self.one_by_one(&next, size)?;
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

    /// Brings them apart, each with a translation that none of the others has. Lengths in units of `size`.
    fn one_by_one(&self, motions: &[Vec<f64>], size: f64) -> Option<Vec<Loose>> {
        let laid = &self.laid;
        let own = laid.shapes.iter().flat_map(|shape| &shape.own);
        let mut rows: Vec<(Dof, usize)> =
            own.map(|&unknown| laid.parts.node_and_dof(unknown)).zip(0..).collect();
        rows.sort_unstable();
        let turned = |dof: usize| if dof < 3 { 1.0 } else { size };
        let row = |motion: &Vec<f64>| {
            rows.iter().map(|&((_, dof), at)| motion[at] * turned(dof)).collect::<Vec<f64>>()
        };
        let mut vectors: Vec<Vec<f64>> = motions.iter().map(row).collect();
        orthonormalise(&mut vectors).ok()?;
        let dofs: Vec<Dof> = rows.iter().map(|(dof, _)| *dof).collect();
        let basis = readable(&vectors, &dofs).ok()?;
        let loose = basis.motions.iter().zip(&basis.pins).map(|(motion, pin)| {
            let mut moved: Vec<(usize, [f64; 6])> = Vec::new();
            for (value, &(node, dof)) in motion.iter().zip(&dofs).filter(|(v, _)| **v != 0.0) {
                if moved.last().is_none_or(|(last, _)| *last != node) {
                    moved.push((node, [0.0; 6]));
                }
                if let Some((_, of)) = moved.last_mut() {
                    of[dof] = value / turned(dof);
                }
            }
            Loose { moved, pin: dofs[*pin] }
        });
        basis.spin_pins.is_empty().then(|| loose.collect())
    }
}

/// One step, with every unknown times the root of its entry on the diagonal.
fn inverse(factor: &Factor, root: &[f64], x: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let times = |x: &Vec<f64>| x.iter().zip(root).map(|(x, root)| x * root).collect();
    factor.apply(x.iter().map(times).collect()).iter().map(times).collect()
}
