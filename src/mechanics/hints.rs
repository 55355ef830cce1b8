//! Where the lowest critical load factors probably are.
//!
//! Nothing here is trusted: factors are only places at which [`super::critical`] counts first, so
//! that its brackets are narrow at once. A wrong hint costs time and changes no answer.
//!
//! K(λ) is taken as linear: first from the unloaded frame (a rough value of the lowest), then from
//! a shift a little below it, where a few Lanczos steps on (K(σ))⁻¹·(−dK/dλ) have the lowest
//! factors at the far end of the spectrum; for exact elements, whose K(λ) is not linear, once more
//! from closer. Lanczos (1950) with full orthogonalisation in the energy of K(σ).

use super::answers::Unknown;
use super::frame::ElementForm;
use super::linalg::{Ldl, random_vector, symmetric_eigen};
use super::model::Model;
use super::modes::dot;

/// Steps for the rough value, and from each shift.
const ROUGH: usize = 8;
const STEPS: usize = 14;
/// Shifts, as parts below the value known. K(λ) of exact elements is taken as linear between the
/// shift and the value known before, so that each closer shift squares what is wrong.
const BELOW: [f64; 3] = [0.1, 0.02, 0.001];
/// Relative residual that needs no closer shift (cubic elements).
const CONVERGED: f64 = 1e-7;
/// Above this a value is no hint.
const POOR: f64 = 1e-2;

/// A probable factor and how far off it may be, relative.
pub(super) type Hint = (f64, f64);

impl Model<'_> {
    /// Probable places of the `k` lowest factors, ascending; fewer, or none, where it does not
    /// come to any.
    pub(super) fn hints(&self, axial: &[f64], k: usize, unit: f64) -> Result<Vec<Hint>, Unknown> {
        if self.size() == 0 || k == 0 {
            return Ok(Vec::new());
        }
        let rough = self.ritz_above(axial, 0.0, 1e-3 * unit, ROUGH)?;
        let Some((mut known, _)) = rough.first().copied() else { return Ok(Vec::new()) };
        let mut found = Vec::new();
        for below in BELOW {
            let mut above = Vec::new();
            // Not below the lowest: nearer to zero, and again.
            for retreat in [1.0, 0.8, 0.5] {
                let shift = retreat * (1.0 - below) * known;
                above = self.ritz_above(axial, shift, known, STEPS + 3 * k)?;
                if !above.is_empty() {
                    break;
                }
            }
            let Some((lowest, _)) = above.first().copied() else { break };
            known = lowest;
            above.truncate(k);
            found = above;
            let sure = found.iter().all(|hint| hint.1 < CONVERGED);
            if self.form == ElementForm::Cubic && sure {
                break;
            }
        }
        found.retain(|hint| hint.1 < POOR);
        Ok(found)
    }

    /// Factors above a shift by Lanczos steps, ascending, with relative residuals; K(λ) linear
    /// between the shift and `other`. Empty where K is not positive definite at the shift.
    fn ritz_above(
        &self,
        axial: &[f64],
        shift: f64,
        other: f64,
        steps: usize,
    ) -> Result<Vec<Hint>, Unknown> {
        let at = self.stiffness(Some((axial, shift)))?;
        let beside = self.stiffness(Some((axial, other)))?;
        let Ok(ldl) = Ldl::new(&self.pattern, &at.values) else { return Ok(Vec::new()) };
        if ldl.negative() + at.negative > 0 {
            return Ok(Vec::new());
        }
        let per = 1.0 / (other - shift);
        let falls: Vec<f64> =
            at.values.iter().zip(&beside.values).map(|(a, b)| (a - b) * per).collect();
        let ritz = self.lanczos(&ldl, &at.values, &falls, steps)?;
        let positive = ritz.into_iter().filter(|(theta, _)| *theta > 0.0);
        // An error of `rest` in θ, in λ = σ + 1/θ.
        let hint = |(theta, rest): (f64, f64)| {
            let factor = shift + 1.0 / theta;
            (factor, rest / (theta * theta) / factor)
        };
        Ok(positive.map(hint).collect())
    }

    /// Ritz values of K⁻¹M, largest first, with the sizes of their residuals.
    fn lanczos(
        &self,
        ldl: &Ldl<'_>,
        k: &[f64],
        m: &[f64],
        steps: usize,
    ) -> Result<Vec<(f64, f64)>, Unknown> {
        let n = self.size();
        let steps = steps.min(n);
        let (mut basis, mut energy): (Vec<Vec<f64>>, Vec<Vec<f64>>) = (Vec::new(), Vec::new());
        let (mut diagonal, mut beside) = (Vec::new(), Vec::new());
        let mut vector = random_vector(n, 7);
        let mut product = vec![0.0; n];
        // A start without parts that M does not see.
        self.pattern.multiply(m, &vector, &mut product);
        vector.copy_from_slice(&product);
        ldl.solve(&mut vector)?;
        loop {
            let mut weighted = vec![0.0; n];
            self.pattern.multiply(k, &vector, &mut weighted);
            let size = dot(&vector, &weighted).max(0.0).sqrt();
            let scale = diagonal.last().map_or(0.0, |d: &f64| d.abs());
            if !(size > 1e-14 * scale && size.is_finite() && size > 0.0) {
                break;
            }
            if !diagonal.is_empty() {
                beside.push(size);
            }
            if basis.len() == steps {
                break;
            }
            vector.iter_mut().for_each(|v| *v /= size);
            weighted.iter_mut().for_each(|v| *v /= size);
            self.pattern.multiply(m, &vector, &mut product);
            diagonal.push(dot(&vector, &product));
            basis.push(vector);
            energy.push(weighted);
            vector = product.clone();
            ldl.solve(&mut vector)?;
            for _ in 0..2 {
                for (v, w) in basis.iter().zip(&energy) {
                    let part = dot(&vector, w);
                    for (x, y) in vector.iter_mut().zip(v) {
                        *x -= part * y;
                    }
                }
            }
        }
        Ok(tridiagonal(&diagonal, &beside))
    }
}

/// Eigenvalues of a symmetric tridiagonal matrix, largest first, each with the last entry of its
/// vector times the last value beside the diagonal.
fn tridiagonal(diagonal: &[f64], beside: &[f64]) -> Vec<(f64, f64)> {
    let n = diagonal.len();
    let mut rows = vec![0.0; n * n];
    for i in 0..n {
        rows[i * n + i] = diagonal[i];
        if i + 1 < n {
            rows[i * n + i + 1] = beside[i];
            rows[(i + 1) * n + i] = beside[i];
        }
    }
    let rest = if beside.len() == n { beside[n - 1] } else { 0.0 };
    let Some(eigen) = symmetric_eigen(n, &rows) else { return Vec::new() };
    let last = eigen.vectors.iter().map(|v| v.last().map_or(0.0, |x| x.abs() * rest));
    let mut pairs: Vec<(f64, f64)> = eigen.values.into_iter().zip(last).collect();
    pairs.reverse();
    pairs
}
