//! How the frame moves at a critical load factor.
//!
//! Inverse iteration on K(λ) with a block as wide as the count jumps across the bracket, then the
//! small eigenvalue problem within the block (Rayleigh–Ritz).

use super::answers::{CriticalMode, Unknown};
use super::critical::Bound;
use super::linalg::{Ldl, random_vector, symmetric_eigen};
use super::model::Model;

/// Iterations of the block; each gains as many digits as the bracket is narrow.
const ITERATIONS: usize = 8;
/// Block wider than this: the modes of a cluster are not told apart.
const WIDEST: usize = 64;
/// Residual, relative to the stiffness, above which a mode is none.
const WORST: f64 = 1e-5;

impl Model<'_> {
    /// Modes of all critical factors in a bracket, of which `known` lie below it.
    pub(super) fn modes(
        &self,
        axial: &[f64],
        low: Bound,
        high: Bound,
        known: usize,
    ) -> Result<Vec<CriticalMode>, Unknown> {
        let jump = high.count.saturating_sub(low.count.max(known));
        let factor = f64::midpoint(low.factor, high.factor);
        let below = self.stiffness(Some((axial, low.factor)))?;
        let above = self.stiffness(Some((axial, high.factor)))?;
        let bowing: Vec<usize> =
            (0..self.elements.len()).filter(|m| above.inside[*m] > below.inside[*m]).collect();
        let inside: usize =
            bowing.iter().map(|m| above.inside[*m] - below.inside[*m]).sum::<usize>().min(jump);
        let mut modes = Vec::with_capacity(jump);
        for member in bowing.iter().take(inside) {
            modes.push(CriticalMode {
                factor,
                mode: vec![[0.0; 6]; self.frame.nodes.len()],
                bowing: vec![*member],
                residual: 0.0,
            });
        }
        let moving = (jump - modes.len()).min(WIDEST);
        if moving > 0 {
            modes.extend(self.moving_modes(axial, low, high, moving)?);
        }
        Ok(modes)
    }

    fn moving_modes(
        &self,
        axial: &[f64],
        low: Bound,
        high: Bound,
        width: usize,
    ) -> Result<Vec<CriticalMode>, Unknown> {
        let n = self.size();
        let factor = f64::midpoint(low.factor, high.factor);
        let plain = self.stiffness(None)?;
        let stiffness = self.stiffness(Some((axial, high.factor)))?;
        let ldl = Ldl::new(&self.pattern, &stiffness.values)?;
        let mut block: Vec<Vec<f64>> =
            (0..width).map(|k| random_vector(n, 100 + k as u64)).collect();
        for _ in 0..ITERATIONS {
            for vector in &mut block {
                ldl.solve(vector)?;
            }
            orthonormalise(&mut block)?;
        }
        self.ritz(&stiffness.values, &mut block)?;
        let against = self.pattern.norm(&plain.values);
        let mut product = vec![0.0; n];
        let mut modes = Vec::with_capacity(width);
        for vector in &block {
            self.pattern.multiply(&stiffness.values, vector, &mut product);
            let residual = length(&product) / against;
            if !(residual < WORST) {
                return Err(Unknown::NotConverged(format!(
                    "the mode at factor {factor} leaves {residual:e}"
                )));
            }
            let mode = normalised(self.displacements(vector), self.mean_length());
            modes.push(CriticalMode { factor, mode, bowing: Vec::new(), residual });
        }
        Ok(modes)
    }

    /// Turns the block so that K is diagonal within it.
    fn ritz(&self, values: &[f64], block: &mut Vec<Vec<f64>>) -> Result<(), Unknown> {
        let width = block.len();
        if width < 2 {
            return Ok(());
        }
        let n = self.size();
        let mut small = vec![0.0; width * width];
        let mut product = vec![0.0; n];
        for (a, left) in block.iter().enumerate() {
            self.pattern.multiply(values, left, &mut product);
            for (b, right) in block.iter().enumerate() {
                small[a * width + b] = dot(&product, right);
            }
        }
        let eigen = symmetric_eigen(width, &small)
            .ok_or_else(|| Unknown::NotConverged("a small eigenvalue problem".into()))?;
        *block = eigen.vectors.iter().map(|weights| combine(block, weights)).collect();
        Ok(())
    }
}

pub(super) fn combine(block: &[Vec<f64>], weights: &[f64]) -> Vec<f64> {
    let mut sum = vec![0.0; block[0].len()];
    for (vector, weight) in block.iter().zip(weights) {
        for (s, v) in sum.iter_mut().zip(vector) {
            *s += weight * v;
        }
    }
    sum
}

pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

pub(super) fn length(a: &[f64]) -> f64 {
    dot(a, a).sqrt()
}

/// Gram and Schmidt, twice.
pub(super) fn orthonormalise(block: &mut [Vec<f64>]) -> Result<(), Unknown> {
    for k in 0..block.len() {
        let (done, rest) = block.split_at_mut(k);
        let vector = &mut rest[0];
        let first = length(vector);
        if !(first > 0.0 && first.is_finite()) {
            return Err(Unknown::NotConverged("a vector that is not finite".into()));
        }
        vector.iter_mut().for_each(|v| *v /= first);
        for _ in 0..2 {
            for other in done.iter() {
                let part = dot(vector, other);
                for (v, o) in vector.iter_mut().zip(other) {
                    *v -= part * o;
                }
            }
            let size = length(vector);
            if !(size > f64::EPSILON) {
                return Err(Unknown::NotConverged("vectors that are not independent".into()));
            }
            vector.iter_mut().for_each(|v| *v /= size);
        }
    }
    Ok(())
}

/// Largest translation one and positive; where no node moves beside its turning over a mean
/// member length, the largest rotation.
fn normalised(mut mode: Vec<[f64; 6]>, size: f64) -> Vec<[f64; 6]> {
    let largest = |from: usize| {
        mode.iter()
            .flat_map(|d| &d[from..from + 3])
            .fold(0.0, |m: f64, v| if v.abs() > m.abs() { *v } else { m })
    };
    let (moved, turned) = (largest(0), largest(3));
    let by = if moved.abs() > 1e-6 * turned.abs() * size { moved } else { turned };
    if by != 0.0 {
        for v in mode.iter_mut().flatten() {
            *v /= by;
        }
    }
    mode
}
