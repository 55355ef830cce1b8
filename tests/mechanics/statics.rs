//! How far the lateral load of a stage may grow before something goes over, by statics alone.
//!
//! A linear program that shares no code with the engine and is put the other way round: the engine
//! asks for motions, this one for forces. Every post is a rigid body with three force balances and
//! two moment balances about its foot; bars carry any axial force; the ground under a foot pushes
//! up with any force, never pulls, and holds sideways while it pushes: up to so many times as much that
//! none slides before it lifts. The greatest share of the lateral load for
//! which forces exist is where the stage goes over (static theorem of limit analysis; Livesley,
//! *Matrix Methods of Structural Analysis* (1975), ch. 11, from memory). Solved by the simplex method
//! (microlp), which the engine does not use; the answer is held against every balance afterwards.

use super::bars::{bars, posts};
use microlp::{ComparisonOp, Error, OptimizationDirection, Problem, SolveOutcome, Variable};
use standwell::assembly::{Assembly, MemberId};
use standwell::loads::LoadState;
use standwell::sequence::Stage;
use std::collections::BTreeMap;

/// Sideways hold of a foot over what it pushes up with.
const HELD: f64 = 1000.0;
/// Shares of the lateral load beyond this are as good as never.
pub const FAR: f64 = 1e4;

/// What the program says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Share {
    /// Goes over at this share of the lateral load; [`FAR`] or more: never.
    At(f64),
    /// Cannot stand under its weight.
    Falls,
    /// The solver did not end clearly.
    Unclear,
}

/// The rows of the balances, five a post: Fx, Fy, Fz, Mx, My about the foot.
struct Balances {
    rows: Vec<Vec<(usize, f64)>>,
    right: Vec<f64>,
}

/// The share of `lateral` (newtons by post, at its head, along `direction`) beside the weight at
/// which something goes over. For stages without mechanisms and without posts on posts.
pub fn goes_over(
    assembly: &Assembly,
    stage: &Stage,
    loads: &LoadState,
    lateral: &BTreeMap<MemberId, f64>,
    direction: [f64; 2],
) -> Share {
    let posts = posts(assembly, stage);
    let count = posts.len();
    // Unknowns: share; per post Hx, Hy, V at the foot; then one a bar.
    let mut unknowns = 1 + 3 * count;
    let mut balances = Balances { rows: vec![Vec::new(); 5 * count], right: vec![0.0; 5 * count] };
    for (&post, &k) in &posts {
        let height = assembly.member(post).length();
        let own = assembly.member(post).weight;
        let head = loads.at_foot[post.index()] - 0.5 * own;
        for d in 0..3 {
            balances.rows[5 * k + d].push((1 + 3 * k + d, 1.0));
        }
        balances.right[5 * k + 2] = head + 0.5 * own;
        let push = lateral.get(&post).copied().unwrap_or(0.0);
        for (d, along) in direction.into_iter().enumerate() {
            balances.rows[5 * k + d].push((0, push * along));
            // The moment balance about the other axis, as a force at the head times its height.
            balances.rows[5 * k + 3 + d].push((0, push * along * height));
        }
    }
    for ends in bars(assembly, stage, &posts) {
        for pair in ends.windows(2) {
            let run = (pair[1].2 - pair[0].2).normalize();
            // Compression of one pushes the first end back and the second on.
            for ((_, end, _), sign) in pair.iter().zip([-1.0, 1.0]) {
                let Some((k, station)) = end else { continue };
                for d in 0..3 {
                    balances.rows[5 * k + d].push((unknowns, sign * run[d]));
                }
                for d in 0..2 {
                    balances.rows[5 * k + 3 + d].push((unknowns, sign * run[d] * station));
                }
            }
            unknowns += 1;
        }
    }
    solve(unknowns, count, &balances)
}

fn solve(unknowns: usize, posts: usize, balances: &Balances) -> Share {
    // Forces in units of the mean weight of a post, so that all numbers are near one.
    let unit = (balances.right.iter().sum::<f64>() / posts.max(1) as f64).max(1.0);
    let mut program = Problem::new(OptimizationDirection::Maximize);
    let any = (f64::NEG_INFINITY, f64::INFINITY);
    let limits = |column: usize| match column {
        0 => (0.0, FAR),
        // What the ground pushes up.
        _ if column <= 3 * posts && column.is_multiple_of(3) => (0.0, f64::INFINITY),
        _ => any,
    };
    let all: Vec<Variable> = (0..unknowns)
        .map(|column| program.add_var(if column == 0 { 1.0 } else { 0.0 }, limits(column)))
        .collect();
    for (entries, b) in balances.rows.iter().zip(&balances.right) {
        let mut row: BTreeMap<usize, f64> = BTreeMap::new();
        for &(column, value) in entries {
            *row.entry(column).or_default() += if column == 0 { value / unit } else { value };
        }
        let row: Vec<_> = row.into_iter().map(|(column, value)| (all[column], value)).collect();
        program.add_constraint(&row, ComparisonOp::Eq, b / unit);
    }
    for foot in (0..posts).map(|k| 1 + 3 * k) {
        for (along, sign) in [(0, 1.0), (0, -1.0), (1, 1.0), (1, -1.0)] {
            // Nothing is held by a foot that is up.
            let row = [(all[foot + along], sign / HELD), (all[foot + 2], -1.0)];
            program.add_constraint(row, ComparisonOp::Le, 0.0);
        }
    }
    let solution = match program.solve().map(SolveOutcome::into_solution) {
        Ok(Ok(solution)) => solution,
        Err(Error::Infeasible) => return Share::Falls,
        _ => return Share::Unclear,
    };
    let x: Vec<f64> = all.iter().map(|column| solution.var_value(*column)).collect();
    let largest = x[1..].iter().fold(1.0, |m: f64, v| m.max(v.abs()));
    let off = balances.rows.iter().zip(&balances.right).map(|(row, b)| {
        let sum = |(c, v): &(usize, f64)| if *c == 0 { v / unit * x[0] } else { v * x[*c] };
        (row.iter().map(sum).sum::<f64>() - b / unit).abs()
    });
    let worst = off.fold(0.0, f64::max);
    if worst < 1e-7 * largest { Share::At(x[0]) } else { Share::Unclear }
}
