//! Baglivo and Graver, *Incidence and Symmetry in Design and Architecture* (1983): a plane grid
//! braced with diagonals that only pull is rigid exactly where the directed graph of rows and
//! columns is strongly connected: an edge from row to column for a diagonal one way, from column to
//! row for the other way.
//!
//! All 3^(r·c) grids of 2 × 2 and 2 × 3 with no diagonal, one or the other in each cell, and 2 × 2
//! with both allowed, through the linear program of one-way parts.

use standwell::mechanics::collapse::{Held, Limit};
use standwell::mechanics::frame::{Frame, FrameMember};
use standwell::mechanics::one_way::OneWay;

use super::bar_frames::plane_grid;

/// Per cell: bit 0 a diagonal rising with x, bit 1 one falling.
fn build(rows: usize, columns: usize, cells: &[u8]) -> (Frame, Vec<OneWay>) {
    let mut frame = plane_grid(rows, columns, &[]);
    let mut parts = Vec::new();
    for (k, cell) in cells.iter().enumerate() {
        let corner = (k / columns) * (columns + 1) + k % columns;
        let above = corner + columns + 1;
        for (bit, (i, j)) in [(1, (corner, above + 1)), (2, (corner + 1, above))] {
            if cell & bit != 0 {
                parts.push(OneWay::Pulls { member: frame.members.len() });
                frame.members.push(FrameMember::bar(i, j, 0));
            }
        }
    }
    (frame, parts)
}

fn strongly_connected(rows: usize, columns: usize, cells: &[u8]) -> bool {
    let n = rows + columns;
    let mut reach = vec![false; n * n];
    for (k, cell) in cells.iter().enumerate() {
        let (row, column) = (k / columns, rows + k % columns);
        if cell & 1 != 0 {
            reach[row * n + column] = true;
        }
        if cell & 2 != 0 {
            reach[column * n + row] = true;
        }
    }
    for via in 0..n {
        for a in 0..n {
            for b in 0..n {
                reach[a * n + b] |= reach[a * n + via] && reach[via * n + b];
            }
        }
    }
    (0..n).all(|a| (0..n).all(|b| a == b || reach[a * n + b]))
}

fn all(rows: usize, columns: usize, choices: u32) {
    let cells = rows * columns;
    let (mut held, mut seen) = (0, 0);
    for code in 0..choices.pow(cells as u32) {
        let pattern: Vec<u8> =
            (0..cells).map(|k| (code / choices.pow(k as u32) % choices) as u8).collect();
        let (frame, parts) = build(rows, columns, &pattern);
        let answer = Limit::new(&frame, &parts).unwrap().held().unwrap();
        let expected = strongly_connected(rows, columns, &pattern);
        if let Held::No { motion } = &answer {
            no_cable_stretches(&frame, &parts, motion);
        }
        assert_eq!(answer == Held::Yes, expected, "{pattern:?}");
        held += usize::from(expected);
        seen += 1;
    }
    println!("{rows} × {columns}, {choices} choices a cell: {held} of {seen} are rigid");
    assert!(held > 0 && held < seen);
}

/// What is returned as a motion is one.
fn no_cable_stretches(frame: &Frame, parts: &[OneWay], motion: &[[f64; 6]]) {
    let most = motion.iter().flatten().fold(0.0, |m: f64, v| m.max(v.abs()));
    assert!(most > 0.1);
    for (index, m) in frame.members.iter().enumerate() {
        let along = (frame.nodes[m.j] - frame.nodes[m.i]).normalize();
        let stretch: f64 = (0..3).map(|a| along[a] * (motion[m.j][a] - motion[m.i][a])).sum();
        let pulls = parts.contains(&OneWay::Pulls { member: index });
        assert!(if pulls { stretch < 1e-6 } else { stretch.abs() < 1e-6 });
    }
}

#[test]
fn two_by_two_with_one_diagonal_a_cell() {
    all(2, 2, 3);
}

#[test]
fn two_by_two_with_up_to_two_diagonals_a_cell() {
    all(2, 2, 4);
}

#[test]
fn two_by_three_with_one_diagonal_a_cell() {
    all(2, 3, 3);
}
