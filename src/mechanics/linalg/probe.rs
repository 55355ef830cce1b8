//! How far a factorised matrix is from having another count of negative eigenvalues.
//!
//! The count read from the pivots is that of `A + E`, with `E` from round-off. It is that of `A`
//! as well where the eigenvalue of `A` nearest to zero is larger than `E`. Both are measured:
//! the eigenvalue by inverse iteration, `E` from residuals. For `x̂` with `(A + E) x̂ = b` the
//! residual is `A x̂ - b = -E x̂`, so `|A x̂ - b| / |x̂|` is how large `E` is in the direction `x̂`.
//! Directions tried: random right-hand sides, right-hand sides made of random answers, and the
//! iterates of the inverse iteration, which lean towards where it matters. Pivots larger than the
//! matrix are a sign of growth that such probes could miss, and count in full.

use super::{Ldl, LdlError, Pattern};
use std::ops::Deref;

/// What the probes measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// Magnitude of the eigenvalue nearest to zero (an estimate from above).
    pub nearest: f64,
    /// Size of the round-off, with a safety factor.
    pub round_off: f64,
}

impl Margin {
    /// How many times the round-off fits between the nearest eigenvalue and zero.
    #[must_use]
    pub fn times(&self) -> f64 {
        self.nearest / self.round_off
    }
}

/// Inverse iterations: enough to come within a small factor of the nearest eigenvalue.
const ITERATIONS: usize = 6;
/// Round-off of the entries themselves, and of a few sums, in units of ε times the norm.
const ENTRIES: f64 = 2.0;
/// The estimate of the nearest eigenvalue is from above and that of the round-off from below.
const SAFETY: f64 = 10.0;

/// Measures the margin of a factorised matrix.
///
/// # Errors
/// Memory.
pub fn margin<P: Deref<Target = Pattern>>(
    pattern: &Pattern,
    values: &[f64],
    ldl: &Ldl<P>,
) -> Result<Margin, LdlError> {
    let n = pattern.size();
    if n == 0 {
        return Ok(Margin { nearest: f64::INFINITY, round_off: 1.0 });
    }
    let norm = pattern.norm(values);
    let mut error: f64 = 0.0;
    let mut nearest = f64::INFINITY;
    let mut product = vec![0.0; n];

    // A right-hand side made of a random answer: E seen in a random direction.
    let answer = random_vector(n, 1);
    pattern.multiply(values, &answer, &mut product);
    let mut found = product.clone();
    ldl.solve(&mut found)?;
    error = error.max(residual(pattern, values, &found, &product));

    let mut x = random_vector(n, 2);
    for _ in 0..ITERATIONS {
        let size = length(&x);
        if !(size > 0.0 && size.is_finite()) {
            return Ok(Margin { nearest: 0.0, round_off: norm });
        }
        x.iter_mut().for_each(|v| *v /= size);
        let b = x.clone();
        ldl.solve(&mut x)?;
        error = error.max(residual(pattern, values, &x, &b));
        nearest = nearest.min(1.0 / length(&x));
    }
    let growth = (ldl.largest() / norm).max(1.0);
    let round_off = (SAFETY * error).max(ENTRIES * f64::EPSILON * norm) * growth;
    Ok(Margin { nearest, round_off })
}

fn residual(pattern: &Pattern, values: &[f64], x: &[f64], b: &[f64]) -> f64 {
    let mut product = vec![0.0; x.len()];
    pattern.multiply(values, x, &mut product);
    let difference: f64 = product.iter().zip(b).map(|(p, q)| (p - q) * (p - q)).sum();
    let size = length(x);
    if size > 0.0 && size.is_finite() { difference.sqrt() / size } else { f64::INFINITY }
}

fn length(x: &[f64]) -> f64 {
    x.iter().map(|v| v * v).sum::<f64>().sqrt()
}

/// The same "random" numbers between -1 and 1 for the same seed, on every machine.
#[must_use]
pub fn random_vector(n: usize, seed: u64) -> Vec<f64> {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x2545_f491_4f6c_dd1d;
    (0..n)
        .map(|_| {
            // SplitMix64 (Steele, Lea, Flood 2014).
            state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
            let mut z = state;
            z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
            z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
            z ^= z >> 31;
            (z >> 11) as f64 / (1u64 << 52) as f64 - 1.0
        })
        .collect()
}
