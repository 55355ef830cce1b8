//! Where the lowest critical factor seems to lie: a few steps of Lanczos from a factor below it.
//!
//! Over a short step the stiffness is taken as linear, K(low + τ) = K(low) − τ B with B the secant,
//! and the largest θ of B x = θ K(low) x gives τ = 1/θ. Lanczos (1950) in the inner product of
//! K(low), every vector kept square to all before it. What comes out is a guess and no more: it is asked
//! for only as closely as the next step needs it, and begun with the vector of the step before.

use super::linalg::{Ldl, random_vector, symmetric_eigen};
use super::model::Model;
use super::modes::combine;

/// Vectors at most.
const VECTORS: usize = 48;
/// Asked for θ every so many vectors.
const EVERY: usize = 4;

impl Model<'_> {
    /// The factor above `low` at which the stiffness seems to become singular, softening as it does
    /// from `low` to `low + step`, and the vector that goes with it. It has settled when θ changes by less
    /// than `settled`, relative. `None` where nothing softens or nothing can be told.
    pub(super) fn seems(
        &self,
        axial: &[f64],
        (low, step): (f64, f64),
        begin: Option<Vec<f64>>,
        settled: f64,
    ) -> Option<(f64, Vec<f64>)> {
        let n = self.size();
        let here = self.stiffness(Some((axial, low))).ok()?.values;
        let there = self.stiffness(Some((axial, low + step))).ok()?.values;
        let falls: Vec<f64> = here.iter().zip(&there).map(|(a, b)| (a - b) / step).collect();
        let ldl = Ldl::new(&self.pattern, &here).ok()?;
        // v, and K·v beside it: K-products are inner products with the latter.
        let mut vectors: Vec<Vec<f64>> = Vec::new();
        let mut products: Vec<Vec<f64>> = Vec::new();
        let (mut diagonal, mut beside): (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
        let mut v = begin.unwrap_or_else(|| random_vector(n, 7));
        let mut product = vec![0.0; n];
        let mut theta = 0.0;
        for k in 0..VECTORS.min(n) {
            self.pattern.multiply(&here, &v, &mut product);
            let size = dot(&v, &product);
            if !(size > 0.0) {
                break;
            }
            let size = size.sqrt();
            v.iter_mut().for_each(|x| *x /= size);
            product.iter_mut().for_each(|x| *x /= size);
            if k > 0 {
                beside.push(size);
            }
            vectors.push(v.clone());
            products.push(product.clone());
            let mut next = vec![0.0; n];
            self.pattern.multiply(&falls, &v, &mut next);
            diagonal.push(dot(&v, &next));
            ldl.solve(&mut next).ok()?;
            // Twice is enough.
            for _ in 0..2 {
                for (v, product) in vectors.iter().zip(&products) {
                    let part = dot(&next, product);
                    next.iter_mut().zip(v).for_each(|(x, v)| *x -= part * v);
                }
            }
            v = next;
            if k % EVERY == EVERY - 1 {
                let (now, _) = largest(&diagonal, &beside)?;
                if (now - theta).abs() <= settled * now.abs() {
                    break;
                }
                theta = now;
            }
        }
        let (theta, weights) = largest(&diagonal, &beside)?;
        let factor = (theta > 0.0).then(|| low + 1.0 / theta).filter(|f| f.is_finite())?;
        Some((factor, combine(&vectors, &weights)))
    }
}

/// Largest eigenvalue of a symmetric tridiagonal matrix, and its vector.
fn largest(diagonal: &[f64], beside: &[f64]) -> Option<(f64, Vec<f64>)> {
    let n = diagonal.len();
    let mut full = vec![0.0; n * n];
    for k in 0..n {
        full[k * n + k] = diagonal[k];
    }
    for (k, b) in beside.iter().enumerate().take(n.saturating_sub(1)) {
        full[k * n + k + 1] = *b;
        full[(k + 1) * n + k] = *b;
    }
    let mut eigen = symmetric_eigen(n, &full)?;
    Some((eigen.values.pop()?, eigen.vectors.pop()?))
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
