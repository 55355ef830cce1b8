//! How the frame moves at a critical load factor.
//!
//! Inverse iteration on K(λ) inside the bracket, with a block a little wider than the count jumps
//! across it. Within the block K(λ) is taken as linear across the bracket (which is narrow), and
//! the small problem K(low) y = τ (K(low) − K(high)) y gives the factors low + τ (high − low) to
//! the square of the bracket's width, and the modes.

use super::answers::{CriticalMode, Unknown};
use super::critical::Bound;
use super::linalg::{Ldl, SymmetricEigen, random_vector, symmetric_eigen};
use super::model::Model;

/// Iterations of the block; each gains as many digits as the bracket is narrow.
const ITERATIONS: usize = 8;
/// Vectors beside those wanted, for modes just outside the bracket.
const GUARD: usize = 2;
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
        let below = self.stiffness(Some((axial, low.factor)))?;
        let above = self.stiffness(Some((axial, high.factor)))?;
        let bowing: Vec<usize> =
            (0..self.elements.len()).filter(|m| above.inside[*m] > below.inside[*m]).collect();
        let inside: usize =
            bowing.iter().map(|m| above.inside[*m] - below.inside[*m]).sum::<usize>().min(jump);
        let mut modes = Vec::with_capacity(jump);
        // A member may have as many as two at once, one in each plane.
        let each = bowing
            .iter()
            .flat_map(|m| std::iter::repeat_n(*m, above.inside[*m] - below.inside[*m]));
        for member in each.take(inside) {
            modes.push(CriticalMode {
                factor: self.bowing_factor(member, axial[member], low.factor, high.factor),
                mode: vec![[0.0; 6]; self.frame.nodes.len()],
                bowing: vec![member],
                residual: 0.0,
            });
        }
        let moving = (jump - modes.len()).min(WIDEST);
        if moving > 0 {
            modes.extend(self.moving_modes(axial, low, high, moving)?);
            modes.sort_by(|a, b| a.factor.total_cmp(&b.factor));
        }
        Ok(modes)
    }

    /// Where a member's own count changes, by halving.
    fn bowing_factor(&self, member: usize, axial: f64, mut low: f64, mut high: f64) -> f64 {
        let count = |factor: f64| {
            self.elements[member].assemble(self.form, axial * factor).map_or(0, |a| a.negative)
        };
        let before = count(low);
        while high - low > 1e-13 * high {
            let middle = f64::midpoint(low, high);
            if count(middle) > before { high = middle } else { low = middle }
        }
        f64::midpoint(low, high)
    }

    fn moving_modes(
        &self,
        axial: &[f64],
        low: Bound,
        high: Bound,
        count: usize,
    ) -> Result<Vec<CriticalMode>, Unknown> {
        let n = self.size();
        let width = (count + GUARD).min(n);
        let below = self.stiffness(Some((axial, low.factor)))?.values;
        let above = self.stiffness(Some((axial, high.factor)))?.values;
        let middle: Vec<f64> =
            below.iter().zip(&above).map(|(a, b)| f64::midpoint(*a, *b)).collect();
        let ldl = Ldl::new(&self.pattern, &middle)?;
        let mut block: Vec<Vec<f64>> =
            (0..width).map(|k| random_vector(n, 100 + k as u64)).collect();
        for _ in 0..ITERATIONS {
            let mut all = block.concat();
            ldl.solve(&mut all)?;
            block = all.chunks_exact(n).map(<[f64]>::to_vec).collect();
            renew(&mut block);
            orthonormalise(&mut block)?;
        }
        let block = self.nearest_null(&middle, &block, count)?;
        let parts = self.parts_of_bracket(&below, &above, &block)?;
        let against = self.pattern.norm(&self.stiffness(None)?.values);
        let mut product = vec![0.0; n];
        let mut modes = Vec::with_capacity(count);
        for (part, weights) in parts {
            let mut vector = combine(&block, &weights);
            let size = length(&vector);
            vector.iter_mut().for_each(|v| *v /= size);
            let factor = low.factor + part.clamp(0.0, 1.0) * (high.factor - low.factor);
            self.pattern.multiply(&middle, &vector, &mut product);
            let residual = length(&product) / against;
            if !(residual < WORST) {
                return Err(Unknown::NotConverged(format!(
                    "the mode at factor {factor} leaves {residual:e}"
                )));
            }
            let mode = normalised(self.displacements(&vector), self.mean_length());
            modes.push(CriticalMode { factor, mode, bowing: Vec::new(), residual });
        }
        Ok(modes)
    }

    /// The `count` directions within the block in which K is nearest to nothing.
    fn nearest_null(
        &self,
        values: &[f64],
        block: &[Vec<f64>],
        count: usize,
    ) -> Result<Vec<Vec<f64>>, Unknown> {
        let small = self.within(values, block);
        let eigen = eigen(block.len(), &small)?;
        let mut order: Vec<usize> = (0..block.len()).collect();
        order.sort_by(|a, b| eigen.values[*a].abs().total_cmp(&eigen.values[*b].abs()));
        Ok(order[..count].iter().map(|k| combine(block, &eigen.vectors[*k])).collect())
    }

    /// Parts τ of the bracket at which K is singular within the block, ascending, and the weights.
    fn parts_of_bracket(
        &self,
        below: &[f64],
        above: &[f64],
        block: &[Vec<f64>],
    ) -> Result<Vec<(f64, Vec<f64>)>, Unknown> {
        let m = block.len();
        let difference: Vec<f64> = below.iter().zip(above).map(|(a, b)| a - b).collect();
        let (at_low, falls) = (self.within(below, block), self.within(&difference, block));
        let fall = eigen(m, &falls)?;
        if !fall.values.first().is_some_and(|v| *v > 0.0) {
            return Err(Unknown::NotConverged("a mode that does not soften".into()));
        }
        let unit: Vec<Vec<f64>> = fall
            .values
            .iter()
            .zip(&fall.vectors)
            .map(|(v, vector)| vector.iter().map(|x| x / v.sqrt()).collect())
            .collect();
        let mut reduced = vec![0.0; m * m];
        for (a, left) in unit.iter().enumerate() {
            for (b, right) in unit.iter().enumerate() {
                let rows = left.iter().zip(at_low.chunks_exact(m));
                reduced[a * m + b] = rows.map(|(l, row)| l * dot(row, right)).sum();
            }
        }
        let eigen = eigen(m, &reduced)?;
        let weights = eigen.vectors.iter().map(|weights| combine(&unit, weights));
        Ok(eigen.values.iter().copied().zip(weights).collect())
    }

    /// The matrix within a block of vectors.
    fn within(&self, values: &[f64], block: &[Vec<f64>]) -> Vec<f64> {
        let m = block.len();
        let mut small = vec![0.0; m * m];
        let mut product = vec![0.0; self.size()];
        for (a, left) in block.iter().enumerate() {
            self.pattern.multiply(values, left, &mut product);
            for (b, right) in block.iter().enumerate().skip(a) {
                small[a * m + b] = dot(&product, right);
                small[b * m + a] = small[a * m + b];
            }
        }
        small
    }
}

fn eigen(n: usize, rows: &[f64]) -> Result<SymmetricEigen, Unknown> {
    symmetric_eigen(n, rows)
        .ok_or_else(|| Unknown::NotConverged("a small eigenvalue problem".into()))
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

/// Guard vectors that inverse iteration has turned wholly into others start anew.
fn renew(block: &mut [Vec<f64>]) {
    for k in 0..block.len() {
        let mut rest = block[k].clone();
        let before = length(&rest);
        for other in &block[..k] {
            let part = dot(&rest, other) / dot(other, other);
            for (v, o) in rest.iter_mut().zip(other) {
                *v -= part * o;
            }
        }
        block[k] = if length(&rest) > 1e-12 * before {
            rest
        } else {
            random_vector(rest.len(), 10_000 + k as u64)
        };
    }
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
