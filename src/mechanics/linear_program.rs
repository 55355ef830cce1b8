//! Small linear programs, solved by an interior-point method (Clarabel).

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettingsBuilder, DefaultSolver, IPSolver, NonnegativeConeT, SolverStatus,
    SupportedConeT, ZeroConeT,
};

use super::answers::Unknown;

/// Largest residual of a row, relative to the size of the unknowns and the row's right-hand side.
const FEASIBLE: f64 = 1e-6;

type Row = (Vec<(usize, f64)>, f64);

/// Rows over unknowns of free sign: equalities first, then "at most".
#[derive(Clone, Debug)]
pub(super) struct Program {
    unknowns: usize,
    equal: Vec<Row>,
    at_most: Vec<Row>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Outcome {
    Solved,
    Infeasible,
    Unbounded,
}

#[derive(Clone, Debug)]
pub(super) struct Answer {
    pub outcome: Outcome,
    /// Value of the unknown maximised, where solved.
    pub value: Option<f64>,
    pub unknowns: Vec<f64>,
    /// Multipliers: of the equalities, then of the "at most" rows (not negative). Where
    /// infeasible, the certificate.
    pub multipliers: Vec<f64>,
}

impl Program {
    pub(super) fn new(unknowns: usize) -> Self {
        Self { unknowns, equal: Vec::new(), at_most: Vec::new() }
    }

    pub(super) fn equal(&mut self, entries: Vec<(usize, f64)>, right: f64) {
        self.equal.push((entries, right));
    }

    pub(super) fn at_most(&mut self, entries: Vec<(usize, f64)>, right: f64) {
        self.at_most.push((entries, right));
    }

    /// Makes one unknown as large as the rows allow.
    ///
    /// # Errors
    /// Any ending but solved, surely infeasible or surely unbounded.
    pub(super) fn maximise(&self, unknown: usize) -> Result<Answer, Unknown> {
        let rows = self.equal.len() + self.at_most.len();
        let (mut is, mut js, mut vs) = (Vec::new(), Vec::new(), Vec::new());
        let mut right = Vec::with_capacity(rows);
        for (i, (entries, b)) in self.equal.iter().chain(&self.at_most).enumerate() {
            for (j, v) in entries.iter().filter(|e| e.1 != 0.0) {
                is.push(i);
                js.push(*j);
                vs.push(*v);
            }
            right.push(*b);
        }
        let matrix = CscMatrix::new_from_triplets(rows, self.unknowns, is, js, vs);
        let mut objective = vec![0.0; self.unknowns];
        objective[unknown] = -1.0;
        let quadratic = CscMatrix::zeros((self.unknowns, self.unknowns));
        let cones: [SupportedConeT<f64>; 2] =
            [ZeroConeT(self.equal.len()), NonnegativeConeT(self.at_most.len())];
        let settings = DefaultSettingsBuilder::default()
            .verbose(false)
            .presolve_enable(false)
            .max_threads(1)
            .tol_gap_abs(1e-10)
            .tol_gap_rel(1e-10)
            .tol_feas(1e-10)
            .build()
            .map_err(|e| Unknown::NotConverged(format!("linear program: {e}")))?;
        let mut solver =
            DefaultSolver::new(&quadratic, &objective, &matrix, &right, &cones, settings)
                .map_err(|e| Unknown::NotConverged(format!("linear program: {e}")))?;
        solver.solve();
        let solution = &solver.solution;
        let outcome = match solution.status {
            // "Almost" is held against the rows below like "solved".
            SolverStatus::Solved | SolverStatus::AlmostSolved => Outcome::Solved,
            SolverStatus::PrimalInfeasible => Outcome::Infeasible,
            SolverStatus::DualInfeasible => Outcome::Unbounded,
            status => {
                return Err(Unknown::NotConverged(format!("linear program: {status:?}")));
            }
        };
        let answer = Answer {
            outcome,
            value: (outcome == Outcome::Solved).then(|| solution.x[unknown]),
            unknowns: solution.x.clone(),
            multipliers: solution.z.clone(),
        };
        if outcome == Outcome::Solved {
            self.hold(&answer)?;
        }
        Ok(answer)
    }

    /// Holds the answer against every row.
    fn hold(&self, answer: &Answer) -> Result<(), Unknown> {
        let size = answer.unknowns.iter().fold(1.0, |m: f64, v| m.max(v.abs()));
        let value = |row: &Row| -> f64 { row.0.iter().map(|(j, v)| v * answer.unknowns[*j]).sum() };
        let equal = self.equal.iter().map(|row| (value(row) - row.1).abs());
        let over = self.at_most.iter().map(|row| (value(row) - row.1).max(0.0));
        let worst = equal.chain(over).fold(0.0, f64::max);
        if worst <= FEASIBLE * size {
            Ok(())
        } else {
            Err(Unknown::NotConverged(format!("linear program: a row is missed by {worst:e}")))
        }
    }
}
