//! The dense kernel: eliminates the first unknowns of a symmetric front.

use crate::mechanics::linalg::widely;

/// Right-hand sides solved together.
pub const LANES: usize = 8;
/// One number of each of them.
pub type Lanes = [f64; LANES];

/// How the pivots of a front came out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pivots {
    pub negative: usize,
    /// Smallest pivot over the diagonal entry it started from, in absolute value.
    pub smallest: f64,
}

impl Pivots {
    pub const NONE: Self = Self { negative: 0, smallest: f64::INFINITY };

    pub fn join(&mut self, other: Self) {
        self.negative += other.negative;
        self.smallest = self.smallest.min(other.smallest);
    }
}

/// Unknowns eliminated together.
const PANEL: usize = 4;

/// Sum of products, in eight sums side by side.
#[inline(always)]
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 8];
    let (a_whole, b_whole) = (a.chunks_exact(8), b.chunks_exact(8));
    let rest: f64 = a_whole.remainder().iter().zip(b_whole.remainder()).map(|(a, b)| a * b).sum();
    for (a, b) in a_whole.zip(b_whole) {
        for (sum, (a, b)) in sums.iter_mut().zip(a.iter().zip(b)) {
            *sum += a * b;
        }
    }
    sums.iter().sum::<f64>() + rest
}

/// A symmetric matrix of which the first `own` unknowns are eliminated.
///
/// Column-major, lower triangle, leading dimension `n`. After [`Front::eliminate`] the first
/// `own` columns hold the unit lower factor below the diagonal and the pivots on it, the rest the
/// Schur complement.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Front {
    pub n: usize,
    pub own: usize,
    pub values: Vec<f64>,
}

impl Front {
    #[must_use]
    pub fn zeros(n: usize, own: usize) -> Self {
        Self { n, own, values: vec![0.0; n * n] }
    }

    /// Adds to an entry of the lower triangle, whichever way round it is named.
    pub fn add(&mut self, row: usize, column: usize, value: f64) {
        let (row, column) = if row >= column { (row, column) } else { (column, row) };
        self.values[column * self.n + row] += value;
    }

    #[must_use]
    pub fn at(&self, row: usize, column: usize) -> f64 {
        let (row, column) = if row >= column { (row, column) } else { (column, row) };
        self.values[column * self.n + row]
    }

    /// Eliminates the own unknowns, without pivoting: exact for definite matrices; for others the
    /// smallest relative pivot tells how far to trust it. A zero pivot gives `smallest` 0 and
    /// stops.
    pub fn eliminate(&mut self) -> Pivots {
        widely(|| self.eliminate_panels())
    }

    #[inline(always)]
    fn eliminate_panels(&mut self) -> Pivots {
        let n = self.n;
        let mut pivots = Pivots::NONE;
        let start: Vec<f64> = (0..self.own).map(|j| self.values[j * n + j].abs()).collect();
        let mut first = 0;
        while first < self.own {
            let last = (first + PANEL).min(self.own);
            if !self.eliminate_panel(first, last, &start, &mut pivots) {
                return pivots;
            }
            first = last;
        }
        pivots
    }

    /// Eliminates a few neighbouring unknowns: within their own columns first, then in all that
    /// follow at once, so that those are read and written once. False: a pivot vanished.
    #[inline(always)]
    fn eliminate_panel(
        &mut self,
        first: usize,
        last: usize,
        start: &[f64],
        pivots: &mut Pivots,
    ) -> bool {
        let n = self.n;
        let mut inverse = [0.0; PANEL];
        for j in first..last {
            let pivot = self.values[j * n + j];
            let scale = start[j].max(f64::MIN_POSITIVE);
            pivots.smallest = pivots.smallest.min(pivot.abs() / scale);
            if pivot == 0.0 || !pivot.is_finite() {
                pivots.smallest = 0.0;
                return false;
            }
            pivots.negative += usize::from(pivot < 0.0);
            inverse[j - first] = 1.0 / pivot;
            let (head, tail) = self.values.split_at_mut((j + 1) * n);
            let column = &head[j * n..];
            for k in j + 1..last {
                let factor = column[k] * inverse[j - first];
                if factor != 0.0 {
                    let target = &mut tail[(k - j - 1) * n + k..(k - j) * n];
                    for (t, c) in target.iter_mut().zip(&column[k..]) {
                        *t -= factor * c;
                    }
                }
            }
        }
        let (head, tail) = self.values.split_at_mut(last * n);
        let panel = &head[first * n..];
        for k in last..n {
            let mut factors = [0.0; PANEL];
            for (p, factor) in factors.iter_mut().enumerate().take(last - first) {
                *factor = panel[p * n + k] * inverse[p];
            }
            let target = &mut tail[(k - last) * n + k..(k - last + 1) * n];
            if last - first < PANEL {
                for (p, factor) in factors.iter().enumerate().take(last - first) {
                    for (t, c) in target.iter_mut().zip(&panel[p * n + k..(p + 1) * n]) {
                        *t -= factor * c;
                    }
                }
            } else if factors != [0.0; PANEL] {
                let [c0, c1, c2, c3] = [0, 1, 2, 3].map(|p| &panel[p * n + k..(p + 1) * n]);
                let columns = c0.iter().zip(c1).zip(c2).zip(c3);
                for (t, (((c0, c1), c2), c3)) in target.iter_mut().zip(columns) {
                    let mut value = *t - factors[0] * c0;
                    value -= factors[1] * c1;
                    value -= factors[2] * c2;
                    *t = value - factors[3] * c3;
                }
            }
        }
        for j in first..last {
            for value in &mut self.values[j * n + j + 1..(j + 1) * n] {
                *value *= inverse[j - first];
            }
        }
        true
    }

    /// Forward step of a solve: `own` part of the right-hand side in, reduced own part and the
    /// update of the boundary out.
    #[inline(always)]
    pub fn forward(&self, x: &mut [f64]) {
        for j in 0..self.own {
            let value = x[j];
            if value != 0.0 {
                let column = &self.values[j * self.n + j + 1..(j + 1) * self.n];
                for (t, l) in x[j + 1..].iter_mut().zip(column) {
                    *t -= l * value;
                }
            }
        }
    }

    /// [`Front::forward`] on several right-hand sides at once.
    #[allow(clippy::needless_range_loop, reason = "a row runs across the factor and x")]
    #[inline(always)]
    pub fn forward_lanes(&self, x: &mut [Lanes]) {
        let mut first = 0;
        while first < self.own {
            let last = (first + PANEL).min(self.own);
            for j in first..last {
                let value = x[j];
                for k in j + 1..last {
                    let l = self.values[j * self.n + k];
                    for (t, v) in x[k].iter_mut().zip(&value) {
                        *t -= l * v;
                    }
                }
            }
            let (known, rest) = x.split_at_mut(last);
            let column = |j: usize| &self.values[j * self.n + last..(j + 1) * self.n];
            if last - first == PANEL {
                let [v0, v1, v2, v3] = [0, 1, 2, 3].map(|p| known[first + p]);
                let [c0, c1, c2, c3] = [0, 1, 2, 3].map(|p| column(first + p));
                for ((((t, l0), l1), l2), l3) in rest.iter_mut().zip(c0).zip(c1).zip(c2).zip(c3) {
                    for k in 0..LANES {
                        let value = t[k] - l0 * v0[k] - l1 * v1[k];
                        t[k] = value - l2 * v2[k] - l3 * v3[k];
                    }
                }
            } else {
                for j in first..last {
                    let value = known[j];
                    for (t, l) in rest.iter_mut().zip(column(j)) {
                        for (t, v) in t.iter_mut().zip(&value) {
                            *t -= l * v;
                        }
                    }
                }
            }
            first = last;
        }
    }

    /// [`Front::backward`] on several right-hand sides at once.
    #[allow(clippy::needless_range_loop, reason = "a row runs across the factor and x")]
    #[inline(always)]
    pub fn backward_lanes(&self, x: &mut [Lanes]) {
        let mut last = self.own;
        while last > 0 {
            let first = last.saturating_sub(PANEL);
            let mut sums = [[0.0; LANES]; PANEL];
            let column = |j: usize| &self.values[j * self.n + last..(j + 1) * self.n];
            if last - first == PANEL {
                let [c0, c1, c2, c3] = [0, 1, 2, 3].map(|p| column(first + p));
                let [mut s0, mut s1, mut s2, mut s3] = [[0.0; LANES]; PANEL];
                for ((((t, l0), l1), l2), l3) in x[last..].iter().zip(c0).zip(c1).zip(c2).zip(c3) {
                    for k in 0..LANES {
                        s0[k] += l0 * t[k];
                        s1[k] += l1 * t[k];
                        s2[k] += l2 * t[k];
                        s3[k] += l3 * t[k];
                    }
                }
                sums = [s0, s1, s2, s3];
            } else {
                for j in first..last {
                    let sum = &mut sums[j - first];
                    for (t, l) in x[last..].iter().zip(column(j)) {
                        for (sum, t) in sum.iter_mut().zip(t) {
                            *sum += l * t;
                        }
                    }
                }
            }
            for j in (first..last).rev() {
                let mut rest = sums[j - first];
                for k in j + 1..last {
                    let l = self.values[j * self.n + k];
                    for (rest, t) in rest.iter_mut().zip(&x[k]) {
                        *rest += l * t;
                    }
                }
                let pivot = self.values[j * self.n + j];
                for (x, rest) in x[j].iter_mut().zip(&rest) {
                    *x = *x / pivot - rest;
                }
            }
            last = first;
        }
    }

    /// Backward step: boundary values known, own values found.
    #[inline(always)]
    pub fn backward(&self, x: &mut [f64]) {
        for j in (0..self.own).rev() {
            let column = &self.values[j * self.n + j + 1..(j + 1) * self.n];
            let rest = dot(&x[j + 1..], column);
            x[j] = x[j] / self.values[j * self.n + j] - rest;
        }
    }
}
