//! How far the lateral load of a stage may grow before something goes over, by statics alone.
//!
//! A linear program that shares no code with the engine and is put the other way round: the engine
//! asks for motions, this one for forces. Every post is a rigid body with three force balances and
//! two moment balances about its foot; bars carry any axial force; the ground under a foot pushes
//! up with any force, never pulls, and holds sideways while it pushes: up to so many times as much that
//! none slides before it lifts. The greatest share of the lateral load for
//! which forces exist is where the stage goes over (static theorem of limit analysis; Livesley,
//! *Matrix Methods of Structural Analysis* (1975), ch. 11, from memory). Solved by Clarabel's
//! interior-point method; the answer is held against every balance afterwards.

use super::bars::{bars, posts};
use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettingsBuilder, DefaultSolver, IPSolver, NonnegativeConeT, SolverStatus,
    SupportedConeT, ZeroConeT,
};
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
    // The interior point may stall on one scale of the share and end clearly on another.
    [1.0, 30.0, 1000.0, 5.0, 200.0, 2.0, 12.0, 70.0, 400.0, 3000.0]
        .into_iter()
        .map(|size| solve(unknowns, count, &balances, size))
        .find(|share| *share != Share::Unclear)
        .unwrap_or(Share::Unclear)
}

/// The program with the share counted in units of `size`.
fn solve(unknowns: usize, posts: usize, balances: &Balances, size: f64) -> Share {
    // Forces in units of the mean weight of a post, so that all numbers are near one.
    let unit = (balances.right.iter().sum::<f64>() / posts.max(1) as f64).max(1.0);
    let (mut is, mut js, mut vs, mut right) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (row, (entries, b)) in balances.rows.iter().zip(&balances.right).enumerate() {
        for &(column, value) in entries {
            is.push(row);
            js.push(column);
            vs.push(if column == 0 { value / unit * size } else { value });
        }
        right.push(b / unit);
    }
    // Not negative: the share and what the ground pushes up; and the share is not too far.
    let mut at_least: Vec<usize> = (0..posts).map(|k| 1 + 3 * k + 2).collect();
    at_least.push(0);
    for column in at_least {
        is.push(right.len());
        js.push(column);
        vs.push(-1.0);
        right.push(0.0);
    }
    is.push(right.len());
    js.push(0);
    vs.push(1.0);
    right.push(FAR / size);
    for foot in (0..posts).map(|k| 1 + 3 * k) {
        for (along, sign) in [(0, 1.0), (0, -1.0), (1, 1.0), (1, -1.0)] {
            // Nothing is held by a foot that is up.
            is.extend([right.len(); 2]);
            js.extend([foot + along, foot + 2]);
            vs.extend([sign / HELD, -1.0]);
            right.push(0.0);
        }
    }
    let cones: [SupportedConeT<f64>; 2] =
        [ZeroConeT(5 * posts), NonnegativeConeT(right.len() - 5 * posts)];
    let matrix = CscMatrix::new_from_triplets(right.len(), unknowns, is, js, vs);
    let mut objective = vec![0.0; unknowns];
    objective[0] = -1.0;
    let none = CscMatrix::zeros((unknowns, unknowns));
    let settings = DefaultSettingsBuilder::default().verbose(false).max_threads(1).build().unwrap();
    let mut solver =
        DefaultSolver::new(&none, &objective, &matrix, &right, &cones, settings).unwrap();
    solver.solve();
    let x = &solver.solution.x;
    match solver.solution.status {
        SolverStatus::Solved => {
            let share = x[0] * size;
            let largest = x[1..].iter().fold(1.0, |m: f64, v| m.max(v.abs()));
            let off = balances.rows.iter().zip(&balances.right).map(|(row, b)| {
                let sum =
                    |(c, v): &(usize, f64)| if *c == 0 { v / unit * share } else { v * x[*c] };
                (row.iter().map(sum).sum::<f64>() - b / unit).abs()
            });
            let worst = off.fold(0.0, f64::max);
            if worst < 1e-5 * largest { Share::At(share.max(0.0)) } else { Share::Unclear }
        }
        SolverStatus::PrimalInfeasible => Share::Falls,
        _ => Share::Unclear,
    }
}
