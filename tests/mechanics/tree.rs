//! The tree of fronts against a dense factorisation of the same matrix.

use nalgebra::{DMatrix, DVector};
use standwell::mechanics::engine::dissection::Dissection;
use standwell::mechanics::engine::tree::{Piece, Pieces, System, TreeFactor, Words, kinds_first};

struct Made(Vec<Piece>);

impl Pieces for Made {
    fn describe(&self, piece: usize) -> Words {
        // Two unknowns each; the matrix follows from its first row.
        let Piece { dofs, values, .. } = &self.0[piece];
        [u64::from(dofs[0]) << 32 | u64::from(dofs[1]), values[0].to_bits(), values[1].to_bits()]
    }
    fn make(&self, piece: usize) -> Piece {
        self.0[piece].clone()
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

/// Unknowns `2·post` shared, `2·post + 1` private; a spring `k(a, b)` between shared ones.
fn system(
    tree: &Dissection,
    joined: &[(usize, usize)],
    stiffness: &dyn Fn(usize) -> f64,
    shift: f64,
) -> (System, Made, DMatrix<f64>) {
    let posts = tree.shared.len();
    let mut system = System::new(tree);
    let mut made = Made(Vec::new());
    let mut dense = DMatrix::zeros(2 * posts, 2 * posts);
    let mut add = |node: usize, dofs: [u32; 2], k: [[f64; 2]; 2], system: &mut System| {
        for r in 0..2 {
            for c in 0..2 {
                dense[(dofs[r] as usize, dofs[c] as usize)] += k[r][c];
            }
        }
        system.pieces[node].push(made.0.len());
        made.0.push(Piece {
            dofs: dofs.to_vec(),
            values: k.iter().flatten().copied().collect(),
            condensed_negative: 0,
        });
    };
    for post in 0..posts {
        let (s, p) = (2 * post as u32, 2 * post as u32 + 1);
        system.own[tree.shared[post]].push(s);
        system.own[tree.private[post]].push(p);
        add(tree.private[post], [s, p], [[1.5 - shift, -0.5], [-0.5, 2.0 - shift]], &mut system);
    }
    for (k, &(a, b)) in joined.iter().enumerate() {
        let spring = stiffness(k);
        let node = tree.deeper(tree.shared[a], tree.shared[b]);
        add(
            node,
            [2 * a as u32, 2 * b as u32],
            [[spring, -spring], [-spring, spring]],
            &mut system,
        );
    }
    for own in &mut system.own {
        own.sort_unstable_by_key(|d| kinds_first(*d));
    }
    (system, made, dense)
}

#[test]
fn solves_and_counts_as_the_dense_matrix_does() {
    let (plan, joined) = grid(9, 7);
    let tree = Dissection::new(&plan, &joined);
    for shift in [0.0, 1.0, 2.2] {
        let (system, made, dense) = system(&tree, &joined, &|k| 1.0 + (k % 5) as f64, shift);
        let mut factor = TreeFactor::default();
        let pivots = factor.update(&tree, &system, &made);
        let expected = dense.clone().symmetric_eigenvalues().iter().filter(|v| **v < 0.0).count();
        assert_eq!(pivots.negative, expected, "shift {shift}");
        let load = DVector::from_fn(dense.nrows(), |i, _| (i as f64).sin());
        let mut x: Vec<[f64; 1]> = load.iter().map(|l| [*l]).collect();
        factor.solve(&tree, &mut x);
        let x = DVector::from_iterator(x.len(), x.iter().map(|x| x[0]));
        let residual = (&dense * x - &load).norm() / load.norm();
        assert!(residual < 1e-10, "shift {shift}: residual {residual:e}");
    }
}

#[test]
fn only_the_path_of_a_change_is_renewed_and_the_result_is_the_same_bit_for_bit() {
    let (plan, joined) = grid(16, 16);
    let tree = Dissection::new(&plan, &joined);
    let (before, made_before, _) = system(&tree, &joined, &|_| 1.0, 0.0);
    let (after, made_after, _) =
        system(&tree, &joined, &|k| if k == 100 { 1.25 } else { 1.0 }, 0.0);
    let mut kept = TreeFactor::default();
    kept.update(&tree, &before, &made_before);
    assert_eq!(kept.renewed, tree.nodes.len());
    kept.update(&tree, &before, &made_before);
    assert_eq!(kept.renewed, 0);
    kept.update(&tree, &after, &made_after);
    assert!(kept.renewed <= 10, "{} of {} fronts were made anew", kept.renewed, tree.nodes.len());
    let mut fresh = TreeFactor::default();
    fresh.update(&tree, &after, &made_after);
    let load: Vec<[f64; 2]> =
        (0..2 * plan.len()).map(|i| [(i as f64).cos(), (i as f64).sin()]).collect();
    let (mut a, mut b) = (load.clone(), load);
    kept.solve(&tree, &mut a);
    fresh.solve(&tree, &mut b);
    assert_eq!(a, b);
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
