//! One member: its local axes, and its stiffness in either form. Loads and end forces are in `element_forces`.
//!
//! Local unknowns are `[u v w θx θy θz]` at `i`, the same at `j`, then (cubic form only) the own
//! rotations of ends that are not rigid. Torsion is GJ/L in series with its end springs; it takes
//! no part in the geometric stiffness.

use nalgebra::{Matrix3, SMatrix};
use std::ops::Deref;
use std::sync::Arc;

use super::arms::Arms;
use super::frame::{ElementForm, Frame, MemberKind, Release};
use super::plane::{EndJoint, Own, Plane, Plane4, cubic, exact};

/// Twelve unknowns of the nodes, and at most four own rotations.
pub(super) const MOST: usize = 16;
pub(super) type ElementMatrix = SMatrix<f64, MOST, MOST>;

/// Bending plane 0 is local x-y (rotation θz), plane 1 is local x-z (rotation −θy).
pub(super) const PLACES: [[usize; 4]; 2] = [[1, 5, 7, 11], [2, 4, 8, 10]];
pub(super) const TURN: [f64; 2] = [1.0, -1.0];

/// A member with everything about it that does not depend on the axial force.
#[derive(Clone, Debug)]
pub(super) struct Element {
    pub nodes: [usize; 2],
    makeup: Arc<Makeup>,
}

/// All of a member but where it is joined: members that are alike share it.
#[derive(Clone, Debug)]
pub(super) struct Makeup {
    pub length: f64,
    /// Rows are local x, y, z.
    pub axes: Matrix3<f64>,
    /// By local axis: the global one it is, and its sense, where it is one.
    along: Option<[(usize, f64); 3]>,
    pub axial: f64,
    pub torsion: f64,
    /// EI of plane 0 and 1; zero for bars.
    pub bending: [f64; 2],
    /// `[plane][end]`.
    pub ends: [[EndJoint; 2]; 2],
    /// Where the axis misses the nodes.
    pub arms: Option<Arms>,
}

/// A member's stiffness on its nodes (global axes) and own rotations.
pub(super) struct Assembled {
    pub matrix: ElementMatrix,
    /// Critical factors inside the member below the force.
    pub negative: usize,
    /// How clear of one of them it is.
    pub weakest: f64,
}

impl Element {
    pub(super) fn new(frame: &Frame, member: usize) -> Self {
        let m = &frame.members[member];
        let section = &frame.sections[m.section];
        let along = frame.run(member);
        let length = along.norm();
        let x = along / length;
        let bar = m.kind == MemberKind::Bar;
        let z = if bar { any_square_to(&x) } else { (m.z - x * x.dot(&m.z)).normalize() };
        let y = z.cross(&x);
        let axes = Matrix3::from_rows(&[x.transpose(), y.transpose(), z.transpose()]);
        let joint = |end: usize, axis: usize| match m.release[end][axis] {
            Release::Rigid => None,
            Release::Free => Some(0.0),
            Release::Spring(k) => Some(k),
        };
        let torsion = if bar {
            0.0
        } else {
            in_series(section.g * section.j / length, joint(0, 0), joint(1, 0))
        };
        let bending = if bar { [0.0; 2] } else { [section.e * section.iz, section.e * section.iy] };
        let ends = [[joint(0, 2), joint(1, 2)], [joint(0, 1), joint(1, 1)]];
        let makeup = Makeup {
            length,
            axes,
            along: along_global(&axes),
            axial: section.e * section.a / length,
            torsion,
            bending,
            ends,
            arms: m.arms.map(|arms| Arms::new(arms.at, x)),
        };
        Self { nodes: [m.i, m.j], makeup: Arc::new(makeup) }
    }

    /// One that is alike, between other nodes.
    pub(super) fn between(&self, nodes: [usize; 2]) -> Self {
        Self { nodes, makeup: Arc::clone(&self.makeup) }
    }
}

impl Deref for Element {
    type Target = Makeup;

    fn deref(&self) -> &Makeup {
        &self.makeup
    }
}

impl Makeup {
    /// Whether the member joins its end's rotation about a local axis to anything.
    pub(super) fn turns(&self, end: usize, axis: usize) -> bool {
        match axis {
            0 => self.torsion > 0.0,
            1 => self.bending[1] > 0.0 && self.ends[1][end] != Some(0.0),
            _ => self.bending[0] > 0.0 && self.ends[0][end] != Some(0.0),
        }
    }

    /// Whether the member joins any rotation of its node to anything.
    pub(super) fn joins_turning(&self, end: usize) -> bool {
        self.arms.is_some() || (0..3).any(|axis| self.turns(end, axis))
    }

    /// `(plane, end)` of the own rotations that the cubic form keeps.
    pub(super) fn own_rotations(&self) -> Vec<(usize, usize)> {
        let mut own = Vec::new();
        for plane in 0..2 {
            for end in 0..2 {
                if self.bending[plane] > 0.0 && self.ends[plane][end].is_some() {
                    own.push((plane, end));
                }
            }
        }
        own
    }

    /// The plane under an axial force, with its load in local axes per length. In the exact form
    /// ends that are not rigid are eliminated, in the cubic form they stay.
    pub(super) fn plane(
        &self,
        form: ElementForm,
        plane: usize,
        axial: f64,
        load: [f64; 3],
    ) -> Option<Plane> {
        let ei = self.bending[plane];
        let (own, ends) = match form {
            ElementForm::Exact if ei > 0.0 => (exact(ei, self.length, axial)?, self.ends[plane]),
            ElementForm::Exact => (exact(ei, self.length, axial)?, [None; 2]),
            ElementForm::Cubic => (cubic(ei, self.length, axial), [None; 2]),
        };
        Some(self.across(&own, plane, load[1 + plane], ends))
    }

    fn across(&self, own: &Own, plane: usize, across: f64, ends: [EndJoint; 2]) -> Plane {
        let half = across * self.length / 2.0;
        let square = self.length * self.length;
        let moment = if self.bending[plane] > 0.0 { across * square * own.held } else { 0.0 };
        Plane::new(own, [half, moment, half, -moment], ends)
    }

    /// A plane of the exact form under a load across it, local axes; `own`: before releases, under its
    /// axial force.
    pub(super) fn loaded(&self, own: &Own, plane: usize, across: f64) -> Plane {
        let ends = if self.bending[plane] > 0.0 { self.ends[plane] } else { [None; 2] };
        self.across(own, plane, across, ends)
    }

    /// Places of a plane's unknowns: the own rotations of the cubic form take the nodes' place.
    pub(super) fn places(&self, form: ElementForm, plane: usize) -> [usize; 4] {
        let mut places = PLACES[plane];
        if form == ElementForm::Cubic {
            for (extra, (of, end)) in self.own_rotations().into_iter().enumerate() {
                if of == plane {
                    places[2 * end + 1] = 12 + extra;
                }
            }
        }
        places
    }

    /// Stiffness on nodes and own rotations under an axial force. `None` where the force is too
    /// large for the beam to be counted.
    pub(super) fn assemble(&self, form: ElementForm, axial: f64) -> Option<Assembled> {
        self.assemble_planes(form, axial, [true; 2])
    }

    /// The same in the exact form, entry by entry, of its bending planes those marked alone; what
    /// is nothing may be left out, and what is several things may come in parts. Gives the critical
    /// factors inside below the force.
    pub(super) fn entries(
        &self,
        axial: f64,
        planes: [bool; 2],
        add: &mut dyn FnMut(usize, usize, f64),
    ) -> Option<usize> {
        let Some(along) = &self.along.filter(|_| self.arms.is_none()) else {
            let assembled = self.assemble_planes(ElementForm::Exact, axial, planes)?;
            for (column, of) in assembled.matrix.column_iter().enumerate().take(12) {
                for (row, value) in of.iter().enumerate().take(12).filter(|(_, v)| **v != 0.0) {
                    add(row, column, *value);
                }
            }
            return Some(assembled.negative);
        };
        let global = |local: usize| (local - local % 3 + along[local % 3].0, along[local % 3].1);
        let mut put = |a: usize, b: usize, value: f64| {
            let ((a, sense), (b, turned)) = (global(a), global(b));
            add(a, b, sense * turned * value);
        };
        for (i, j, stiffness) in [(0, 6, self.axial), (3, 9, self.torsion)] {
            if stiffness != 0.0 {
                put(i, i, stiffness);
                put(j, j, stiffness);
                put(i, j, -stiffness);
                put(j, i, -stiffness);
            }
        }
        let mut negative = 0;
        for (plane, turn) in TURN.into_iter().enumerate().filter(|(plane, _)| planes[*plane]) {
            let p = self.plane(ElementForm::Exact, plane, axial, [0.0; 3])?;
            negative += p.negative;
            for (a, row) in p.stiffness.iter().enumerate() {
                for (b, value) in row.iter().enumerate() {
                    let sign = if (a + b) % 2 == 1 { turn } else { 1.0 };
                    put(PLACES[plane][a], PLACES[plane][b], sign * value);
                }
            }
        }
        Some(negative)
    }

    /// The same, of its bending planes those marked alone.
    pub(super) fn assemble_planes(
        &self,
        form: ElementForm,
        axial: f64,
        planes: [bool; 2],
    ) -> Option<Assembled> {
        let mut k = ElementMatrix::zeros();
        spring_between(&mut k, 0, 6, self.axial);
        spring_between(&mut k, 3, 9, self.torsion);
        let (mut negative, mut weakest) = (0, f64::INFINITY);
        for (plane, turn) in TURN.into_iter().enumerate().filter(|(plane, _)| planes[*plane]) {
            let p = self.plane(form, plane, axial, [0.0; 3])?;
            negative += p.negative;
            weakest = p.weakest.min(weakest);
            add_plane(&mut k, &p.stiffness, self.places(form, plane), turn);
        }
        if form == ElementForm::Cubic {
            for (extra, (plane, end)) in self.own_rotations().into_iter().enumerate() {
                let spring = self.ends[plane][end].unwrap_or(0.0);
                spring_between(&mut k, PLACES[plane][2 * end + 1], 12 + extra, spring);
            }
        }
        match &self.along {
            Some(along) => relabel(&mut k, along),
            None => rotate(&mut k, &self.axes),
        }
        if let Some(arms) = &self.arms {
            arms.carry(&mut k, axial);
        }
        Some(Assembled { matrix: k, negative, weakest })
    }
}

fn any_square_to(x: &nalgebra::Vector3<f64>) -> nalgebra::Vector3<f64> {
    let axis = nalgebra::Vector3::ith(x.iamin(), 1.0);
    (axis - x * x.dot(&axis)).normalize()
}

fn in_series(k: f64, a: EndJoint, b: EndJoint) -> f64 {
    if k == 0.0 || a == Some(0.0) || b == Some(0.0) {
        return 0.0;
    }
    let give = |joint: EndJoint| joint.map_or(0.0, |k| 1.0 / k);
    1.0 / (1.0 / k + give(a) + give(b))
}

fn spring_between(k: &mut ElementMatrix, a: usize, b: usize, stiffness: f64) {
    k[(a, a)] += stiffness;
    k[(b, b)] += stiffness;
    k[(a, b)] -= stiffness;
    k[(b, a)] -= stiffness;
}

fn add_plane(k: &mut ElementMatrix, plane: &Plane4, places: [usize; 4], turn: f64) {
    for a in 0..4 {
        for b in 0..4 {
            let sign = if (a + b) % 2 == 1 { turn } else { 1.0 };
            k[(places[a], places[b])] += sign * plane[a][b];
        }
    }
}

/// The global axes that local ones lie along, exactly.
fn along_global(axes: &Matrix3<f64>) -> Option<[(usize, f64); 3]> {
    let of = |row: usize| {
        let at = (0..3).find(|&c| axes[(row, c)].abs() == 1.0)?;
        let rest = (0..3).all(|c| c == at || axes[(row, c)] == 0.0);
        rest.then_some((at, axes[(row, at)]))
    };
    Some([of(0)?, of(1)?, of(2)?])
}

/// What [`rotate`] does, where local axes are global ones.
fn relabel(k: &mut ElementMatrix, along: &[(usize, f64); 3]) {
    let local = *k;
    let global = |at: usize| {
        if at >= 12 {
            return (at, 1.0);
        }
        let (axis, sense) = along[at % 3];
        (at - at % 3 + axis, sense)
    };
    for column in 0..MOST {
        let (to_column, turned) = global(column);
        for row in 0..MOST {
            let (to_row, sense) = global(row);
            // Minus nothing is nothing.
            k[(to_row, to_column)] = sense * turned * local[(row, column)] + 0.0;
        }
    }
}

/// Turns the nodes' rows and columns from local into global axes.
fn rotate(k: &mut ElementMatrix, axes: &Matrix3<f64>) {
    let back = axes.transpose();
    for block in 0..4 {
        let rows = back * k.fixed_view::<3, MOST>(3 * block, 0);
        k.fixed_view_mut::<3, MOST>(3 * block, 0).copy_from(&rows);
    }
    for block in 0..4 {
        let columns = k.fixed_view::<MOST, 3>(0, 3 * block) * axes;
        k.fixed_view_mut::<MOST, 3>(0, 3 * block).copy_from(&columns);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assembly::model::{Point, Vector};
    use crate::mechanics::frame::{FrameMember, Section};

    /// A member along a global axis is relabelled instead of turned: the same numbers.
    #[test]
    fn relabelled_is_turned() {
        let upright = ([0.0, 0.0, 3.0], Vector::x());
        let down = ([0.0, 0.0, -3.0], Vector::y());
        for (to, z) in [upright, down, ([0.0, -2.0, 0.0], Vector::z())] {
            let nodes = vec![Point::origin(), Point::new(to[0], to[1], to[2])];
            let mut frame = Frame { nodes, ..Frame::default() };
            frame.sections.push(Section { e: 2e11, g: 8e10, a: 1e-3, iy: 1e-6, iz: 2e-6, j: 2e-6 });
            frame.members.push(FrameMember::beam(0, 1, 0, z));
            let element = Element::new(&frame, 0);
            assert!(element.along.is_some());
            for form in [ElementForm::Exact, ElementForm::Cubic] {
                let relabelled = element.assemble(form, -1e4).unwrap().matrix;
                let turned = Makeup { along: None, ..(*element).clone() };
                assert_eq!(relabelled, turned.assemble(form, -1e4).unwrap().matrix);
                if form == ElementForm::Exact {
                    let mut sum = ElementMatrix::zeros();
                    let add = &mut |row, column, value| sum[(row, column)] += value;
                    element.entries(-1e4, [true; 2], add).unwrap();
                    assert_eq!(relabelled, sum);
                }
            }
        }
    }
}
