//! The plain way: the matrix of all unknowns of a stage at once, by the general sparse solver.
//!
//! Nothing is condensed, no tree is known, nothing is taken over from a stage, a round or a matrix
//! before: pieces are summed into one sparse matrix, its order of elimination is found anew (to keep fill
//! low, by minimum degree), and it is factorised and solved by `crate::mechanics::linalg`. Of the kept way it
//! shares the pieces themselves, so that it checks the elimination and the solution, and what is kept
//! of them, and says nothing of the elements.

use super::answers::{Found, Load, Moved};
use super::factor::{Piece, Pieces};
use super::front::Pivots;
use super::shapes::Shape;
use super::strands::Plan;
use crate::mechanics::linalg::{Ldl, Pattern};
use std::sync::Arc;
use std::time::{Duration, Instant};

/// A factor of all unknowns of a stage.
#[derive(Debug)]
pub(super) struct Uncondensed {
    /// Shapes of the strands, with the descriptions of their parts.
    strands: Vec<(Arc<Shape>, Vec<u64>)>,
    /// Where the unknowns of each strand begin, and how many there are.
    first: Vec<usize>,
    count: usize,
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
        let mut count = 0;
        let mut first = Vec::with_capacity(shapes.len());
        let mut place = vec![usize::MAX; plan.strand_of.len()];
        for shape in shapes {
            first.push(count);
            for &unknown in &shape.own {
                place[unknown as usize] = count;
                count += 1;
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
        let sum = Pattern::of_sum(count, entries);
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
        let strands = plan.strands.iter().zip(shapes).map(|(strand, shape)| {
            let parts = plan.parts[strand.parts.clone()].iter();
            (Arc::clone(shape), parts.map(|&(_, part)| source.describe(part)).collect())
        });
        Self { strands: strands.collect(), first, count, ldl, pivots, ordering }
    }

    /// How many strands there are.
    pub(super) fn strands(&self) -> usize {
        self.strands.len()
    }

    /// By strand: whether another has it otherwise.
    pub(super) fn unlike(&self, other: &Self) -> Vec<bool> {
        // By key, as plans have their strands.
        let known = |shape: &Shape| {
            let at = other.strands.binary_search_by_key(&shape.key, |(shape, _)| shape.key).ok()?;
            other.strands.get(at)
        };
        let unlike = |(shape, described): &(Arc<Shape>, Vec<u64>)| {
            known(shape).is_none_or(|(then, under)| !then.is_as(shape) || under != described)
        };
        self.strands.iter().map(unlike).collect()
    }

    /// The inverse times vectors one after another; where there is none they are not numbers.
    pub(super) fn apply(&self, vectors: &mut [f64]) {
        let solved = self.ldl.as_ref().is_some_and(|ldl| ldl.solve(vectors).is_ok());
        if !solved {
            vectors.fill(f64::NAN);
        }
    }

    /// Solves several cases, as [`super::factor::Factor::solve`].
    pub(super) fn solve(
        &self,
        cases: &[Vec<Load>],
        asked: impl Fn(usize, u32) -> bool,
        found: &mut Found<'_>,
    ) {
        let n = self.count;
        let mut all = vec![0.0; n * cases.len()];
        for (case, loads) in cases.iter().enumerate() {
            for &(strand, place, value) in loads.iter().filter(|load| asked(case, load.0)) {
                all[case * n + self.first[strand as usize] + place as usize] += value;
            }
        }
        self.apply(&mut all);
        for case in 0..cases.len() {
            for ((strand, from), (shape, _)) in (0..).zip(&self.first).zip(&self.strands) {
                if asked(case, strand) {
                    let at = case * n + from;
                    let values = &all[at..at + shape.own.len()];
                    found(Moved::of(&(case, 0), &shape.own, values));
                }
            }
        }
    }
}
