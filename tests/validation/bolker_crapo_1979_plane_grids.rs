//! Bolker and Crapo, "Bracing rectangular frameworks I", SIAM J. Appl. Math. 36 (1979) 473–490:
//! a plane r × c grid of hinged rectangles is rigid exactly where the graph of rows and columns
//! with an edge per braced cell is connected; free motions are components − 1.
//!
//! ```text
//!   o---o---o---o      rows and columns from 0; a diagonal in each braced cell;
//!   | / |   |   |      held in the plane as one rigid body would be
//!   o---o---o---o
//! ```
//! Counts of rigid minimal patterns r^(c−1)·c^(r−1) are the spanning trees of the complete
//! bipartite graph (Scoins 1962; formula from memory, recomputed by rank).

use super::bar_frames::{components, count, patterns, plane_grid};

/// Rows, columns, braced cells, free motions.
type Pattern<'a> = (usize, usize, &'a [(usize, usize)], usize);

#[test]
fn the_published_patterns() {
    let cases: &[Pattern<'_>] = &[
        (2, 2, &[(0, 0), (0, 1), (1, 0)], 0),
        (2, 2, &[(0, 0), (1, 1)], 1),
        (2, 3, &[(0, 0), (0, 1), (0, 2), (1, 0)], 0),
        (2, 3, &[(0, 0), (0, 1), (1, 0), (1, 1)], 1),
        (3, 3, &[(0, 0), (0, 1), (0, 2), (1, 0), (2, 0)], 0),
        (3, 3, &[(0, 0), (0, 1), (1, 1), (1, 2), (2, 2)], 0),
        (3, 3, &[(0, 0), (0, 1), (1, 0), (1, 1), (2, 2)], 1),
        (3, 3, &[(0, 0), (1, 1), (2, 2)], 2),
        (3, 3, &[(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2)], 1),
    ];
    for (rows, columns, braced, expected) in cases {
        let computed = count(&plane_grid(*rows, *columns, braced));
        println!("{rows} × {columns} {braced:?}: expected {expected} computed {computed}");
        assert_eq!(computed, *expected, "{rows} × {columns} {braced:?}");
    }
}

#[test]
fn every_pattern_of_the_three_by_three_grid() {
    let mut checked = 0;
    for braced in patterns(3, 3).filter(|b| !b.is_empty()) {
        let expected = components(3, 3, &braced) - 1;
        assert_eq!(count(&plane_grid(3, 3, &braced)), expected, "{braced:?}");
        checked += 1;
    }
    assert_eq!(checked, 511);
}

#[test]
fn counts_of_rigid_minimal_patterns() {
    for (rows, columns, rigid, all) in [(2, 2, 4, 4), (2, 3, 12, 15), (3, 3, 81, 126)] {
        let minimal: Vec<_> =
            patterns(rows, columns).filter(|b| b.len() == rows + columns - 1).collect();
        assert_eq!(minimal.len(), all);
        let found = minimal.iter().filter(|b| count(&plane_grid(rows, columns, b)) == 0).count();
        println!("{rows} × {columns}: {found} of {all} minimal patterns rigid, expected {rigid}");
        assert_eq!(found, rigid);
    }
}

/// A plane truss of two bays with as many bars as 2j − 3 asks: one diagonal in each bay, or both
/// in one. The count of bars is the same and says nothing.
#[test]
fn counting_bars_is_not_enough() {
    assert_eq!(count(&plane_grid(1, 2, &[(0, 0), (0, 1)])), 0);
    let mut both = plane_grid(1, 2, &[(0, 0)]);
    // The other diagonal of the first bay: nodes 1 and 3.
    both.members.push(standwell::mechanics::frame::FrameMember::bar(1, 3, 0));
    assert_eq!(count(&both), 1);
}
