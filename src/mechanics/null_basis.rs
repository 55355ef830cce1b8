//! From any basis of the free motions to one that can be read.
//!
//! Elimination with the largest pivot brings the basis to reduced echelon form: each motion has a
//! degree of freedom of its own, where it is one and all others are zero. Motions of separate
//! parts come apart, and the degree of freedom is the pin that stops this motion alone.
//! Translations are used as pivots first; what is then left without translation are spins.

use super::answers::Unknown;
use super::frame::Dof;

/// Entries below this, in motions of unit size, are round-off.
const ROUND_OFF: f64 = 1e-8;
/// Translations, per radian and mean member length: below the first there are none, above the
/// second there are, however small: a mechanism taken for a spin would be the dangerous mistake.
const SPIN: f64 = 1e-9;
const MOVES: f64 = 1e-7;

#[derive(Clone, Debug, PartialEq)]
pub(super) struct Basis {
    /// Motions, largest translation one.
    pub motions: Vec<Vec<f64>>,
    /// Row of the unknown that stops each motion.
    pub pins: Vec<usize>,
    /// Row of the unknown that stops each spin.
    pub spin_pins: Vec<usize>,
}

/// Brings orthonormal null vectors into readable form. `dofs`: of their rows.
pub(super) fn readable(vectors: &[Vec<f64>], dofs: &[Dof]) -> Result<Basis, Unknown> {
    let mut rows = vectors.to_vec();
    let translation: Vec<bool> = dofs.iter().map(|(_, dof)| *dof < 3).collect();
    let mut pivots = Vec::with_capacity(rows.len());
    let mut spins = 0;
    for k in 0..rows.len() {
        let moving = |column: usize| translation[column];
        let (row, column, size) = largest(&rows, k, moving);
        if spins == 0 && size > MOVES {
            pivots.push(eliminate(&mut rows, k, row, column));
        } else if spins == 0 && size > SPIN {
            return Err(Unknown::NoGap { low: k, high: k + 1 });
        } else {
            let (row, column, size) = largest(&rows, k, |column| !translation[column]);
            if !(size > SPIN) {
                return Err(Unknown::NotConverged("null vectors that depend on others".into()));
            }
            pivots.push(eliminate(&mut rows, k, row, column));
            spins += 1;
        }
    }
    let moving = rows.len() - spins;
    let mut order: Vec<usize> = (0..moving).collect();
    order.sort_by_key(|k| pivots[*k]);
    let mut spin_pins = pivots[moving..].to_vec();
    spin_pins.sort_unstable();
    Ok(Basis {
        motions: order.iter().map(|k| cleaned(&rows[*k], &translation)).collect(),
        pins: order.iter().map(|k| pivots[*k]).collect(),
        spin_pins,
    })
}

fn largest(rows: &[Vec<f64>], from: usize, wanted: impl Fn(usize) -> bool) -> (usize, usize, f64) {
    let mut best = (from, 0, 0.0);
    for (r, row) in rows.iter().enumerate().skip(from) {
        for (c, value) in row.iter().enumerate() {
            // The first of nearly equal ones, so that round-off does not choose.
            if value.abs() > best.2 * (1.0 + 1e-9) && wanted(c) {
                best = (r, c, value.abs());
            }
        }
    }
    best
}

fn eliminate(rows: &mut [Vec<f64>], k: usize, row: usize, column: usize) -> usize {
    rows.swap(k, row);
    let by = rows[k][column];
    rows[k].iter_mut().for_each(|v| *v /= by);
    let pivot = rows[k].clone();
    for (r, other) in rows.iter_mut().enumerate() {
        let part = other[column];
        if r != k && part != 0.0 {
            for (v, p) in other.iter_mut().zip(&pivot) {
                *v -= part * p;
            }
            other[column] = 0.0;
        }
    }
    column
}

fn cleaned(row: &[f64], translation: &[bool]) -> Vec<f64> {
    let largest = row
        .iter()
        .zip(translation)
        .filter(|(_, t)| **t)
        .fold(0.0, |m: f64, (v, _)| if v.abs() > m.abs() { *v } else { m });
    row.iter().map(|v| v / largest).map(|v| if v.abs() < ROUND_OFF { 0.0 } else { v }).collect()
}
