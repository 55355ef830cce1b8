//! The plain way: the matrix of all unknowns of a stage at once, by the general sparse solver.
//!
//! Nothing is condensed, no tree is known, nothing is taken over from a stage, a round or a matrix
//! before: pieces are summed into one sparse matrix, its order of elimination is found anew (to keep fill
//! low, by minimum degree), and it is factorised and solved by `crate::mechanics::linalg`. Of the kept way it
//! shares the pieces themselves, so that it checks the elimination and the solution, and what is kept
//! of them, and says nothing of the elements.

use super::answers::{Found, Load};
use super::factor::{Piece, Pieces};
use super::front::Pivots;
use super::strands::{Plan, Shape};
use crate::mechanics::linalg::{Ldl, Pattern};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A factor of all unknowns of a stage.
#[derive(Debug)]
pub(super) struct Uncondensed {
    /// Lasting numbers of the unknowns, strand after strand.
    own: Vec<u32>,
    /// Where each strand's begin.
    first: Vec<usize>,
    /// None where a pivot vanished or memory did not suffice; its pivots then say that nothing is sure.
    ldl: Option<Ldl<Box<Pattern>>>,
    pub(super) pivots: Pivots,
    /// Time that went into places and order.
    pub(super) ordering: Duration,
}

impl Uncondensed {
    /// Sums up the parts of a plan and factorises them. Negative pivots include what was condensed
    /// inside members; the smallest is held against the diagonal of the sum.
    pub(super) fn new<P: Pieces>(plan: &Plan, shapes: &[Arc<Shape>], source: &P) -> Self {
        let mut own = Vec::new();
        let mut first = Vec::with_capacity(shapes.len());
        let mut place = vec![usize::MAX; plan.strand_of.len()];
        for shape in shapes {
            first.push(own.len());
            for &unknown in &shape.own {
                place[unknown as usize] = own.len();
                own.push(unknown);
            }
        }
        let mut entries = Vec::new();
        let mut condensed = 0;
        for &(_, part) in &plan.parts {
            let Piece { dofs, values, condensed_negative } = source.make(part);
            condensed += condensed_negative;
            for (r, &row) in dofs.iter().enumerate() {
                for (c, &column) in dofs.iter().enumerate().take(r + 1) {
                    let value = values[r * dofs.len() + c];
                    if value != 0.0 {
                        entries.push((place[row as usize], place[column as usize], value));
                    }
                }
            }
        }
        let begun = Instant::now();
        let sum = Pattern::of_sum(own.len(), entries);
        let ordering = begun.elapsed();
        let factored = sum.and_then(|(pattern, values)| {
            let diagonal = pattern.diagonal(&values);
            Some((Ldl::new(Box::new(pattern), &values).ok()?, diagonal))
        });
        let mut pivots = Pivots { negative: condensed, smallest: 0.0 };
        let ldl = factored.map(|(ldl, diagonal)| {
            let share = |(row, pivot): (usize, f64)| {
                pivot.abs() / f64::max(diagonal[row].abs(), f64::MIN_POSITIVE)
            };
            pivots.smallest = ldl.pivots().map(share).fold(f64::INFINITY, f64::min);
            pivots.negative += ldl.negative();
            ldl
        });
        Self { own, first, ldl, pivots, ordering }
    }

    /// Solves several cases, as [`super::factor::Factor::solve`].
    pub(super) fn solve(&self, cases: &[Vec<Load>], found: &mut Found<'_>) {
        let n = self.own.len();
        let mut all = vec![0.0; n * cases.len()];
        for (case, loads) in cases.iter().enumerate() {
            for &(strand, place, value) in loads {
                all[case * n + self.first[strand as usize] + place as usize] += value;
            }
        }
        let solved = self.ldl.as_ref().is_some_and(|ldl| ldl.solve(&mut all).is_ok());
        if !solved {
            all.fill(f64::NAN);
        }
        for case in 0..cases.len() {
            found(case, &self.own, &all[case * n..(case + 1) * n]);
        }
    }
}
