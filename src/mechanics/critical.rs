//! Critical load factors: how many lie below a given one, and the lowest with their modes.
//!
//! Counting (Sylvester 1852; for exact elements Wittrick and Williams, *Q. J. Mech. Appl. Math.*
//! 24 (1971) 263): the number of critical factors below λ is the number of negative pivots of
//! K(λ), plus, for every member, the number of its own critical factors below λ with its nodes
//! held. Every factor reported as critical was bracketed by two such counts.

use super::answers::{CriticalMode, Inertia, Unknown};
use super::frame::FrameError;
use super::frame_check;
use super::linalg::{Ldl, LdlError, margin};
use super::model::Model;

/// Steps above the factor asked for, tried where round-off could change the count.
const NUDGES: [f64; 4] = [0.0, 1e-9, 3e-8, 1e-6];
/// A pivot inside a member smaller than this part of its row is not counted on.
const WEAK: f64 = 1e-10;
/// Width, relative, of the bracket of a critical factor; within it the mode gives more digits.
const WIDTH: f64 = 1e-6;
/// Where round-off forbids that, a bracket this wide will do; where the condition forbids that, too, one as wide as
/// forces may be off, ten times the condition in round-off, but never wider than the second.
const COARSE: [f64; 2] = [1e-4, 1e-3];
/// How far below the value found each step of the approach counts, relative, and how closely it settles,
/// of the way that is left; the last brackets it.
const STEPS: [(f64, f64); 2] = [(0.1, 1e-3), (1e-3, 1e-5)];
const SETTLED: f64 = 1e-7;
/// Part of the first guess over which the softening is measured at the start.
const FIRST_STEP: f64 = 1e-2;
/// Factors are sought up to this multiple of the first guess.
const FAR: f64 = 1e15;

impl Model<'_> {
    /// Counts the critical load factors between zero and `factor`, all axial forces growing
    /// together from zero. A count of zero is the proof that the lowest is at least `factor`.
    ///
    /// # Errors
    /// Where the first-order stiffness is not surely positive definite, or round-off could change
    /// the count at `factor` and a little above.
    pub fn inertia(&self, axial: &[f64], factor: f64) -> Result<Inertia, Unknown> {
        frame_check::check_axial(self.frame, axial)?;
        if !factor.is_finite() {
            return Err(FrameError::Factor(factor).into());
        }
        self.is_regular()?;
        let mut last = Unknown::IllConditioned("not counted".into());
        for nudge in NUDGES {
            match self.count(axial, factor * (1.0 + nudge)) {
                Ok(inertia) => return Ok(inertia),
                Err(unknown) => last = unknown,
            }
        }
        Err(last)
    }

    fn count(&self, axial: &[f64], factor: f64) -> Result<Inertia, Unknown> {
        let stiffness = self.stiffness(Some((axial, factor)))?;
        if stiffness.weakest < WEAK {
            return Err(Unknown::IllConditioned("a member is at its own buckling load".into()));
        }
        let ldl = match Ldl::new(&self.pattern, &stiffness.values) {
            Ok(ldl) => ldl,
            Err(LdlError::Memory) => return Err(Unknown::Memory),
            Err(LdlError::ZeroPivot) => {
                return Err(Unknown::IllConditioned("a pivot of zero".into()));
            }
        };
        let margin = margin(&self.pattern, &stiffness.values, &ldl)?.times();
        if !(margin > 1.0) {
            return Err(Unknown::IllConditioned(format!(
                "an eigenvalue is within round-off of zero at factor {factor}"
            )));
        }
        let negative = ldl.negative() + stiffness.negative;
        Ok(Inertia { factor, negative, local: stiffness.negative, margin })
    }

    /// The `k` lowest critical load factors above zero, ascending, with their modes.
    ///
    /// # Errors
    /// [`Unknown::NoneUpTo`] where there are fewer than `k`; where an iteration does not end or
    /// round-off could change the answer.
    pub fn lowest(&self, axial: &[f64], k: usize) -> Result<Vec<CriticalMode>, Unknown> {
        frame_check::check_axial(self.frame, axial)?;
        let mut search = Search::new(self, axial, self.is_regular()?);
        if k > 0 {
            search.approach();
        }
        let mut found: Vec<CriticalMode> = Vec::new();
        while found.len() < k {
            let (low, high) = search.bracket(found.len() + 1)?;
            let modes = self.modes(axial, low, high, found.len())?;
            found.extend(modes);
        }
        found.truncate(k);
        Ok(found)
    }
}

/// Counts made so far, ascending by factor.
struct Search<'m> {
    model: &'m Model<'m>,
    axial: &'m [f64],
    counts: Vec<(f64, usize)>,
    /// Width, relative, of a bracket that will do.
    coarse: f64,
}

impl<'m> Search<'m> {
    fn new(model: &'m Model<'m>, axial: &'m [f64], condition: f64) -> Self {
        let [least, most] = COARSE;
        let coarse = (10.0 * f64::EPSILON * condition).clamp(least, most);
        Self { model, axial, counts: vec![(0.0, 0)], coarse }
    }

    fn count(&mut self, factor: f64) -> Result<(f64, usize), Unknown> {
        let inertia = self.model.inertia(self.axial, factor)?;
        let entry = (inertia.factor, inertia.negative);
        self.keep(entry);
        Ok(entry)
    }

    fn keep(&mut self, entry: (f64, usize)) {
        let at = self.counts.partition_point(|c| c.0 < entry.0);
        self.counts.insert(at, entry);
    }

    /// A bracket around the `k`-th critical factor: fewer than `k` below its low end, at least
    /// `k` below its high end.
    fn bracket(&mut self, k: usize) -> Result<(Bound, Bound), Unknown> {
        // Tension only stiffens.
        if !self.axial.iter().any(|n| *n < 0.0) {
            return Err(Unknown::NoneUpTo(f64::INFINITY));
        }
        let mut far = 0.93 * first_guess(self.model, self.axial);
        let limit = far * FAR;
        while self.counts.last().is_none_or(|c| c.1 < k) {
            if far > limit {
                return Err(Unknown::NoneUpTo(limit));
            }
            // Round numbers of half waves, where an element is at its own load, are stepped around.
            if self.count(far).is_err() {
                far *= 1.037;
                self.count(far)?;
            }
            far *= 1.9;
        }
        loop {
            let at = self.counts.partition_point(|c| c.1 < k);
            let (low, high) = (self.counts[at - 1], self.counts[at]);
            if high.0 - low.0 <= WIDTH * high.0 {
                return Ok((Bound::from(low), Bound::from(high)));
            }
            if !self.narrow(low.0, high.0)? {
                return Ok((Bound::from(low), Bound::from(high)));
            }
            if high.0 < f64::MIN_POSITIVE * 1e20 {
                return Err(Unknown::NotConverged("the lowest factor tends to zero".into()));
            }
        }
    }
}

impl Search<'_> {
    /// Makes for the lowest factor by a few steps of Lanczos from below, each nearer to it, and
    /// counts on both sides of where it seems to lie. What is not found so is found by halving:
    /// here only the work is saved, the bracket is made of counts either way.
    fn approach(&mut self) -> Option<()> {
        let first = first_guess(self.model, self.axial);
        if !first.is_finite() {
            return None;
        }
        let (mut low, mut step) = (0.0, FIRST_STEP * first);
        let mut begin = None;
        for (below, settled) in STEPS {
            let (factor, moved) = self.model.seems(self.axial, (low, step), begin, settled)?;
            begin = Some(moved);
            let (at, count) = self.count(factor * (1.0 - below)).ok()?;
            if count > 0 {
                return None;
            }
            (low, step) = (at, factor - at);
        }
        let (factor, _) = self.model.seems(self.axial, (low, step), begin, SETTLED)?;
        // Not evenly: the middle of the bracket must not be the factor itself.
        for side in [-0.5, 0.3] {
            self.count(factor * (1.0 + side * WIDTH)).ok()?;
        }
        Some(())
    }

    /// Counts once more inside a bracket. `false` where it is as narrow as round-off allows.
    fn narrow(&mut self, low: f64, high: f64) -> Result<bool, Unknown> {
        if low == 0.0 {
            return self.count(high / 16.0).map(|_| true);
        }
        // In the middle, or beside it where the middle is too near to a critical factor.
        let mut last = Unknown::NotConverged("a bracket without an inside".into());
        for part in [0.5, 0.3, 0.7, 0.15, 0.85, 0.05, 0.95] {
            let factor = low + part * (high - low);
            match self.model.count(self.axial, factor) {
                Ok(inertia) if inertia.factor > low && inertia.factor < high => {
                    self.keep((inertia.factor, inertia.negative));
                    return Ok(true);
                }
                Ok(_) => return Ok(false),
                Err(unknown) => last = unknown,
            }
        }
        if high - low <= self.coarse * high { Ok(false) } else { Err(last) }
    }
}

/// A factor and the count below it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bound {
    pub factor: f64,
    pub count: usize,
}

impl From<(f64, usize)> for Bound {
    fn from((factor, count): (f64, usize)) -> Self {
        Self { factor, count }
    }
}

/// The factor at which the most compressed member, alone between pins, would buckle; or where
/// nothing bends, at which its force would be its axial stiffness times its length.
fn first_guess(model: &Model<'_>, axial: &[f64]) -> f64 {
    let mut guess = f64::INFINITY;
    for (element, n) in model.elements.iter().zip(axial) {
        if *n >= 0.0 {
            continue;
        }
        let bending = element.bending[0].min(element.bending[1]);
        let euler = std::f64::consts::PI.powi(2) * bending / (element.length * element.length);
        let own = if bending > 0.0 { euler } else { element.axial * element.length };
        guess = guess.min(own / n.abs());
    }
    guess
}
