//! What loads put on the nodes of a member, and what its nodes' movements bring to its ends.

use super::element::{Element, MOST, PLACES, TURN};
use super::frame::ElementForm;
use super::plane::Plane;

impl Element {
    /// Global load per length in local axes.
    pub(super) fn local_load(&self, load: [f64; 3]) -> [f64; 3] {
        (self.axes * nalgebra::Vector3::from(load)).into()
    }

    /// What a uniform load (local axes) puts on the nodes and own rotations, nodes in global axes.
    pub(super) fn nodal_load(
        &self,
        form: ElementForm,
        axial: f64,
        load: [f64; 3],
    ) -> Option<[f64; MOST]> {
        let mut f = [0.0; MOST];
        f[0] = load[0] * self.length / 2.0;
        f[6] = f[0];
        for (plane, turn) in TURN.into_iter().enumerate().filter(|(p, _)| load[1 + p] != 0.0) {
            let p = self.plane(form, plane, axial, load)?;
            let places = self.places(form, plane);
            for (a, place) in places.iter().enumerate() {
                f[*place] += p.load[a] * if a % 2 == 1 { turn } else { 1.0 };
            }
        }
        for block in 0..4 {
            let local = nalgebra::Vector3::new(f[3 * block], f[3 * block + 1], f[3 * block + 2]);
            let global = self.axes.transpose() * local;
            f[3 * block..3 * block + 3].copy_from_slice(global.as_slice());
        }
        if let Some(arms) = &self.arms {
            arms.carry_load(&mut f);
        }
        Some(f)
    }

    /// Forces on the member by its nodes, local axes, from nodes' displacements (global axes)
    /// and own rotations.
    pub(super) fn end_forces(
        &self,
        form: ElementForm,
        axial: f64,
        load: [f64; 3],
        displaced: &[f64; MOST],
    ) -> Option<[[f64; 6]; 2]> {
        Some(self.end_forces_by(form, &self.planes(form, axial, load)?, load, displaced))
    }

    /// Its bending planes under an axial force, with its load in local axes per length.
    pub(super) fn planes(
        &self,
        form: ElementForm,
        axial: f64,
        load: [f64; 3],
    ) -> Option<[Plane; 2]> {
        Some([self.plane(form, 0, axial, load)?, self.plane(form, 1, axial, load)?])
    }

    /// [`Element::end_forces`] with the planes at hand.
    pub(super) fn end_forces_by(
        &self,
        form: ElementForm,
        planes: &[Plane; 2],
        load: [f64; 3],
        displaced: &[f64; MOST],
    ) -> [[f64; 6]; 2] {
        let mut d = *displaced;
        if let Some(arms) = &self.arms {
            arms.move_ends(&mut d);
        }
        for block in 0..4 {
            let global = nalgebra::Vector3::new(d[3 * block], d[3 * block + 1], d[3 * block + 2]);
            let local = self.axes * global;
            d[3 * block..3 * block + 3].copy_from_slice(local.as_slice());
        }
        let mut f = [0.0; 12];
        let pull = self.axial * (d[6] - d[0]);
        f[0] = -pull - load[0] * self.length / 2.0;
        f[6] = pull - load[0] * self.length / 2.0;
        let twist = self.torsion * (d[9] - d[3]);
        (f[3], f[9]) = (-twist, twist);
        for (plane, p) in planes.iter().enumerate() {
            let places = self.places(form, plane);
            let turn = TURN[plane];
            let nodes = [d[places[0]], turn * d[places[1]], d[places[2]], turn * d[places[3]]];
            let forces = p.forces(nodes);
            for (a, place) in PLACES[plane].iter().enumerate() {
                f[*place] = forces[a] * if a % 2 == 1 { turn } else { 1.0 };
            }
        }
        let mut ends = [[0.0; 6]; 2];
        ends[0].copy_from_slice(&f[..6]);
        ends[1].copy_from_slice(&f[6..]);
        ends
    }

    /// Force and moment by which a node acts on the member, global axes, from the forces on the
    /// member's end and the displacements of its nodes.
    pub(super) fn at_node(
        &self,
        end: usize,
        forces: &[f64; 6],
        axial: f64,
        displaced: &[f64; MOST],
    ) -> [nalgebra::Vector3<f64>; 2] {
        let part = |k: usize| {
            let local = nalgebra::Vector3::from_column_slice(&forces[3 * k..3 * k + 3]);
            self.axes.transpose() * local
        };
        let (force, mut moment) = (part(0), part(1));
        if let Some(arms) = &self.arms {
            let at = 6 * end + 3;
            let turned = nalgebra::Vector3::from_column_slice(&displaced[at..at + 3]);
            moment += arms.moment(end, force, axial, turned);
        }
        [force, moment]
    }
}
