//! Rigid arms at the ends of a member whose axis misses its nodes.
//!
//! With the arm a the end moves by u + θ × a. To the second order in θ it also moves by
//! ½ θ × (θ × a); along the member's axis x that is work of its axial force N, with the stiffness
//! ±N·(½(x·aᵀ + a·xᵀ) − (x·a)·1), plus at the second end and minus at the first. Checked against
//! two rigid links on a spring and against columns loaded off their axis, `tests/validation/`.

use super::element::{ElementMatrix, MOST};
use nalgebra::{Matrix3, Vector3};

/// The two arms of one member.
#[derive(Clone, Copy, Debug)]
pub(super) struct Arms {
    at: [Vector3<f64>; 2],
    along: Vector3<f64>,
}

impl Arms {
    /// Arms in global axes, and the unit vector along the member.
    pub(super) fn new(at: [Vector3<f64>; 2], along: Vector3<f64>) -> Self {
        Self { at, along }
    }

    /// Takes a stiffness on the member's ends over to its nodes.
    pub(super) fn carry(&self, k: &mut ElementMatrix, axial: f64) {
        for (end, arm) in self.at.iter().enumerate() {
            let (moves, turns) = (6 * end, 6 * end + 3);
            let by = -arm.cross_matrix();
            let columns = k.fixed_view::<MOST, 3>(0, moves) * by;
            let mut into = k.fixed_view_mut::<MOST, 3>(0, turns);
            into += columns;
            let rows = by.transpose() * k.fixed_view::<3, MOST>(moves, 0);
            let mut into = k.fixed_view_mut::<3, MOST>(turns, 0);
            into += rows;
            let mut own = k.fixed_view_mut::<3, 3>(turns, turns);
            own += self.geometric(end, axial);
        }
    }

    /// What the axial force does through the turning of an arm.
    fn geometric(&self, end: usize, axial: f64) -> Matrix3<f64> {
        let (x, a) = (self.along, self.at[end]);
        let both = x * a.transpose();
        let sign = if end == 0 { -1.0 } else { 1.0 };
        (0.5 * (both + both.transpose()) - Matrix3::identity() * x.dot(&a)) * (sign * axial)
    }

    /// Takes loads on the member's ends over to its nodes.
    pub(super) fn carry_load(&self, f: &mut [f64; MOST]) {
        for (end, arm) in self.at.iter().enumerate() {
            let at = 6 * end;
            let moment = arm.cross(&Vector3::from_column_slice(&f[at..at + 3]));
            f[at + 3..at + 6].iter_mut().zip(moment.iter()).for_each(|(m, more)| *m += more);
        }
    }

    /// Displacements of the nodes become those of the member's ends.
    pub(super) fn move_ends(&self, d: &mut [f64]) {
        for (end, arm) in self.at.iter().enumerate() {
            let at = 6 * end;
            let moved = Vector3::from_column_slice(&d[at + 3..at + 6]).cross(arm);
            d[at..at + 3].iter_mut().zip(moved.iter()).for_each(|(u, more)| *u += more);
        }
    }

    /// Moment by which the node acts, beyond the moment on the member's end.
    pub(super) fn moment(
        &self,
        end: usize,
        force: Vector3<f64>,
        axial: f64,
        turned: Vector3<f64>,
    ) -> Vector3<f64> {
        self.at[end].cross(&force) + self.geometric(end, axial) * turned
    }

    /// A strain mode of the ends (global axes, lengths in units of `size`) as one of the nodes.
    pub(super) fn carry_mode(&self, mode: &mut [f64; 12], size: f64) {
        for (end, arm) in self.at.iter().enumerate() {
            let at = 6 * end;
            let turn = (arm / size).cross(&Vector3::from_column_slice(&mode[at..at + 3]));
            mode[at + 3..at + 6].iter_mut().zip(turn.iter()).for_each(|(m, more)| *m += more);
        }
    }
}
