//! The dense kernel: eliminates the first unknowns of a symmetric front.

use crate::mechanics::linalg::{Work, widely};
use std::ops::Range;

/// Pivots above this share of what they started from leave no doubt.
const CERTAIN: f64 = 1e-9;
/// Below this share they leave the count in doubt.
const DOUBTFUL: f64 = 1e-11;

/// How the pivots of a front came out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pivots {
    pub negative: usize,
    /// Smallest pivot over the diagonal entry it started from, in absolute value.
    pub smallest: f64,
}

impl Pivots {
    pub const NONE: Self = Self { negative: 0, smallest: f64::INFINITY };

    /// Whether they prove a matrix positive definite: none is negative, and none so small that round-off
    /// could decide.
    #[must_use]
    pub fn are_a_proof(&self) -> bool {
        self.negative == 0 && self.smallest > CERTAIN
    }

    /// Whether none is so small that the count of the negative ones is in doubt.
    #[must_use]
    pub fn are_certain(&self) -> bool {
        self.smallest > DOUBTFUL
    }

    pub fn join(&mut self, other: Self) {
        self.negative += other.negative;
        self.smallest = self.smallest.min(other.smallest);
    }
}

/// Unknowns eliminated together.
pub const PANEL: usize = 4;

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

struct Elimination<'a>(&'a mut Front);

impl Work for Elimination<'_> {
    type Answer = Pivots;
    #[inline(always)]
    fn work(self) -> Pivots {
        self.0.eliminate_panels()
    }
}

impl Front {
    #[must_use]
    pub fn zeros(n: usize, own: usize) -> Self {
        Self { n, own, values: vec![0.0; n * n] }
    }

    /// The same in room that is there.
    #[must_use]
    pub fn in_room(n: usize, own: usize, mut values: Vec<f64>) -> Self {
        values.clear();
        values.resize(n * n, 0.0);
        Self { n, own, values }
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
        widely(Elimination(self))
    }

    #[inline(always)]
    fn eliminate_panels(&mut self) -> Pivots {
        let n = self.n;
        let mut pivots = Pivots::NONE;
        let start: Vec<f64> = (0..self.own).map(|j| self.values[j * n + j].abs()).collect();
        let mut runs = Vec::new();
        let mut first = 0;
        while first < self.own {
            let last = (first + PANEL).min(self.own);
            if !self.eliminate_panel(first, last, &start, &mut pivots, &mut runs) {
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
        runs: &mut Vec<Range<usize>>,
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
        runs.clear();
        runs.extend(Runs { panel, n, count: last - first, from: last });
        for (at, run) in runs.iter().enumerate() {
            for k in run.clone() {
                let mut factors = [0.0; PANEL];
                for (p, factor) in factors.iter_mut().enumerate().take(last - first) {
                    *factor = panel[p * n + k] * inverse[p];
                }
                if factors == [0.0; PANEL] {
                    continue;
                }
                let [f0, f1, f2, f3] = factors.map(|f| -f);
                let column = &mut tail[(k - last) * n..(k - last + 1) * n];
                for run in &runs[at..] {
                    let rows = run.start.max(k)..run.end;
                    let target = &mut column[rows.clone()];
                    if last - first < PANEL {
                        for (p, factor) in factors.iter().enumerate().take(last - first) {
                            let source = &panel[p * n + rows.start..p * n + rows.end];
                            for (t, c) in target.iter_mut().zip(source) {
                                *t = c.mul_add(-factor, *t);
                            }
                        }
                        continue;
                    }
                    let [c0, c1, c2, c3] =
                        [0, 1, 2, 3].map(|p| &panel[p * n + rows.start..p * n + rows.end]);
                    let columns = c0.iter().zip(c1).zip(c2).zip(c3);
                    for (t, (((c0, c1), c2), c3)) in target.iter_mut().zip(columns) {
                        let value = c1.mul_add(f1, c0.mul_add(f0, *t));
                        *t = c3.mul_add(f3, c2.mul_add(f2, value));
                    }
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
}

/// Rows of a panel's columns in which some number is not zero, in runs.
struct Runs<'a> {
    /// So many columns of `n` rows.
    panel: &'a [f64],
    n: usize,
    count: usize,
    from: usize,
}

/// So few rows of zeros do not end a run.
const GAP: usize = 4;

impl Iterator for Runs<'_> {
    type Item = Range<usize>;

    #[inline(always)]
    fn next(&mut self) -> Option<Range<usize>> {
        let full = |row: &usize| (0..self.count).any(|p| self.panel[p * self.n + row] != 0.0);
        let start = (self.from..self.n).find(full)?;
        let mut end = start + 1;
        while let Some(next) = (end..self.n.min(end + GAP)).find(full) {
            end = next + 1;
        }
        self.from = end;
        Some(start..end)
    }
}
