//! Answers of a factor to loads.
//!
//! Each strand answers by itself, and keeps its last answers with the loads they answer.

use super::eliminated::Eliminated;
use super::factor::{Factor, Of};
use super::packed::Lanes;
use crate::mechanics::linalg::{Work, widely};
use std::ops::Range;
use std::sync::PoisonError;

/// Answers kept with a factor, where it has more unknowns than these.
const ANSWERS: usize = 12;
const SMALL: usize = 8;
/// Strands with more unknowns are worth a solve that follows the last one.
const FOLLOWED: usize = 128;
/// Right-hand sides solved together, and where there are fewer.
const MANY: usize = 8;
const FEW: usize = 4;

/// Loads on a strand and what they move, the oldest overwritten first.
#[derive(Debug, Default)]
pub(super) struct Answers {
    kept: Vec<[Vec<f64>; 2]>,
    oldest: usize,
}

/// A load on an unknown: strand, place in it, value.
pub type Load = (u32, u32, f64);

/// A load on a strand: case, place in it, value.
pub(super) type OnStrand = (usize, u32, f64);

/// What the unknowns of a strand come to, in some cases.
#[derive(Clone, Copy, Debug)]
pub struct Moved<'a> {
    /// Lasting numbers.
    pub unknowns: &'a [u32],
    /// Numbers of the cases, each with its place among the values of an unknown.
    pub cases: &'a [(usize, usize)],
    /// So many of each unknown, one unknown after another.
    values: &'a [f64],
    each: usize,
}

impl<'a> Moved<'a> {
    /// Of one case.
    pub(super) fn of(case: &'a (usize, usize), unknowns: &'a [u32], values: &'a [f64]) -> Self {
        Self { unknowns, cases: std::slice::from_ref(case), values, each: 1 }
    }

    /// Of some lanes.
    pub(super) fn of_lanes<const L: usize>(
        cases: &'a [(usize, usize)],
        unknowns: &'a [u32],
        values: &'a [Lanes<L>],
    ) -> Self {
        Self { unknowns, cases, values: values.as_flattened(), each: L }
    }

    /// Each unknown with its values.
    pub fn by_unknown(&self) -> impl Iterator<Item = (u32, &'a [f64])> {
        self.unknowns.iter().copied().zip(self.values.chunks_exact(self.each))
    }
}

/// Takes answers of a strand.
pub type Found<'a> = dyn FnMut(Moved<'_>) + 'a;

impl Factor {
    /// Solves several cases. `found` gets what the unknowns of a strand come to; a strand on which a case puts
    /// no load stays at rest.
    /// `asked`: of which case which strands; of the others nothing is said.
    pub fn solve(
        &self,
        cases: &[Vec<Load>],
        asked: impl Fn(usize, u32) -> bool,
        found: &mut Found<'_>,
    ) {
        self.solve_by(cases, asked, found, false);
    }

    /// The same where each case, known by its number, is nearly what it was the last time: only what is
    /// loaded otherwise is summed up again.
    pub fn follow(
        &self,
        cases: &[Vec<Load>],
        asked: impl Fn(usize, u32) -> bool,
        found: &mut Found<'_>,
    ) {
        self.solve_by(cases, asked, found, true);
    }

    /// The inverse times some vectors, each with the unknowns of all strands one after another. Nothing
    /// is kept.
    #[must_use]
    pub fn apply(&self, mut vectors: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
        let strands = match &self.of {
            Of::Strands(strands) => strands,
            Of::Uncondensed(all) => {
                vectors.iter_mut().for_each(|vector| all.apply(vector));
                return vectors;
            }
        };
        let mut from = 0;
        for strand in strands.iter() {
            let own = from..from + strand.shape.own.len();
            from = own.end;
            for some in vectors.chunks_mut(FEW) {
                let loads: Vec<(usize, &[f64])> =
                    some.iter().map(|vector| (0, &vector[own.clone()])).collect();
                let moved = match loads.len() {
                    1 => strand.together::<1>(&loads),
                    _ => strand.together::<FEW>(&loads),
                };
                for (vector, moved) in some.iter_mut().zip(moved) {
                    vector[own.clone()].copy_from_slice(&moved);
                }
            }
        }
        vectors
    }

    fn solve_by(
        &self,
        cases: &[Vec<Load>],
        asked: impl Fn(usize, u32) -> bool,
        found: &mut Found<'_>,
        follow: bool,
    ) {
        let strands = match &self.of {
            Of::Strands(strands) => strands,
            Of::Uncondensed(all) => return all.solve(cases, asked, found),
        };
        // By strand: cases that load it; by case: what it puts on the strand.
        let mut loaded: Vec<(u32, usize, Range<usize>)> = Vec::new();
        let mut on = Vec::new();
        let mut at = vec![usize::MAX; strands.len()];
        // The same of strands that follow their last solve, and where each of those is among them.
        let mut followed: Vec<(u32, Vec<OnStrand>)> = Vec::new();
        let mut follows = vec![usize::MAX; if follow { strands.len() } else { 0 }];
        for (case, loads) in cases.iter().enumerate() {
            let first = loaded.len();
            for &(strand, place, value) in loads.iter().filter(|load| asked(case, load.0)) {
                if follow && strands.unknowns(strand as usize) > FOLLOWED {
                    let at = &mut follows[strand as usize];
                    if *at == usize::MAX {
                        *at = followed.len();
                        followed.push((strand, Vec::new()));
                    }
                    followed[*at].1.push((case, place, value));
                    continue;
                }
                let known = &mut at[strand as usize];
                if *known == usize::MAX {
                    *known = loaded.len();
                    let from = on.len();
                    on.resize(from + strands.unknowns(strand as usize), 0.0);
                    loaded.push((strand, case, from..on.len()));
                }
                on[loaded[*known].2.start + place as usize] += value;
            }
            for (strand, ..) in &loaded[first..] {
                at[*strand as usize] = usize::MAX;
            }
        }
        for (strand, loads) in followed {
            strands.strand(strand as usize).follow(&loads, found);
        }
        loaded.sort_unstable_by_key(|(strand, case, _)| (*strand, *case));
        let mut cases = Vec::new();
        for some in loaded.chunk_by(|a, b| a.0 == b.0) {
            cases.clear();
            cases.extend(some.iter().map(|(_, case, at)| (*case, &on[at.clone()])));
            cases.retain(|(_, loads): &(usize, &[f64])| loads.iter().any(|l| *l != 0.0));
            let Some((strand, ..)) = some.first() else { continue };
            strands.strand(*strand as usize).answer(&cases, found);
        }
    }
}

impl Eliminated {
    fn answer(&self, cases: &[(usize, &[f64])], found: &mut Found<'_>) {
        let own = &self.shape.own;
        let small = own.len() <= SMALL;
        let mut answers = self.answers.lock().unwrap_or_else(PoisonError::into_inner);
        let mut open = Vec::with_capacity(cases.len());
        for &(case, loads) in cases {
            match answers.kept.iter().find(|[known, _]| known == loads) {
                Some([_, moved]) => found(Moved::of(&(case, 0), own, moved)),
                None => open.push((case, loads)),
            }
        }
        for some in open.chunks(MANY) {
            let moved = match some.len() {
                1 => self.together::<1>(some),
                2..=FEW => self.together::<FEW>(some),
                _ => self.together::<MANY>(some),
            };
            for (&(case, loads), moved) in some.iter().zip(moved) {
                found(Moved::of(&(case, 0), own, &moved));
                if !small {
                    answers.keep(loads.to_vec(), moved);
                }
            }
        }
    }

    /// At most `L` right-hand sides.
    fn together<const L: usize>(&self, cases: &[(usize, &[f64])]) -> Vec<Vec<f64>> {
        let mut x: Vec<Lanes<L>> = vec![[0.0; L]; self.shape.own.len()];
        for (lane, (_, loads)) in cases.iter().enumerate() {
            for (x, load) in x.iter_mut().zip(*loads) {
                x[lane] = *load;
            }
        }
        widely(Together { factor: self, x: &mut x });
        (0..cases.len()).map(|lane| x.iter().map(|x| x[lane]).collect()).collect()
    }

    #[inline(always)]
    fn solve_in<const L: usize>(&self, x: &mut [Lanes<L>]) {
        let mut local: Vec<Lanes<L>> = Vec::new();
        let mut from = 0;
        // Children before parents.
        for made in &self.fronts {
            let at = &self.at[from..from + made.dofs.len()];
            from += made.dofs.len();
            let (own, boundary) = at.split_at(made.front.own);
            local.clear();
            local.extend(own.iter().map(|&d| x[d as usize]));
            local.resize(at.len(), [0.0; L]);
            made.front.forward(&mut local);
            made.front.divide(&mut local);
            for (&dof, local) in own.iter().zip(&local) {
                x[dof as usize] = *local;
            }
            for (&dof, local) in boundary.iter().zip(&local[own.len()..]) {
                for (x, l) in x[dof as usize].iter_mut().zip(local) {
                    *x += l;
                }
            }
        }
        for made in self.fronts.iter().rev() {
            let at = &self.at[from - made.dofs.len()..from];
            from -= made.dofs.len();
            local.clear();
            local.extend(at.iter().map(|&d| x[d as usize]));
            made.front.backward(&mut local);
            for (&dof, local) in at[..made.front.own].iter().zip(&local) {
                x[dof as usize] = *local;
            }
        }
    }
}

impl Answers {
    fn keep(&mut self, loads: Vec<f64>, moved: Vec<f64>) {
        if self.kept.len() < ANSWERS {
            self.kept.push([loads, moved]);
            return;
        }
        self.kept[self.oldest] = [loads, moved];
        self.oldest = (self.oldest + 1) % ANSWERS;
    }
}

/// A solve of several right-hand sides.
struct Together<'a, const L: usize> {
    factor: &'a Eliminated,
    x: &'a mut [Lanes<L>],
}

impl<const L: usize> Work for Together<'_, L> {
    type Answer = ();
    #[inline(always)]
    fn work(self) {
        self.factor.solve_in(self.x);
    }
}
