//! Strands and their fronts against a dense factorisation of the same matrix.

use nalgebra::{DMatrix, DVector};
use standwell::mechanics::engine::answers::{Found, Load};
use standwell::mechanics::engine::dissection::Dissection;
use standwell::mechanics::engine::factor::{Factor, Keeper, Piece, Pieces};
use standwell::mechanics::engine::shapes::{Shape, Shapes};
use standwell::mechanics::engine::strands::{Part, Plan, Undivided};
use std::sync::Arc;

struct Made(Vec<Piece>);

impl Pieces for Made {
    fn describe(&self, part: Part) -> u64 {
        // The matrix of a piece follows from its first number.
        self.0[part.piece as usize].values[0].to_bits()
    }
    fn make(&self, part: Part) -> Piece {
        self.0[part.piece as usize].clone()
    }
}

/// A matrix with its division and the shapes of its strands.
struct Divided {
    plan: Plan,
    shapes: Vec<Arc<Shape>>,
    made: Made,
    dense: DMatrix<f64>,
}

impl Divided {
    fn factor(&self, keeper: &mut Keeper) -> Factor {
        keeper.factor(&self.plan, &self.shapes, &self.made)
    }

    fn loads(&self, load: &[f64]) -> Vec<Load> {
        let at = |(unknown, &value): (usize, &f64)| {
            let strand = self.plan.strand_of[unknown];
            let own = &self.shapes[strand as usize].own;
            let place = own.iter().position(|d| *d as usize == unknown).unwrap();
            (strand, place as u32, value)
        };
        load.iter().enumerate().filter(|(_, value)| **value != 0.0).map(at).collect()
    }

    fn solve(&self, factor: &Factor, loads: &[Vec<f64>]) -> Vec<DVector<f64>> {
        self.answers(loads, |cases, found| factor.solve(cases, |_, _| true, found))
    }

    fn follow(&self, factor: &Factor, loads: &[Vec<f64>]) -> Vec<DVector<f64>> {
        self.answers(loads, |cases, found| factor.follow(cases, |_, _| true, found))
    }

    fn answers(
        &self,
        loads: &[Vec<f64>],
        ask: impl Fn(&[Vec<Load>], &mut Found<'_>),
    ) -> Vec<DVector<f64>> {
        let cases: Vec<Vec<Load>> = loads.iter().map(|load| self.loads(load)).collect();
        let mut out = vec![DVector::zeros(self.dense.nrows()); loads.len()];
        ask(&cases, &mut |moved| {
            for (unknown, values) in moved.by_unknown() {
                for &(case, at) in moved.cases {
                    out[case][unknown as usize] = values[at];
                }
            }
        });
        out
    }
}

/// A grid of posts with a shared and a private unknown each, springs between neighbours.
fn grid(columns: usize, rows: usize) -> (Vec<[f64; 2]>, Vec<(usize, usize)>) {
    let mut plan = Vec::new();
    let mut joined = Vec::new();
    for r in 0..rows {
        for c in 0..columns {
            let post = plan.len();
            plan.push([c as f64, r as f64]);
            if c > 0 {
                joined.push((post - 1, post));
            }
            if r > 0 {
                joined.push((post - columns, post));
            }
        }
    }
    (plan, joined)
}

/// Unknowns `6·post` shared, `6·post + 1` private; a spring `k(a, b)` between shared ones, none where
/// it is zero.
fn divided(
    tree: &Dissection,
    shapes: &mut Shapes,
    joined: &[(usize, usize)],
    stiffness: &dyn Fn(usize) -> f64,
    shift: f64,
) -> Divided {
    let posts = tree.shared.len();
    let mut all = Undivided::default();
    let mut made = Made(Vec::new());
    let mut dense = DMatrix::zeros(6 * posts, 6 * posts);
    for k in 0..6 * posts {
        // The unknowns that are not there.
        dense[(k, k)] = if k % 6 < 2 { 0.0 } else { 1.0 };
    }
    let mut add = |dofs: [u32; 2], k: [[f64; 2]; 2], all: &mut Undivided| {
        for r in 0..2 {
            for c in 0..2 {
                dense[(dofs[r] as usize, dofs[c] as usize)] += k[r][c];
            }
        }
        all.part(Part { piece: made.0.len() as u32, group: 0, second: false }, &dofs);
        made.0.push(Piece {
            dofs: dofs.to_vec(),
            values: k.iter().flatten().copied().collect(),
            condensed_negative: 0,
        });
    };
    for post in 0..posts {
        let (s, p) = (6 * post as u32, 6 * post as u32 + 1);
        all.unknowns.extend([(s, tree.shared[post] as u32), (p, tree.private[post] as u32)]);
        all.unknowns.extend((2..6).map(|k| (s + k, tree.private[post] as u32)));
        add([s, p], [[1.5 - shift, -0.5], [-0.5, 2.0 - shift]], &mut all);
    }
    for (k, &(a, b)) in joined.iter().enumerate() {
        let spring = stiffness(k);
        if spring != 0.0 {
            add([6 * a as u32, 6 * b as u32], [[spring, -spring], [-spring, spring]], &mut all);
        }
    }
    let plan = Plan::new(tree, 6 * posts, &all);
    let there = |unknown: u32| unknown % 6 < 2;
    let words = |part: Part| {
        let dofs = &made.0[part.piece as usize].dofs;
        [u64::from(dofs[0]), u64::from(dofs[1])]
    };
    let shapes = plan.strands.iter().map(|s| shapes.of(tree, &plan, s, there, words)).collect();
    Divided { plan, shapes, made, dense }
}

fn load(length: usize, of: impl Fn(f64) -> f64) -> Vec<f64> {
    (0..length).map(|i| if i % 6 < 2 { of(i as f64) } else { 0.0 }).collect()
}

#[test]
fn solves_and_counts_as_the_dense_matrix_does() {
    let (plan, joined) = grid(9, 7);
    let tree = Dissection::new(&plan, &joined);
    for shift in [0.0, 1.0, 2.2] {
        let mut shapes = Shapes::default();
        let stiffness = |k| 1.0 + (k % 5) as f64;
        let divided = divided(&tree, &mut shapes, &joined, &stiffness, shift);
        let eigenvalues = divided.dense.clone().symmetric_eigenvalues();
        let expected = eigenvalues.iter().filter(|v| **v < 0.0).count();
        let size = divided.dense.nrows();
        for mut keeper in [Keeper::default(), Keeper::plainly()] {
            let factor = divided.factor(&mut keeper);
            assert_eq!(factor.pivots.negative, expected, "shift {shift}");
            assert!((1e-6..=1.0).contains(&factor.pivots.smallest), "{:?}", factor.pivots);
            // One, a few and many right-hand sides.
            for count in [1, 3, 7] {
                let loads: Vec<Vec<f64>> =
                    (0..count).map(|n| load(size, |i| (i + f64::from(n)).sin())).collect();
                for (x, load) in divided.solve(&factor, &loads).iter().zip(&loads) {
                    let load = DVector::from_column_slice(load);
                    let residual = (&divided.dense * x - &load).norm() / load.norm();
                    assert!(residual < 1e-10, "shift {shift}: residual {residual:e}");
                }
            }
        }
    }
}

/// Cases change a little, much, not at all and back, one at a time and together: each answer is that of
/// the dense matrix, and bit for bit the one of a factor that solves it first.
#[test]
fn a_solve_that_follows_another_is_that_of_the_loads_alone() {
    let (plan, joined) = grid(11, 10);
    let tree = Dissection::new(&plan, &joined);
    let mut shapes = Shapes::default();
    let stiffness = |k| 1.0 + (k % 5) as f64;
    let divided = divided(&tree, &mut shapes, &joined, &stiffness, 0.0);
    let factor = divided.factor(&mut Keeper::default());
    let size = divided.dense.nrows();
    let dense = divided.dense.clone().lu();
    let mut loads: Vec<Vec<f64>> =
        (0..3).map(|n| load(size, |i| (i + f64::from(n)).sin())).collect();
    let before = loads.clone();
    for round in 0..40 {
        let case = round % 3;
        match round % 7 {
            0 => loads.clone_from(&before),
            1 => loads[case] = load(size, |i| (i * 0.3 + round as f64).cos()),
            2 => {}
            3 => loads.iter_mut().for_each(|l| l[6 * (round % 110)] += 0.5),
            _ => loads[case][6 * (round * 37 % 110) + round % 2] *= 1.0 + 1e-9,
        }
        let asked = if round % 5 == 4 { &loads[..1] } else { &loads[..] };
        let followed = divided.follow(&factor, asked);
        let alone = divided.follow(&divided.factor(&mut Keeper::default()), asked);
        for ((followed, alone), load) in followed.iter().zip(&alone).zip(asked) {
            assert!(followed.iter().zip(alone).all(|(a, b)| a.to_bits() == b.to_bits()), "{round}");
            let expected = dense.solve(&DVector::from_column_slice(load)).unwrap();
            let off = (followed - &expected).norm() / expected.norm();
            assert!(off < 1e-11, "round {round}: {off:e}");
        }
    }
}

/// Springs come and go, and each case is followed from the strand's shape before to the next: bit for bit
/// as by a factor that solves it first, and with few fronts made anew. All is loaded, or a few places, so that most
/// fronts pass on what their children do.
#[test]
fn a_solve_follows_that_of_the_shape_before() {
    let size = 6 * 12 * 11;
    let all = |n: usize| load(size, |i| (i + n as f64).sin());
    let few = |n: usize| {
        let mut load = vec![0.0; size];
        load[6 * (17 + 40 * n)] = 1.0;
        load
    };
    follow_from_shape_to_shape(&[0, 1, 2].map(all));
    follow_from_shape_to_shape(&[0, 1, 2].map(few));
}

fn follow_from_shape_to_shape(loads: &[Vec<f64>]) {
    let (plan, joined) = grid(12, 11);
    let tree = Dissection::new(&plan, &joined);
    let (mut shapes, mut kept) = (Shapes::default(), Keeper::default());
    let mut all = 0;
    for round in 0..24 {
        shapes.begin_stage();
        kept.begin_stage();
        // A few are wanting, and others at the next; now and then none is.
        let wanting = |k: usize| round % 6 != 5 && (k * 7 + round * 3).is_multiple_of(61);
        let stiffness = |k: usize| if wanting(k) { 0.0 } else { 1.0 + (k % 5) as f64 };
        let divided = divided(&tree, &mut shapes, &joined, &stiffness, 0.0);
        let factor = divided.factor(&mut kept);
        if round == 0 {
            all = kept.anew;
        } else {
            assert!(kept.anew < all * 3 / 4, "round {round}: {} of {all}", kept.anew);
        }
        let dense = divided.dense.clone().lu();
        // Followed again with one load otherwise.
        let mut changed = loads.to_vec();
        changed[round % 3][6 * (round * 5 % plan.len())] += 0.25;
        for asked in [loads, &changed[..]] {
            let followed = divided.follow(&factor, asked);
            let alone = divided.follow(&divided.factor(&mut Keeper::default()), asked);
            for ((followed, alone), load) in followed.iter().zip(&alone).zip(asked) {
                let same = followed.iter().zip(alone).all(|(a, b)| a.to_bits() == b.to_bits());
                assert!(same, "round {round}");
                let expected = dense.solve(&DVector::from_column_slice(load)).unwrap();
                let off = (followed - &expected).norm() / expected.norm();
                assert!(off < 1e-11, "round {round}: {off:e}");
            }
        }
    }
}

/// A post whose spring to the ground is all that holds it, and is taken away.
#[test]
fn a_pivot_that_vanishes_leaves_nothing_sure() {
    let (plan, joined) = grid(1, 1);
    let tree = Dissection::new(&plan, &joined);
    let mut shapes = Shapes::default();
    let mut divided = divided(&tree, &mut shapes, &joined, &|_| 1.0, 0.0);
    divided.made.0[0].values.fill(0.0);
    for mut keeper in [Keeper::default(), Keeper::plainly()] {
        let factor = divided.factor(&mut keeper);
        assert_eq!(factor.pivots.smallest, 0.0);
        let moved = divided.solve(&factor, &[load(6, |_| 1.0)]).swap_remove(0);
        assert!(moved.iter().any(|x| !x.is_finite()), "{moved}");
    }
}

#[test]
fn only_the_path_of_a_change_is_renewed_and_the_result_is_the_same_bit_for_bit() {
    let (plan, joined) = grid(16, 16);
    let tree = Dissection::new(&plan, &joined);
    let mut shapes = Shapes::default();
    let before = divided(&tree, &mut shapes, &joined, &|_| 1.0, 0.0);
    let changed = |k| if k == 100 { 1.25 } else { 1.0 };
    let after = divided(&tree, &mut shapes, &joined, &changed, 0.0);
    let mut kept = Keeper::default();
    before.factor(&mut kept);
    let all = kept.anew;
    assert!(all > 256);
    before.factor(&mut kept);
    assert_eq!(kept.anew, all);
    let factor = after.factor(&mut kept);
    assert!(kept.anew - all <= 10, "{} of {all} fronts were made anew", kept.anew - all);
    let fresh = after.factor(&mut Keeper::default());
    let size = after.dense.nrows();
    let loads = [load(size, f64::cos), load(size, f64::sin)];
    assert_eq!(after.solve(&factor, &loads), after.solve(&fresh, &loads));
    // The answer that is kept is the answer.
    assert_eq!(after.solve(&factor, &loads), after.solve(&fresh, &loads));
}

#[test]
fn what_nothing_joins_is_a_strand_of_its_own_and_stays_as_it_is() {
    let (plan, joined) = grid(16, 16);
    let tree = Dissection::new(&plan, &joined);
    let mut shapes = Shapes::default();
    // The rows of the grid alone.
    let row = |k: usize| joined[k].1 == joined[k].0 + 1;
    let before = divided(&tree, &mut shapes, &joined, &|k| f64::from(u8::from(row(k))), 0.0);
    let changed = |k: usize| if k == 100 { 1.25 } else { f64::from(u8::from(row(k))) };
    assert!(row(100));
    let after = divided(&tree, &mut shapes, &joined, &changed, 0.0);
    let strands = |d: &Divided| d.plan.strands.iter().filter(|s| s.parts.len() > 1).count();
    assert_eq!((strands(&before), strands(&after)), (16, 16));
    let mut kept = Keeper::default();
    let first = before.factor(&mut kept);
    let all = kept.anew;
    let second = after.factor(&mut kept);
    assert!(kept.anew - all <= 6, "{} of {all} fronts were made anew", kept.anew - all);
    // A load in another row moves what it moved before, and nothing else.
    let size = after.dense.nrows();
    let post = joined[100].0;
    let elsewhere = load(size, |i| f64::from(u8::from(i as usize / 6 / 16 != post / 16)));
    let [a, b] = [(&before, &first), (&after, &second)]
        .map(|(d, f)| d.solve(f, std::slice::from_ref(&elsewhere)).swap_remove(0));
    assert_eq!(a, b);
    let in_row = |i: &usize| i / 6 / 16 == post / 16;
    assert!((0..size).filter(in_row).all(|i| a[i] == 0.0));
    let expected = after.dense.clone().lu().solve(&DVector::from_vec(elsewhere)).unwrap();
    assert!((b - expected).norm() < 1e-10);
}

#[test]
fn every_bar_lies_on_one_path_to_the_root() {
    let (plan, joined) = grid(12, 9);
    let tree = Dissection::new(&plan, &joined);
    for &(a, b) in &joined {
        let (mut low, high) =
            (tree.deeper(tree.shared[a], tree.shared[b]), [tree.shared[a], tree.shared[b]]);
        let mut path = vec![low];
        while let Some(parent) = tree.nodes[low].parent {
            path.push(parent);
            low = parent;
        }
        assert!(high.iter().all(|n| path.contains(n)), "posts {a} and {b}");
    }
}
