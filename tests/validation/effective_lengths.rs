//! Effective lengths. AISC 360-22 Table C-A-7.1, p. 16.1-650 (theoretical K, seen in print);
//! stepped columns, pinned at both ends: tan(k₁a)/k₁ + tan(k₂b)/k₂ = 0, kᵢ² = P/EIᵢ (Timoshenko and
//! Gere, *Theory of Elastic Stability*, 2nd ed., ch. 2, from memory; values recomputed).

use super::planar::{FIX, FREE, PIN, Planar};
use standwell::mechanics::frame::ElementForm;
use standwell::mechanics::model::Model;
use standwell::mechanics::stage::effective::{Columns, effective_length};

const EI: f64 = 300.0;
const L: f64 = 4.0;

/// Lowest critical compression of one column, its ends' supports given.
fn critical(foot: [bool; 3], head: [bool; 3]) -> f64 {
    let mut p = Planar::default();
    let post = p.section(1e5, EI);
    let (a, b) = (p.node(0.0, 0.0, foot), p.node(0.0, L, head));
    p.member(a, b, post, 1);
    let model = Model::new(&p.frame, ElementForm::Exact, &[]).unwrap();
    model.lowest(&[-1.0], 1).unwrap()[0].factor
}

#[test]
fn theoretical_k_of_single_columns() {
    // x held, z free, turning held.
    for (name, foot, head, k) in [
        ("(b) fixed, pinned", FIX, [true, false, false], 0.699_2),
        ("(c) fixed, fixed and free to sway", FIX, [false, false, true], 1.0),
        ("(d) pinned, pinned", PIN, [true, false, false], 1.0),
        ("(e) fixed, free", FIX, FREE, 2.0),
        ("(f) pinned, fixed and free to sway", PIN, [false, false, true], 2.0),
    ] {
        let found = effective_length(EI, critical(foot, head)) / L;
        assert!((found - k).abs() < 2e-4, "{name}: K = {found}, {k} is due");
    }
}

#[test]
fn stepped_columns_between_holds() {
    let table = [
        (0.5, [9.8696, 8.746, 7.291, 6.408, 5.405, 4.270, 2.995, 1.572]),
        (0.4, [9.8696, 8.393, 6.684, 5.736, 4.722, 3.642, 2.495, 1.281]),
        (0.6, [9.8696, 9.143, 8.070, 7.337, 6.421, 5.275, 3.848, 2.098]),
    ];
    let ratios = [1.0, 0.8, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1];
    let mut columns = Columns::default();
    for (lower, row) in table {
        for (ratio, expected) in ratios.into_iter().zip(row) {
            let pieces = [(lower * L, EI), ((1.0 - lower) * L, ratio * EI)];
            let found = columns.critical(&pieces, &[false, true]).unwrap() * L * L / EI;
            assert!((found - expected).abs() < 6e-4, "{lower}, {ratio}: {found}, {expected} due");
            let again = columns.critical(&pieces, &[false, true]).unwrap() * L * L / EI;
            assert_eq!(found.to_bits(), again.to_bits());
        }
    }
    assert_eq!(columns.critical(&[(L, EI)], &[false]), None, "nothing holds it");
}
