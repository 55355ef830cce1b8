//! Small linear and second-order cone programs, solved by an interior-point method (Clarabel).

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettingsBuilder, DefaultSolver, IPSolver, NonnegativeConeT, SecondOrderConeT,
    SolverStatus, SupportedConeT, ZeroConeT,
};

use super::answers::Unknown;
use nalgebra::{DMatrix, DVector};

/// Largest residual of a row, relative to the size of the unknowns and the row's right-hand side.
const FEASIBLE: f64 = 1e-6;
/// Bounds from both sides, and a certificate's own rows, must agree to this share.
const CERTAIN: f64 = 1e-5;

/// Rows of a balance that was put together are fulfilled to this share.
const WITHIN: f64 = 1e-9;

/// What is maximised is without limit if it grows to this, in the program's units; and there is something to
/// grow from if it comes to so much.
const FAR: f64 = 1e6;
const NEAR: f64 = 1.0;

type Row = (Vec<(usize, f64)>, f64);

/// Rows over unknowns of free sign: equalities first, then "at most", then cones.
#[derive(Clone, Debug)]
pub(crate) struct Program {
    unknowns: usize,
    equal: Vec<Row>,
    at_most: Vec<Row>,
    /// Each a list of sums with their constants: the first is at least the length of the rest.
    cones: Vec<Vec<Row>>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Outcome {
    Solved,
    Infeasible,
    Unbounded,
}

#[derive(Clone, Debug)]
pub(crate) struct Answer {
    pub outcome: Outcome,
    /// Value of the unknown maximised, where solved.
    pub value: Option<f64>,
    pub unknowns: Vec<f64>,
    /// Multipliers: of the equalities, then of the "at most" rows (not negative), then of the
    /// cones (each in its cone). Where infeasible, the certificate.
    pub multipliers: Vec<f64>,
}

/// Rounds of going back behind rows that are passed; most of what comes right does so in eight.
const ROUNDS: usize = 12;
/// How far behind a row it goes, in parts of the way to it.
const FURTHER: f64 = 1.8;

/// Where a row is passed: back over it, each unknown by how readily it gives.
fn go_behind(row: &Row, unknowns: &mut [f64], gives: &[f64]) {
    let (entries, most) = row;
    let over = entries.iter().map(|(j, v)| v * unknowns[*j]).sum::<f64>() - most;
    let gained: f64 = entries.iter().map(|(j, v)| gives[*j] * v * v).sum();
    if over > 0.0 && gained > 0.0 {
        for (j, v) in entries {
            unknowns[*j] -= FURTHER * over / gained * gives[*j] * v;
        }
    }
}

impl Program {
    pub(crate) fn new(unknowns: usize) -> Self {
        Self { unknowns, equal: Vec::new(), at_most: Vec::new(), cones: Vec::new() }
    }

    pub(crate) fn equal(&mut self, entries: Vec<(usize, f64)>, right: f64) {
        self.equal.push((entries, right));
    }

    pub(crate) fn at_most(&mut self, entries: Vec<(usize, f64)>, right: f64) {
        self.at_most.push((entries, right));
    }

    /// Keeps the length of the sums `rest` within the sum `head`; each sum with its constant.
    pub(crate) fn within(&mut self, head: Row, rest: Vec<Row>) {
        let mut cone = vec![head];
        cone.extend(rest);
        self.cones.push(cone);
    }

    /// Makes one unknown as large as the rows allow.
    ///
    /// Where the solver does not come to a clear end it is asked again with a limit far off: what has no limit
    /// may otherwise grow without it being told. That far, it counts as unbounded; and only where the rows can
    /// be fulfilled at all.
    ///
    /// # Errors
    /// Any ending but solved, surely infeasible or surely unbounded.
    pub(crate) fn maximise(&self, unknown: usize) -> Result<Answer, Unknown> {
        let first = self.ask(unknown);
        let answer = match &first {
            Ok((SolverStatus::AlmostSolved, _)) | Err(_) => self.below(unknown, FAR).ok(),
            Ok(_) => None,
        };
        self.begun(unknown, answer.map_or_else(|| self.held(first?.1), Ok)?)
    }

    /// The way along which something grows without limit says nothing of where that way begins. Where that
    /// cannot be below [`NEAR`] the contradiction may lean on that limit, and is then no certificate.
    fn begun(&self, unknown: usize, answer: Answer) -> Result<Answer, Unknown> {
        if answer.outcome != Outcome::Unbounded {
            return Ok(answer);
        }
        let near = self.below(unknown, NEAR)?;
        Ok(if near.outcome == Outcome::Unbounded { answer } else { near })
    }

    /// The same below a limit; unbounded if it comes to that.
    fn below(&self, unknown: usize, most: f64) -> Result<Answer, Unknown> {
        let mut limited = self.clone();
        limited.at_most(vec![(unknown, 1.0)], most);
        let (status, mut answer) = limited.ask(unknown)?;
        if status == SolverStatus::AlmostSolved {
            return Err(not_converged(&status));
        }
        // Without the limit's own multiplier, which is zero where it is not reached.
        answer.multipliers.remove(self.equal.len() + self.at_most.len());
        let answer = self.held(answer)?;
        let there = answer.value.is_some_and(|value| value > 0.99 * most);
        Ok(if there {
            Answer { outcome: Outcome::Unbounded, value: None, ..answer }
        } else {
            answer
        })
    }

    /// An answer that is held against every row.
    fn held(&self, answer: Answer) -> Result<Answer, Unknown> {
        if answer.outcome == Outcome::Solved {
            self.hold(&answer)?;
        }
        Ok(answer)
    }

    fn ask(&self, unknown: usize) -> Result<(SolverStatus, Answer), Unknown> {
        let (mut is, mut js, mut vs) = (Vec::new(), Vec::new(), Vec::new());
        let mut right = Vec::new();
        for (i, (entries, b, sign)) in self.rows().enumerate() {
            for (j, v) in entries.iter().filter(|e| e.1 != 0.0) {
                is.push(i);
                js.push(*j);
                vs.push(sign * *v);
            }
            right.push(b);
        }
        let matrix = CscMatrix::new_from_triplets(right.len(), self.unknowns, is, js, vs);
        let mut objective = vec![0.0; self.unknowns];
        objective[unknown] = -1.0;
        let quadratic = CscMatrix::zeros((self.unknowns, self.unknowns));
        let mut cones: Vec<SupportedConeT<f64>> =
            vec![ZeroConeT(self.equal.len()), NonnegativeConeT(self.at_most.len())];
        cones.extend(self.cones.iter().map(|cone| SecondOrderConeT(cone.len())));
        let settings = DefaultSettingsBuilder::default()
            .verbose(false)
            .presolve_enable(false)
            .max_threads(1)
            .tol_gap_abs(1e-10)
            .tol_gap_rel(1e-10)
            .tol_feas(1e-10)
            .build()
            .map_err(|e| not_converged(&e))?;
        let mut solver =
            DefaultSolver::new(&quadratic, &objective, &matrix, &right, &cones, settings)
                .map_err(|e| not_converged(&e))?;
        solver.solve();
        let solution = solver.solution;
        let outcome = match solution.status {
            // "Almost" is held against the rows like "solved".
            SolverStatus::Solved | SolverStatus::AlmostSolved => Outcome::Solved,
            SolverStatus::PrimalInfeasible => Outcome::Infeasible,
            SolverStatus::DualInfeasible => Outcome::Unbounded,
            status => return Err(not_converged(&status)),
        };
        let value = (outcome == Outcome::Solved).then(|| solution.x[unknown]);
        let (unknowns, multipliers) = (solution.x, solution.z);
        Ok((solution.status, Answer { outcome, value, unknowns, multipliers }))
    }

    /// Changes the unknowns as little as it takes, each by how readily it `gives`, to fulfil all
    /// equalities; where then a row is passed it goes back behind that, and once more, a few rounds
    /// (projections onto convex sets in turn, Bregman 1965, over-relaxed; from memory). True if every
    /// equality and every row is fulfilled in the end; false says nothing. Fixed is what gives nothing.
    pub(crate) fn brought_into_limits(&self, unknowns: &mut [f64], gives: &[f64]) -> bool {
        let count = self.equal.len();
        let missing = |unknowns: &[f64]| {
            let value = |row: &Row| -> f64 { row.0.iter().map(|(j, v)| v * unknowns[*j]).sum() };
            DVector::from_iterator(count, self.equal.iter().map(|row| row.1 - value(row)))
        };
        let mut by_unknown: Vec<Vec<(usize, f64)>> = vec![Vec::new(); self.unknowns];
        for (i, (entries, _)) in self.equal.iter().enumerate() {
            entries.iter().for_each(|&(j, v)| by_unknown[j].push((i, v)));
        }
        let mut normal = DMatrix::<f64>::zeros(count, count);
        for (rows, gives) in by_unknown.iter().zip(gives) {
            for &(a, u) in rows {
                for &(b, v) in rows {
                    normal[(a, b)] += gives * u * v;
                }
            }
        }
        let Some(factor) = normal.cholesky() else { return false };
        let balance = |unknowns: &mut [f64]| {
            let change = factor.solve(&missing(unknowns));
            for ((unknown, rows), gives) in unknowns.iter_mut().zip(&by_unknown).zip(gives) {
                *unknown += gives * rows.iter().map(|&(i, v)| v * change[i]).sum::<f64>();
            }
        };
        for _ in 0..ROUNDS {
            balance(unknowns);
            if self.within_limits(unknowns) {
                // Once more for what round-off leaves.
                balance(unknowns);
                let size = unknowns.iter().fold(1.0, |m: f64, v| m.max(v.abs()));
                return missing(unknowns).amax() <= WITHIN * size && self.within_limits(unknowns);
            }
            self.at_most.iter().for_each(|row| go_behind(row, unknowns, gives));
        }
        false
    }

    /// Whether every row beside the equalities is fulfilled. Written so that what is not a number is no
    /// proof.
    fn within_limits(&self, unknowns: &[f64]) -> bool {
        let most = WITHIN * unknowns.iter().fold(1.0, |m: f64, v| m.max(v.abs()));
        let value = |row: &Row| -> f64 { row.0.iter().map(|(j, v)| v * unknowns[*j]).sum() };
        let inside = |cone: &Vec<Row>| {
            outside(&cone.iter().map(|row| value(row) + row.1).collect::<Vec<_>>()) <= most
        };
        self.at_most.iter().all(|row| value(row) - row.1 <= most) && self.cones.iter().all(inside)
    }

    /// Every row as the solver takes it: its entries, right-hand side, and the sign of the entries.
    fn rows(&self) -> impl Iterator<Item = (&Vec<(usize, f64)>, f64, f64)> {
        let plain = self.equal.iter().chain(&self.at_most).map(|(e, b)| (e, *b, 1.0));
        plain.chain(self.cones.iter().flatten().map(|(e, constant)| (e, *constant, -1.0)))
    }

    /// Holds the answer against every row.
    fn hold(&self, answer: &Answer) -> Result<(), Unknown> {
        let size = answer.unknowns.iter().fold(1.0, |m: f64, v| m.max(v.abs()));
        let value = |row: &Row| -> f64 { row.0.iter().map(|(j, v)| v * answer.unknowns[*j]).sum() };
        let equal = self.equal.iter().map(|row| (value(row) - row.1).abs());
        let over = self.at_most.iter().map(|row| (value(row) - row.1).max(0.0));
        let out = self.cones.iter().map(|cone| {
            let sums: Vec<f64> = cone.iter().map(|row| value(row) + row.1).collect();
            outside(&sums)
        });
        let worst = equal.chain(over).chain(out).fold(0.0, f64::max);
        if worst <= FEASIBLE * size {
            Ok(())
        } else {
            Err(Unknown::NotConverged(format!("program: a row is missed by {worst:e}")))
        }
    }

    /// Checks what proves the answer, apart from the solver that gave it: for a value, that the
    /// multipliers are admissible and bound it from above to the same number; for no value, that
    /// they show the rows to contradict one another. That a value is unbounded is checked on the
    /// ray along which it grows.
    ///
    /// # Errors
    /// [`Unknown::NotConverged`] where the proof does not hold.
    pub(crate) fn certify(&self, answer: &Answer, maximised: usize) -> Result<(), Unknown> {
        let z = &answer.multipliers;
        let size = z.iter().fold(1e-9, |m: f64, v| m.max(v.abs()));
        let mut sums = vec![0.0; self.unknowns];
        let mut bound = 0.0;
        for ((entries, right, sign), z) in self.rows().zip(z) {
            bound += right * z;
            for (j, v) in entries {
                sums[*j] += sign * v * z;
            }
        }
        let first = self.equal.len();
        let mut off = z[first..first + self.at_most.len()].iter().fold(0.0, |m: f64, v| m.max(-v));
        let mut at = first + self.at_most.len();
        for cone in &self.cones {
            off = off.max(outside(&z[at..at + cone.len()]));
            at += cone.len();
        }
        let doubt = |what: &str, by: f64| {
            Err(Unknown::NotConverged(format!("program: {what}, off by {by:.1e}")))
        };
        match answer.outcome {
            Outcome::Solved => {
                sums[maximised] -= 1.0;
                let off = sums.iter().fold(off, |m, v| m.max(v.abs()));
                if off > CERTAIN * size.max(1.0) {
                    return doubt("the multipliers are not admissible", off);
                }
                let value = answer.value.unwrap_or(f64::NAN);
                let gap = (bound - value).abs();
                if gap <= CERTAIN * (1.0 + value.abs()) {
                    Ok(())
                } else {
                    doubt("the bounds do not meet", gap)
                }
            }
            Outcome::Infeasible => {
                let off = sums.iter().fold(off, |m, v| m.max(v.abs()));
                if off > CERTAIN * size {
                    return doubt("the contradiction is not one", off / size);
                }
                if bound < -CERTAIN * size { Ok(()) } else { doubt("no contradiction", bound) }
            }
            Outcome::Unbounded => {
                let ray = &answer.unknowns;
                let size = ray.iter().fold(1e-9, |m: f64, v| m.max(v.abs()));
                let value = |row: &Row| -> f64 { row.0.iter().map(|(j, v)| v * ray[*j]).sum() };
                let equal = self.equal.iter().map(|row| value(row).abs());
                let over = self.at_most.iter().map(|row| value(row).max(0.0));
                let out = self
                    .cones
                    .iter()
                    .map(|cone| outside(&cone.iter().map(value).collect::<Vec<_>>()));
                let off = equal.chain(over).chain(out).fold(0.0, f64::max);
                if off <= CERTAIN * size && ray[maximised] > CERTAIN * size {
                    Ok(())
                } else {
                    doubt("the ray does not grow freely", off / size)
                }
            }
        }
    }
}

fn not_converged(why: &dyn std::fmt::Debug) -> Unknown {
    Unknown::NotConverged(format!("program: {why:?}"))
}

/// How far the length of the rest is above the first.
fn outside(sums: &[f64]) -> f64 {
    let (head, rest) = sums.split_first().unwrap_or((&0.0, &[]));
    (rest.iter().map(|v| v * v).sum::<f64>().sqrt() - head).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::{Answer, Outcome, Program};

    /// A block of weight 1 pushed at its base: slides at the coefficient of friction. Coulomb's
    /// law, any textbook of statics.
    #[test]
    fn a_block_in_its_cone() {
        // Unknowns: factor, normal force, two of friction. Push along (3, 4)/5.
        let mut program = Program::new(4);
        program.equal(vec![(1, 1.0)], 1.0);
        program.equal(vec![(0, 0.6), (2, 1.0)], 0.0);
        program.equal(vec![(0, 0.8), (3, 1.0)], 0.0);
        program.within((vec![(1, 0.3)], 0.0), vec![(vec![(2, 1.0)], 0.0), (vec![(3, 1.0)], 0.0)]);
        let answer = program.maximise(0).expect("solved");
        assert_eq!(answer.outcome, Outcome::Solved);
        assert!((answer.value.expect("a value") - 0.3).abs() < 1e-8);
        program.certify(&answer, 0).expect("both bounds meet");
        // A certificate of something else is none.
        let mut other = answer.clone();
        other.multipliers[1] *= 2.0;
        assert!(program.certify(&other, 0).is_err());
        let mut other = answer;
        other.value = Some(0.31);
        assert!(program.certify(&other, 0).is_err());
    }

    /// Two supports share a weight of 1 between a third and two thirds, as the lever has it; a limit on
    /// one of them below that is not kept.
    #[test]
    fn a_balance_is_brought_about_only_within_the_limits() {
        let beam = |most: f64| {
            let mut program = Program::new(3);
            program.equal(vec![(1, 1.0), (2, 1.0), (0, -1.0)], 0.0);
            program.equal(vec![(2, 3.0), (0, -1.0)], 0.0);
            program.at_most(vec![(1, 1.0)], most);
            program
        };
        let mut forces = [1.0, 0.5, 0.4];
        assert!(beam(0.7).brought_into_limits(&mut forces, &[0.0, 1.0, 5.0]));
        assert!((forces[1] - 2.0 / 3.0).abs() < 1e-12 && (forces[2] - 1.0 / 3.0).abs() < 1e-12);
        assert_eq!(forces[0], 1.0);
        let mut forces = [1.0, 0.5, 0.4];
        assert!(!beam(0.6).brought_into_limits(&mut forces, &[0.0, 1.0, 5.0]));
        // A third support may take what the first may not.
        let mut held = beam(0.6);
        held.equal[0].0.push((3, 1.0));
        held.unknowns = 4;
        let mut forces = [1.0, 0.65, 0.4, 0.0];
        assert!(held.brought_into_limits(&mut forces, &[0.0, 1.0, 5.0, 1.0]));
        assert!(forces[1] <= 0.6 + 1e-9 && (forces[1] + forces[2] + forces[3] - 1.0).abs() < 1e-9);
        let mut forces = [f64::NAN, 0.5, 0.4];
        assert!(!beam(0.7).brought_into_limits(&mut forces, &[0.0, 1.0, 5.0]));
    }

    #[test]
    fn a_contradiction_and_a_free_ray_are_told() {
        let mut program = Program::new(2);
        program.equal(vec![(1, 1.0)], -1.0);
        program.within((vec![(1, 1.0)], 0.0), vec![(vec![(0, 1.0)], 0.0)]);
        let answer = program.maximise(0).expect("told");
        assert_eq!(answer.outcome, Outcome::Infeasible);
        program.certify(&answer, 0).expect("a proof");
        let mut program = Program::new(2);
        program.within((vec![(1, 1.0)], 0.0), vec![(vec![(0, 1.0)], 0.0)]);
        let answer = program.maximise(0).expect("told");
        assert_eq!(answer.outcome, Outcome::Unbounded);
        program.certify(&answer, 0).expect("a ray");
    }

    /// A ray along which the unknown grows, and beside it rows that nothing fulfils: a load that its own
    /// support bears, and a weight that none does.
    #[test]
    fn what_cannot_begin_is_not_without_limit() {
        let mut program = Program::new(3);
        // What bears the load bears any; the weight is borne by what can only pull.
        program.equal(vec![(0, 1.0), (1, -1.0)], 0.0);
        program.equal(vec![(2, 1.0)], 1.0);
        program.at_most(vec![(1, -1.0)], 0.0);
        program.at_most(vec![(2, 1.0)], 0.0);
        let ray = Answer {
            outcome: Outcome::Unbounded,
            value: None,
            unknowns: vec![1.0, 1.0, 0.0],
            multipliers: vec![0.0; 4],
        };
        program.certify(&ray, 0).expect("it is a ray");
        assert_eq!(program.begun(0, ray).expect("told").outcome, Outcome::Infeasible);
        let answer = program.maximise(0).expect("told");
        assert_eq!(answer.outcome, Outcome::Infeasible);
        program.certify(&answer, 0).expect("a proof");
        // With the weight borne the load may grow.
        program.at_most.pop();
        let answer = program.maximise(0).expect("told");
        assert_eq!(answer.outcome, Outcome::Unbounded);
        program.certify(&answer, 0).expect("a ray");
    }
}
