//! All eigenvalues and vectors of a small symmetric matrix.

use faer::{Mat, Side};

/// Eigenvalues, ascending, and the vectors that go with them.
#[derive(Clone, Debug, PartialEq)]
pub struct SymmetricEigen {
    pub values: Vec<f64>,
    pub vectors: Vec<Vec<f64>>,
}

/// Solves the eigenvalue problem of the symmetric `n × n` matrix given row by row. `None` where
/// the iteration did not end.
#[must_use]
pub fn symmetric_eigen(n: usize, rows: &[f64]) -> Option<SymmetricEigen> {
    if rows.iter().any(|v| !v.is_finite()) {
        return None;
    }
    let matrix = Mat::from_fn(n, n, |i, j| rows[i * n + j]);
    let eigen = matrix.self_adjoint_eigen(Side::Lower).ok()?;
    let values = eigen.S();
    let vectors = eigen.U();
    Some(SymmetricEigen {
        values: (0..n).map(|k| values[k]).collect(),
        vectors: (0..n).map(|k| (0..n).map(|i| vectors[(i, k)]).collect()).collect(),
    })
}
