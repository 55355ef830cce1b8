//! Motions that strain no member.
//!
//! Every member gives strain modes: its stretch, its twist, and the turning of its ends against
//! its chord, as far as it is joined to pass them (stiffness counts as "some" or "none", a spring
//! as "some"). Lengths are divided by the mean member length and each member's modes are made
//! orthonormal, so that the matrix B of all modes says nothing about sizes. The motions sought are
//! the null vectors of BᵀB. They are counted by the inertia of BᵀB − τI at two values of τ that
//! are far apart: equal counts show a clear gap, unequal ones are *unknown*.
//!
//! Null vectors in which no node changes place are spins: a member, or a chain of members, turning
//! about its own axis. They are no mechanism of the structure and are counted apart.
//!
//! Pieces that no member joins are judged one by one, so that a loose one blinds nothing.

use super::answers::{Mechanisms, Unknown};
use super::element::Element;
use super::frame::{Dof, Frame};
use super::linalg::{Ldl, Pattern, margin, random_vector, symmetric_eigen};
use super::modes::orthonormalise;
use super::null_basis::{Basis, readable};
use super::numbering::{NONE, Numbering};
use super::pieces::{Piece, pieces};
use super::strain_modes::strain_modes;

/// Eigenvalues of BᵀB below this are zero …
pub(super) const ZERO: f64 = 1e-11;
/// … and above this are not; between them lies *unknown*.
pub(super) const STIFF: f64 = 1e-7;
/// Up to this many unknowns the whole spectrum is computed.
const DENSE: usize = 90;
/// Largest strain of a motion of unit size.
pub(super) const WORST: f64 = 1e-7;

/// Finds the motions of a frame that strain no member, whatever its stiffnesses.
///
/// # Errors
/// What [`Frame::check`] says. A count that cannot be told is in [`Mechanisms::count`].
pub fn find(frame: &Frame) -> Result<Mechanisms, Unknown> {
    frame.check()?;
    Ok(find_in(frame))
}

/// The same for a frame that was checked, but for supports, which it may lack.
pub(super) fn find_in(frame: &Frame) -> Mechanisms {
    let mut whole = Mechanisms::none(f64::INFINITY);
    for piece in pieces(frame) {
        let outcome = of_piece(&piece.frame);
        match outcome {
            Ok(found) => add(&mut whole, frame, &piece, found),
            // The count of the others is not lost, but the whole has none.
            Err(unknown) => {
                if whole.count.is_ok() {
                    whole.count = Err(unknown);
                }
            }
        }
    }
    whole
}

/// What was found in one piece.
struct Found {
    basis: Basis,
    numbering: Numbering,
    size: f64,
    residual: f64,
    least_stiff: f64,
}

fn add(whole: &mut Mechanisms, frame: &Frame, piece: &Piece, found: Found) {
    let of = |row: usize| -> Dof {
        let (node, dof) = found.numbering.dofs[row];
        (piece.nodes[node], dof)
    };
    whole.pins.extend(found.basis.pins.iter().map(|row| of(*row)));
    whole.spin_pins.extend(found.basis.spin_pins.iter().map(|row| of(*row)));
    whole.spins += found.basis.spin_pins.len();
    whole.residual = whole.residual.max(found.residual);
    whole.least_stiff = whole.least_stiff.min(found.least_stiff);
    if let Ok(count) = &mut whole.count {
        *count += found.basis.motions.len();
    }
    for vector in &found.basis.motions {
        let mut motion = vec![[0.0; 6]; frame.nodes.len()];
        for (row, value) in vector.iter().enumerate() {
            let (node, dof) = of(row);
            // Translations are in units of the mean length; rotations turn with them.
            motion[node][dof] = if dof < 3 { *value } else { *value / found.size };
        }
        whole.motions.push(motion);
    }
}

fn of_piece(frame: &Frame) -> Result<Found, Unknown> {
    let elements: Vec<Element> = (0..frame.members.len()).map(|m| Element::new(frame, m)).collect();
    let numbering = Numbering::new(frame, &elements, &[]);
    let count = elements.len().max(1) as f64;
    let size = elements.iter().map(|e| e.length).sum::<f64>() / count;
    let rows = rows(frame, &elements, &numbering, size);
    let n = numbering.dofs.len();
    let spectrum = if n <= DENSE { dense(n, &rows)? } else { sparse(n, &rows)? };
    let residual = spectrum.vectors.iter().map(|v| strain(&rows, v)).fold(0.0, f64::max);
    if !(residual < WORST) {
        return Err(Unknown::NotConverged(format!(
            "a free motion strains members by {residual:e}"
        )));
    }
    let basis = readable(&spectrum.vectors, &numbering.dofs)?;
    Ok(Found { basis, numbering, size, residual, least_stiff: spectrum.least_stiff })
}

/// A row of B: numbers of unknowns and coefficients.
type Row = Vec<(usize, f64)>;

fn rows(frame: &Frame, elements: &[Element], numbering: &Numbering, size: f64) -> Vec<Row> {
    let mut rows = Vec::with_capacity(6 * elements.len());
    for element in elements {
        let numbers = numbering.of(element);
        for mode in strain_modes(element, size) {
            let row: Row = numbers
                .iter()
                .zip(mode)
                .filter(|(number, value)| **number != NONE && *value != 0.0)
                .map(|(number, value)| (*number, value))
                .collect();
            rows.push(row);
        }
    }
    for spring in &frame.springs {
        for (dof, k) in spring.k.iter().enumerate() {
            let number = numbering.equation[spring.node][dof];
            if *k > 0.0 && number != NONE {
                rows.push(vec![(number, 1.0)]);
            }
        }
    }
    rows
}

fn strain(rows: &[Row], vector: &[f64]) -> f64 {
    let squares = rows.iter().map(|row| {
        let strain: f64 = row.iter().map(|(number, value)| value * vector[*number]).sum();
        strain * strain
    });
    squares.sum::<f64>().sqrt()
}

struct Spectrum {
    /// Orthonormal null vectors.
    vectors: Vec<Vec<f64>>,
    least_stiff: f64,
}

fn dense(n: usize, rows: &[Row]) -> Result<Spectrum, Unknown> {
    let mut matrix = vec![0.0; n * n];
    for row in rows {
        for (a, x) in row {
            for (b, y) in row {
                matrix[a * n + b] += x * y;
            }
        }
    }
    let eigen = symmetric_eigen(n, &matrix)
        .ok_or_else(|| Unknown::NotConverged("the spectrum of the compatibility matrix".into()))?;
    let low = eigen.values.partition_point(|v| *v < ZERO);
    let high = eigen.values.partition_point(|v| *v < STIFF);
    if low != high {
        return Err(Unknown::NoGap { low, high });
    }
    let least_stiff = eigen.values.get(low).copied().unwrap_or(f64::INFINITY);
    Ok(Spectrum { vectors: eigen.vectors.into_iter().take(low).collect(), least_stiff })
}

fn sparse(n: usize, rows: &[Row]) -> Result<Spectrum, Unknown> {
    let entries: Vec<(usize, usize)> = rows
        .iter()
        .flat_map(|row| row.iter().flat_map(|(a, _)| row.iter().map(|(b, _)| (*a, *b))))
        .filter(|(a, b)| a <= b)
        .collect();
    let pattern = Pattern::new(n, &entries).ok_or(Unknown::Memory)?;
    let mut values = vec![0.0; pattern.len()];
    for row in rows {
        for (a, x) in row {
            for (b, y) in row {
                if a <= b
                    && let Some(slot) = pattern.slot(*a, *b)
                {
                    values[slot] += x * y;
                }
            }
        }
    }
    let (high, _, least_stiff) = below(&pattern, &values, STIFF)?;
    let (low, ldl, _) = below(&pattern, &values, ZERO)?;
    if low != high {
        return Err(Unknown::NoGap { low, high });
    }
    let mut vectors: Vec<Vec<f64>> = (0..low).map(|k| random_vector(n, 1000 + k as u64)).collect();
    // Each step shrinks what is not null by at least ZERO / STIFF against what is.
    for _ in 0..4 {
        let mut block = vectors.concat();
        ldl.solve(&mut block)?;
        vectors = block.chunks_exact(n.max(1)).map(<[f64]>::to_vec).collect();
        orthonormalise(&mut vectors)?;
    }
    Ok(Spectrum { vectors, least_stiff })
}

/// Count of eigenvalues below a value, the factor, and the distance of the nearest from it.
fn below<'p>(
    pattern: &'p Pattern,
    values: &[f64],
    shift: f64,
) -> Result<(usize, Ldl<&'p Pattern>, f64), Unknown> {
    let mut shifted = values.to_vec();
    for ((i, j), value) in pattern.places().zip(&mut shifted) {
        if i == j {
            *value -= shift;
        }
    }
    let ldl = Ldl::new(pattern, &shifted)?;
    let margin = margin(pattern, &shifted, &ldl)?;
    if !(margin.times() > 1.0) {
        return Err(Unknown::IllConditioned(format!(
            "round-off {:e} against an eigenvalue {:e} from {shift:e}",
            margin.round_off, margin.nearest
        )));
    }
    Ok((ldl.negative(), ldl, margin.nearest))
}
