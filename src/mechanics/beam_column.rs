//! Moments along a prismatic piece under compression, from the moments at its ends.
//!
//! With m = EI·v″ the beam-column equation is m″ + k²·m = q, k² = C/EI, q the load across. Its
//! solution through both end moments is m = (m₀ − q/k²)·sin k(l − x)/sin kl + (m₁ − q/k²)·sin kx/
//! sin kl + q/k² (Timoshenko and Gere, *Theory of Elastic Stability*, 2nd ed., ch. 1; from memory,
//! checked against the secant formula in the tests).

/// Places along the piece at which the moment is known, both ends included.
pub const SAMPLES: usize = 9;
/// One number at each of them.
pub type Along = [f64; SAMPLES];
/// A piece compressed to more than this share of π in k·l is too near its own buckling load.
const NEAR: f64 = 0.95;
/// Below this k·l the piece bends as if it were not compressed.
const SLIGHT: f64 = 1e-3;

/// How end moments and load spread along one piece.
#[derive(Clone, Copy, Debug)]
pub struct Profile {
    first: Along,
    second: Along,
    load: Along,
    /// Square of the spacing over eight, and k².
    between: f64,
    square: f64,
}

impl Profile {
    /// `None` where the compression is too near the buckling load of the piece with pinned ends,
    /// or not a number.
    #[must_use]
    pub fn new(ei: f64, length: f64, compression: f64) -> Option<Self> {
        let square = compression.max(0.0) / ei;
        let turn = square.sqrt() * length;
        if !(turn < NEAR * std::f64::consts::PI && compression.is_finite()) {
            return None;
        }
        let (mut first, mut second, mut load) = ([0.0; SAMPLES], [0.0; SAMPLES], [0.0; SAMPLES]);
        let share = |i: usize| i as f64 / (SAMPLES - 1) as f64;
        let slight = turn < SLIGHT;
        let sines: Along =
            std::array::from_fn(|i| if slight { 0.0 } else { (turn * share(i)).sin() });
        for i in 0..SAMPLES {
            if slight {
                let share = share(i);
                first[i] = 1.0 - share;
                second[i] = share;
                load[i] = -0.5 * share * (1.0 - share) * length * length;
            } else {
                first[i] = sines[SAMPLES - 1 - i] / sines[SAMPLES - 1];
                second[i] = sines[i] / sines[SAMPLES - 1];
                load[i] = (1.0 - first[i] - second[i]) / square;
            }
        }
        let spacing = length / (SAMPLES - 1) as f64;
        Some(Self { first, second, load, between: spacing * spacing / 8.0, square })
    }

    /// Moments for end moments and a uniform load.
    #[must_use]
    pub fn moments(&self, ends: [f64; 2], load: f64) -> Along {
        std::array::from_fn(|i| {
            ends[0] * self.first[i] + ends[1] * self.second[i] + load * self.load[i]
        })
    }

    /// By how much the moment may be larger between two places than on the straight line between
    /// them: |m″| is at most k²·|m| + |q|, and a curve leaves its chord by at most h²/8 of that.
    #[must_use]
    pub fn bulge(&self, moments: &Along, load: f64) -> f64 {
        let largest = moments.iter().fold(0.0f64, |a, m| a.max(m.abs()));
        self.between * (self.square * largest + load.abs()) / (1.0 - self.between * self.square)
    }
}
