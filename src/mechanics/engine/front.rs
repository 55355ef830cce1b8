//! The dense kernel: eliminates the first unknowns of a symmetric front.

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
        let n = self.n;
        let mut pivots = Pivots::NONE;
        let start: Vec<f64> = (0..self.own).map(|j| self.values[j * n + j].abs()).collect();
        for j in 0..self.own {
            let pivot = self.values[j * n + j];
            let scale = start[j].max(f64::MIN_POSITIVE);
            pivots.smallest = pivots.smallest.min(pivot.abs() / scale);
            if pivot == 0.0 || !pivot.is_finite() {
                pivots.smallest = 0.0;
                return pivots;
            }
            pivots.negative += usize::from(pivot < 0.0);
            let inverse = 1.0 / pivot;
            let (head, tail) = self.values.split_at_mut((j + 1) * n);
            let column = &mut head[j * n + j + 1..];
            for k in 0..n - j - 1 {
                let factor = column[k] * inverse;
                if factor != 0.0 {
                    let target = &mut tail[k * n + j + 1 + k..(k + 1) * n];
                    for (t, c) in target.iter_mut().zip(&column[k..]) {
                        *t -= factor * c;
                    }
                }
            }
            for value in column.iter_mut() {
                *value *= inverse;
            }
        }
        pivots
    }

    /// Forward step of a solve: `own` part of the right-hand side in, reduced own part and the
    /// update of the boundary out.
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
    pub fn forward_lanes(&self, x: &mut [Lanes]) {
        for j in 0..self.own {
            let value = x[j];
            let column = &self.values[j * self.n + j + 1..(j + 1) * self.n];
            for (t, l) in x[j + 1..].iter_mut().zip(column) {
                for (t, v) in t.iter_mut().zip(&value) {
                    *t -= l * v;
                }
            }
        }
    }

    /// [`Front::backward`] on several right-hand sides at once.
    pub fn backward_lanes(&self, x: &mut [Lanes]) {
        for j in (0..self.own).rev() {
            let column = &self.values[j * self.n + j + 1..(j + 1) * self.n];
            let mut rest = [0.0; LANES];
            for (t, l) in x[j + 1..].iter().zip(column) {
                for (rest, t) in rest.iter_mut().zip(t) {
                    *rest += l * t;
                }
            }
            let pivot = self.values[j * self.n + j];
            for (x, rest) in x[j].iter_mut().zip(&rest) {
                *x = *x / pivot - rest;
            }
        }
    }

    /// Backward step: boundary values known, own values found.
    pub fn backward(&self, x: &mut [f64]) {
        for j in (0..self.own).rev() {
            let column = &self.values[j * self.n + j + 1..(j + 1) * self.n];
            let rest: f64 = x[j + 1..].iter().zip(column).map(|(t, l)| t * l).sum();
            x[j] = x[j] / self.values[j * self.n + j] - rest;
        }
    }
}
