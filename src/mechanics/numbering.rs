//! Which displacements are unknowns, and under which number.
//!
//! Not numbered: what a support or a pin holds; what nothing is joined to. A node's rotation about
//! a direction that no member end and no spring turns with has no meaning: it is *idle*. The idle
//! directions of a node come from the members' local axes; one rotation per idle direction is
//! held, which strains nothing, and a moment about it is an error of the load.

use nalgebra::{Matrix3, Vector3};

use super::element::Element;
use super::frame::{Dof, Frame, Support};
use super::strain_modes::strain_modes;

/// Stands for "not an unknown".
pub(super) const NONE: usize = usize::MAX;

/// Directions closer than about a millionth of a radian are one.
const SAME_DIRECTION: f64 = 1e-12;

#[derive(Clone, Debug)]
pub(super) struct Numbering {
    /// Per node and degree of freedom: number of the unknown, or [`NONE`].
    pub equation: Vec<[usize; 6]>,
    /// Node and degree of freedom of each unknown.
    pub dofs: Vec<Dof>,
    /// Idle directions: node and unit vector.
    pub idle: Vec<(usize, Vector3<f64>)>,
    /// Nodes that no member and no spring is joined to.
    pub unused: Vec<bool>,
    /// Held by a support, per node.
    pub supported: Vec<[bool; 6]>,
}

impl Numbering {
    pub(super) fn new(frame: &Frame, elements: &[Element], pins: &[Dof]) -> Self {
        let Held { held, idle, unused, supported } =
            Held::on(frame, &frame.supports, elements, pins);
        let mut equation = vec![[NONE; 6]; frame.nodes.len()];
        let mut dofs = Vec::new();
        for (node, numbers) in equation.iter_mut().enumerate() {
            for (dof, number) in numbers.iter_mut().enumerate() {
                if !held[node][dof] {
                    *number = dofs.len();
                    dofs.push((node, dof));
                }
            }
        }
        Self { equation, dofs, idle, unused, supported }
    }

    /// Numbers of the twelve unknowns of a member's nodes.
    pub(super) fn of(&self, element: &Element) -> [usize; 12] {
        let mut numbers = [NONE; 12];
        for end in 0..2 {
            numbers[6 * end..6 * end + 6].copy_from_slice(&self.equation[element.nodes[end]]);
        }
        numbers
    }
}

/// What is no unknown, and why.
pub(super) struct Held {
    /// Per node and degree of freedom: held, idle, or joined to nothing.
    pub held: Vec<[bool; 6]>,
    /// As in [`Numbering`].
    idle: Vec<(usize, Vector3<f64>)>,
    unused: Vec<bool>,
    supported: Vec<[bool; 6]>,
}

impl Held {
    /// On supports that need not be the frame's own.
    pub(super) fn on(
        frame: &Frame,
        supports: &[Support],
        elements: &[Element],
        pins: &[Dof],
    ) -> Self {
        let count = frame.nodes.len();
        let mut supported = vec![[false; 6]; count];
        for support in supports {
            for (held, fixed) in supported[support.node].iter_mut().zip(support.fixed) {
                *held |= fixed;
            }
        }
        let (turned, unused) = joined(frame, elements, &supported);
        let mut held = supported.clone();
        let mut idle = Vec::new();
        for node in 0..count {
            if unused[node] {
                held[node] = [true; 6];
                continue;
            }
            for (direction, axis) in idle_directions(&turned[node]) {
                held[node][3 + axis] = true;
                idle.push((node, direction));
            }
        }
        for (node, dof) in pins {
            held[*node][*dof] = true;
        }
        Self { held, idle, unused, supported }
    }
}

/// Per node: sum of r·rᵀ over the directions it turns something about; and whether it is unused.
fn joined(
    frame: &Frame,
    elements: &[Element],
    supported: &[[bool; 6]],
) -> (Vec<Matrix3<f64>>, Vec<bool>) {
    let mut turned = vec![Matrix3::zeros(); frame.nodes.len()];
    let mut unused = vec![true; frame.nodes.len()];
    for element in elements {
        for (end, node) in element.nodes.into_iter().enumerate() {
            unused[node] = false;
            if element.arms.is_some() {
                for mode in strain_modes(element, element.length) {
                    let r = Vector3::from_column_slice(&mode[6 * end + 3..6 * end + 6]);
                    turned[node] += r * r.transpose();
                }
                continue;
            }
            for axis in 0..3 {
                if element.turns(end, axis) {
                    let r = element.axes.row(axis).transpose();
                    turned[node] += r * r.transpose();
                }
            }
        }
    }
    for spring in &frame.springs {
        for axis in 0..3 {
            if spring.k[3 + axis] > 0.0 {
                turned[spring.node][(axis, axis)] += 1.0;
            }
        }
        if spring.k.iter().any(|k| *k > 0.0) {
            unused[spring.node] = false;
        }
    }
    for (node, fixed) in supported.iter().enumerate() {
        for axis in 0..3 {
            if fixed[3 + axis] {
                turned[node][(axis, axis)] += 1.0;
            }
        }
    }
    (turned, unused)
}

/// Idle directions of a node, each with an axis along which it has a one and the others a zero.
fn idle_directions(turned: &Matrix3<f64>) -> Vec<(Vector3<f64>, usize)> {
    let off = turned[(0, 1)].abs() + turned[(0, 2)].abs() + turned[(1, 2)].abs();
    if off == 0.0 {
        // Along the frame's axes, as nearly always.
        let idle = (0..3).filter(|a| turned[(*a, *a)] == 0.0);
        return idle.map(|a| (Vector3::ith(a, 1.0), a)).collect();
    }
    let eigen = turned.symmetric_eigen();
    let idle = (0..3).filter(|k| eigen.eigenvalues[*k] < SAME_DIRECTION);
    steady_basis(idle.map(|k| eigen.eigenvectors.column(k).into_owned()).collect())
}

/// The same space of directions in reduced echelon form, each vector with its pivot axis: it does
/// not depend on which basis the eigen-solver chose.
fn steady_basis(mut rows: Vec<Vector3<f64>>) -> Vec<(Vector3<f64>, usize)> {
    let mut axes: Vec<usize> = Vec::new();
    for k in 0..rows.len() {
        let mut best = (k, 0, -1.0);
        for (r, row) in rows.iter().enumerate().skip(k) {
            for axis in 0..3 {
                if !axes.contains(&axis) && row[axis].abs() > best.2 {
                    best = (r, axis, row[axis].abs());
                }
            }
        }
        rows.swap(k, best.0);
        axes.push(best.1);
        let pivot = rows[k] / rows[k][best.1];
        rows[k] = pivot;
        for (r, row) in rows.iter_mut().enumerate() {
            if r != k {
                *row -= pivot * row[best.1];
            }
        }
    }
    rows.into_iter().zip(axes).collect()
}
