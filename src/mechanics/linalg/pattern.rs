//! The places of a sparse symmetric matrix and the order of its elimination.

use faer::Side;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, SymbolicCholesky, SymmetricOrdering, factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMat, SparseColMatRef, SymbolicSparseColMat, Triplet};

/// Upper triangle of a sparse symmetric matrix, column by column, with its symbolic
/// factorisation. Made once, used for every matrix with these places.
#[derive(Debug)]
pub struct Pattern {
    upper: SymbolicSparseColMat<usize>,
    pub(super) symbolic: SymbolicCholesky<usize>,
}

impl Pattern {
    /// From pairs `(row, column)`, in any order, repeated or not; the diagonal is always there.
    /// `None` where memory does not suffice.
    #[must_use]
    pub fn new(n: usize, entries: &[(usize, usize)]) -> Option<Self> {
        let mut columns: Vec<Vec<usize>> = (0..n).map(|j| vec![j]).collect();
        for &(a, b) in entries {
            columns[a.max(b)].push(a.min(b));
        }
        let mut col_ptr = Vec::with_capacity(n + 1);
        let mut row_idx = Vec::with_capacity(entries.len());
        col_ptr.push(0);
        for column in &mut columns {
            column.sort_unstable();
            column.dedup();
            row_idx.extend_from_slice(column);
            col_ptr.push(row_idx.len());
        }
        Self::of(SymbolicSparseColMat::new_checked(n, n, col_ptr, None, row_idx))
    }

    /// Of a sum of entries `(row, column, value)` of either triangle, each named once, with the values
    /// of the sum; the diagonal is always there. `None` where memory does not suffice.
    #[must_use]
    pub fn of_sum(
        n: usize,
        entries: impl IntoIterator<Item = (usize, usize, f64)>,
    ) -> Option<(Self, Vec<f64>)> {
        let mut all: Vec<_> = (0..n).map(|j| Triplet::new(j, j, 0.0)).collect();
        all.extend(entries.into_iter().map(|(a, b, v)| Triplet::new(a.min(b), a.max(b), v)));
        let sum = SparseColMat::try_new_from_triplets(n, n, &all).ok()?;
        let (upper, values) = sum.into_parts();
        Some((Self::of(upper)?, values))
    }

    fn of(upper: SymbolicSparseColMat<usize>) -> Option<Self> {
        let symbolic = factorize_symbolic_cholesky(
            upper.as_ref(),
            Side::Upper,
            SymmetricOrdering::Amd,
            CholeskySymbolicParams::default(),
        )
        .ok()?;
        Some(Self { upper, symbolic })
    }

    /// Number of rows.
    #[must_use]
    pub fn size(&self) -> usize {
        self.upper.ncols()
    }

    /// Number of stored values.
    #[must_use]
    pub fn len(&self) -> usize {
        self.upper.row_idx().len()
    }

    /// Number of values in the factor.
    #[must_use]
    pub fn factor_len(&self) -> usize {
        self.symbolic.len_val()
    }

    /// Where the value at `(a, b)` is stored, if it is.
    #[must_use]
    pub fn slot(&self, a: usize, b: usize) -> Option<usize> {
        let (row, column) = (a.min(b), a.max(b));
        let start = self.upper.col_ptr()[column];
        let end = self.upper.col_ptr()[column + 1];
        self.upper.row_idx()[start..end].binary_search(&row).ok().map(|k| start + k)
    }

    /// Row and column of every stored value, in the order of storing.
    pub fn places(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let (col_ptr, row_idx) = (self.upper.col_ptr(), self.upper.row_idx());
        (0..self.size())
            .flat_map(move |j| (col_ptr[j]..col_ptr[j + 1]).map(move |k| (row_idx[k], j)))
    }

    /// Diagonal of the matrix with these values.
    #[must_use]
    pub fn diagonal(&self, values: &[f64]) -> Vec<f64> {
        // The diagonal is the last of its column in the upper triangle.
        (0..self.size()).map(|j| values[self.upper.col_ptr()[j + 1] - 1]).collect()
    }

    /// `y = A x`.
    pub fn multiply(&self, values: &[f64], x: &[f64], y: &mut [f64]) {
        y.fill(0.0);
        let (col_ptr, row_idx) = (self.upper.col_ptr(), self.upper.row_idx());
        for j in 0..self.size() {
            let last = col_ptr[j + 1] - 1;
            let mut sum = values[last] * x[j];
            for k in col_ptr[j]..last {
                let i = row_idx[k];
                sum += values[k] * x[i];
                y[i] += values[k] * x[j];
            }
            y[j] += sum;
        }
    }

    /// Largest sum of magnitudes in a row: a bound of every eigenvalue.
    #[must_use]
    pub fn norm(&self, values: &[f64]) -> f64 {
        let mut sums = vec![0.0; self.size()];
        for ((i, j), v) in self.places().zip(values) {
            sums[i] += v.abs();
            if i != j {
                sums[j] += v.abs();
            }
        }
        sums.into_iter().fold(0.0, f64::max)
    }

    pub(super) fn matrix<'a>(&'a self, values: &'a [f64]) -> SparseColMatRef<'a, usize, f64> {
        SparseColMatRef::new(self.upper.as_ref(), values)
    }
}
