//! Whether a frame with one-way parts can balance its loads, and how far they may grow.
//!
//! Members are taken as of unlimited strength and no give, so this is the limit analysis of rigid
//! links: the lower-bound theorem (any balance of admissible forces carries the load) and the
//! upper-bound theorem (any admissible motion on which the load does more work than is resisted
//! brings it down) meet at the collapse factor. Both bounds are computed and held against one
//! another; where they do not meet, the answer is unknown. The sign-restricted rigidity of
//! tension-only frames (Baglivo and Graver, *Incidence and Symmetry in Design and Architecture*,
//! 1983) is the same program without loads.

use super::answers::Unknown;
use super::cone_program::{Outcome, Program};
use super::frame::{Frame, LoadCase};
use super::linalg::symmetric_eigen;
use super::one_way::{OneWay, Split, load_work, ray_work, split};

/// Lower and upper bound must agree to this.
const AGREE: f64 = 1e-5;
/// Admissible motion violated by less than this is admissible.
const ADMISSIBLE: f64 = 1e-6;
/// Slack below this is none, and above the other is some.
const NO_SLACK: f64 = 1e-7;
const SLACK: f64 = 1e-5;

/// The one-way limit analysis of a frame, ready for many loads.
#[derive(Clone, Debug)]
pub struct Limit<'f> {
    frame: &'f Frame,
    split: Split,
    /// Work of each ray on each motion, motion by motion.
    work: Vec<Vec<f64>>,
}

/// How far a push may grow.
#[derive(Clone, Debug, PartialEq)]
pub enum Collapse {
    /// At this factor of the push it goes, in this motion (largest translation one).
    At { factor: f64, motion: Vec<[f64; 6]> },
    /// No factor brings it down: the push is carried by parts that act both ways, or presses the
    /// one-way parts home.
    Never,
    /// It cannot balance the dead load alone; it goes in this motion.
    Already { motion: Vec<[f64; 6]> },
}

/// Whether any admissible motion is left, loads aside.
#[derive(Clone, Debug, PartialEq)]
pub enum Held {
    /// None: however small the load, it is carried.
    Yes,
    /// This motion meets no resistance.
    No { motion: Vec<[f64; 6]> },
}

impl<'f> Limit<'f> {
    /// Splits the frame into what acts both ways and one-way parts.
    ///
    /// # Errors
    /// What [`Frame::check`] says; a part that does not exist; a two-way part whose free motions
    /// cannot be told.
    pub fn new(frame: &'f Frame, parts: &[OneWay]) -> Result<Self, Unknown> {
        let split = split(frame, parts)?;
        let work = split
            .motions
            .iter()
            .map(|motion| split.rays.iter().map(|ray| ray_work(ray, motion)).collect())
            .collect();
        Ok(Self { frame, split, work })
    }

    /// How many independent motions the two-way part has.
    #[must_use]
    pub fn freedom(&self) -> usize {
        self.split.motions.len()
    }

    /// Whether the one-way parts alone leave no motion: not in their linear span, and not one way.
    ///
    /// # Errors
    /// Where the program does not come to a clear answer.
    pub fn held(&self) -> Result<Held, Unknown> {
        let (m, k) = (self.freedom(), self.split.rays.len());
        if m == 0 {
            return Ok(Held::Yes);
        }
        if let Some(free) = self.unopposed()? {
            return Ok(Held::No { motion: self.motion(&free) });
        }
        // Stiemke: no motion is left exactly where some strictly positive forces balance.
        // Unknowns: slack s, forces; balance = 0; s ≤ force ≤ 1.
        let mut program = Program::new(1 + k);
        for row in &self.work {
            program.equal(row.iter().enumerate().map(|(j, w)| (1 + j, *w)).collect(), 0.0);
        }
        for j in 0..k {
            program.at_most(vec![(0, 1.0), (1 + j, -1.0)], 0.0);
            program.at_most(vec![(1 + j, 1.0)], 1.0);
        }
        program.at_most(vec![(0, -1.0)], 0.0);
        let answer = program.maximise(0)?;
        let Some(slack) = answer.value else {
            return Err(Unknown::NotConverged("slack of one-way parts".into()));
        };
        if slack > SLACK {
            return Ok(Held::Yes);
        }
        if slack > NO_SLACK {
            return Err(Unknown::NotConverged(format!("one-way parts with a slack of {slack:e}")));
        }
        let q = unit_size(&answer.multipliers[..m]);
        if self.violation(&q) > ADMISSIBLE {
            return Err(Unknown::NotConverged("a one-way motion that is not admissible".into()));
        }
        Ok(Held::No { motion: self.motion(&q) })
    }

    /// The factor of `push` at which the frame under `dead` goes.
    ///
    /// # Errors
    /// Loads that do not fit, or bounds that do not meet.
    pub fn collapse(&self, dead: &LoadCase, push: &LoadCase) -> Result<Collapse, Unknown> {
        self.frame.check_case(dead)?;
        self.frame.check_case(push)?;
        let works = |case: &LoadCase| -> Vec<f64> {
            self.split.motions.iter().map(|u| load_work(self.frame, case, u)).collect()
        };
        let (dead, push) = (works(dead), works(push));
        let largest = |v: &[f64]| v.iter().fold(0.0, |m: f64, x| m.max(x.abs()));
        let (dead_size, push_size) = (largest(&dead), largest(&push));
        // Forces in units of the dead load; the factor in the unit that makes the push as large.
        let unit = if dead_size > 0.0 { dead_size } else { 1.0 };
        let step = if push_size > 0.0 { unit / push_size } else { 1.0 };
        let k = self.split.rays.len();
        let mut program = Program::new(1 + k);
        for (i, row) in self.work.iter().enumerate() {
            let mut entries = vec![(0, push[i] / unit * step)];
            entries.extend(row.iter().enumerate().map(|(j, w)| (1 + j, *w)));
            program.equal(entries, -dead[i] / unit);
        }
        for j in 0..=k {
            program.at_most(vec![(j, -1.0)], 0.0);
        }
        let answer = program.maximise(0)?;
        let q = unit_size(&answer.multipliers[..self.freedom()]);
        let work = |load: &[f64]| q.iter().zip(load).map(|(a, b)| a * b).sum::<f64>();
        match answer.outcome {
            Outcome::Solved => {
                let factor = answer.value.unwrap_or(0.0) * step;
                self.meet(factor, step, work(&dead), work(&push), &q)
            }
            Outcome::Unbounded => Ok(Collapse::Never),
            Outcome::Infeasible => {
                // The motion must be admissible and the dead load do work on it.
                let size = largest(&q).max(f64::MIN_POSITIVE);
                if self.violation(&q) > ADMISSIBLE || !(work(&dead) > ADMISSIBLE * unit * size) {
                    return Err(Unknown::NotConverged("a fall without a motion".into()));
                }
                Ok(Collapse::Already { motion: self.motion(&q) })
            }
        }
    }

    /// Holds the lower bound against the upper bound of the motion.
    fn meet(
        &self,
        factor: f64,
        step: f64,
        dead: f64,
        push: f64,
        q: &[f64],
    ) -> Result<Collapse, Unknown> {
        let upper = -dead / push;
        let gap = (upper - factor).abs() / (factor.abs() + step * 1e-3);
        if !(push > 0.0) || !(gap < AGREE) || self.violation(q) > ADMISSIBLE {
            return Err(Unknown::NotConverged(format!(
                "collapse between the factors {factor} and {upper}"
            )));
        }
        Ok(Collapse::At { factor, motion: self.motion(q) })
    }

    /// A motion on which no ray does work, where there is one.
    fn unopposed(&self) -> Result<Option<Vec<f64>>, Unknown> {
        let m = self.freedom();
        let mut square = vec![0.0; m * m];
        for i in 0..m {
            for j in 0..m {
                square[i * m + j] =
                    self.work[i].iter().zip(&self.work[j]).map(|(a, b)| a * b).sum();
            }
        }
        let eigen = symmetric_eigen(m, &square)
            .ok_or_else(|| Unknown::NotConverged("the span of one-way parts".into()))?;
        let largest = eigen.values.last().copied().unwrap_or(0.0).max(1.0);
        let least = eigen.values.first().copied().unwrap_or(0.0);
        if least < 1e-12 * largest {
            return Ok(eigen.vectors.into_iter().next());
        }
        if least < 1e-8 * largest {
            return Err(Unknown::NoGap { low: 0, high: 1 });
        }
        Ok(None)
    }

    /// How much work a one-way part would have to do against a motion of unit size: it gives way
    /// where its force would do none or negative work on it.
    fn violation(&self, q: &[f64]) -> f64 {
        (0..self.split.rays.len())
            .map(|j| -q.iter().enumerate().map(|(i, v)| v * self.work[i][j]).sum::<f64>())
            .fold(0.0, f64::max)
    }

    fn motion(&self, q: &[f64]) -> Vec<[f64; 6]> {
        let mut sum = vec![[0.0; 6]; self.frame.nodes.len()];
        for (motion, weight) in self.split.motions.iter().zip(q) {
            for (s, u) in sum.iter_mut().flatten().zip(motion.iter().flatten()) {
                *s += weight * u;
            }
        }
        let largest = sum.iter().flat_map(|d| &d[..3]).fold(0.0, |m: f64, v| m.max(v.abs()));
        if largest > 0.0 {
            sum.iter_mut().flatten().for_each(|v| *v /= largest);
        }
        sum
    }
}

/// The multipliers of balance are a motion (duality); brought to unit size.
fn unit_size(multipliers: &[f64]) -> Vec<f64> {
    let size = multipliers.iter().fold(0.0, |m: f64, v| m.max(v.abs()));
    let by = if size > 0.0 { size } else { 1.0 };
    multipliers.iter().map(|v| v / by).collect()
}
