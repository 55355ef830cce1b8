//! The factorisation L·D·Lᵀ, without pivoting and without regularisation.
//!
//! The count of negative entries of D is the count of negative eigenvalues (Sylvester's law of
//! inertia) of a matrix that differs from the given one by round-off. How much that is, and
//! whether it matters, is for [`super::margin`] to say.

use faer::dyn_stack::{MemBuffer, MemStack, StackReq};
use faer::linalg::cholesky::ldlt::factor::LdltRegularization;
use faer::sparse::linalg::cholesky::simplicial::SimplicialLdltRef;
use faer::sparse::linalg::cholesky::supernodal::SupernodalLdltRef;
use faer::sparse::linalg::cholesky::{LdltRef, SymbolicCholeskyRaw};
use faer::{Conj, MatMut, Par, Side, Spec};

use super::Pattern;
use std::ops::Deref;

/// Why a matrix was not factorised.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LdlError {
    /// A pivot was exactly zero, or something was not a finite number.
    ZeroPivot,
    /// Not enough memory.
    Memory,
}

/// A factorised symmetric matrix, with its places borrowed or its own.
#[derive(Debug)]
pub struct Ldl<P> {
    pattern: P,
    factor: Vec<f64>,
    /// The diagonal D, in the order of elimination.
    pivots: Vec<f64>,
}

impl<P: Deref<Target = Pattern>> Ldl<P> {
    /// Factorises the matrix with these values.
    ///
    /// # Errors
    /// A pivot of zero, or memory.
    pub fn new(pattern: P, values: &[f64]) -> Result<Self, LdlError> {
        if values.iter().any(|v| !v.is_finite()) {
            return Err(LdlError::ZeroPivot);
        }
        let symbolic = &pattern.symbolic;
        let mut factor = vec![0.0; symbolic.len_val()];
        let params = Spec::default();
        let mut memory = buffer(symbolic.factorize_numeric_ldlt_scratch::<f64>(Par::Seq, params))?;
        symbolic
            .factorize_numeric_ldlt(
                &mut factor,
                pattern.matrix(values),
                Side::Upper,
                LdltRegularization::default(),
                Par::Seq,
                MemStack::new(&mut memory),
                params,
            )
            .map_err(|_| LdlError::ZeroPivot)?;
        let pivots = pivots(&pattern, &factor);
        if pivots.iter().any(|d| *d == 0.0 || !d.is_finite()) {
            return Err(LdlError::ZeroPivot);
        }
        Ok(Self { pattern, factor, pivots })
    }

    /// How many pivots are negative.
    #[must_use]
    pub fn negative(&self) -> usize {
        self.pivots.iter().filter(|d| **d < 0.0).count()
    }

    /// Magnitude of the largest pivot.
    #[must_use]
    pub fn largest(&self) -> f64 {
        self.pivots.iter().fold(0.0, |m: f64, d| m.max(d.abs()))
    }

    /// Row of the smallest pivot, and that pivot.
    #[must_use]
    pub fn weakest(&self) -> Option<(usize, f64)> {
        self.pivots().min_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
    }

    /// Row and pivot, in the order of elimination.
    pub fn pivots(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let order = self.pattern.symbolic.perm().map(|p| p.arrays().0);
        self.pivots.iter().enumerate().map(move |(k, d)| (order.map_or(k, |order| order[k]), *d))
    }

    /// Solves in place for one right-hand side, or several one after another.
    ///
    /// # Errors
    /// Memory.
    pub fn solve(&self, rhs: &mut [f64]) -> Result<(), LdlError> {
        let n = self.pattern.size();
        if n == 0 {
            return Ok(());
        }
        let columns = rhs.len() / n;
        let symbolic = &self.pattern.symbolic;
        let mut memory = buffer(symbolic.solve_in_place_scratch::<f64>(columns, Par::Seq))?;
        LdltRef::new(symbolic, &self.factor).solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(rhs, n, columns),
            Par::Seq,
            MemStack::new(&mut memory),
        );
        Ok(())
    }
}

fn buffer(need: StackReq) -> Result<MemBuffer, LdlError> {
    MemBuffer::try_new(need).map_err(|_| LdlError::Memory)
}

fn pivots(pattern: &Pattern, factor: &[f64]) -> Vec<f64> {
    match pattern.symbolic.raw() {
        SymbolicCholeskyRaw::Simplicial(symbolic) => {
            let values = SimplicialLdltRef::new(symbolic, factor).values();
            // The first value of a column of the lower triangle is its diagonal.
            symbolic.col_ptr()[..symbolic.ncols()].iter().map(|k| values[*k]).collect()
        }
        SymbolicCholeskyRaw::Supernodal(symbolic) => {
            let all = SupernodalLdltRef::new(symbolic, factor);
            let mut pivots = Vec::with_capacity(symbolic.ncols());
            for s in 0..symbolic.n_supernodes() {
                let block = all.supernode(s).val();
                pivots.extend((0..block.ncols()).map(|j| block[(j, j)]));
            }
            pivots
        }
    }
}
