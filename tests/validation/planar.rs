//! Plane frames in x-z, held against leaving the plane, with any number of elements a member.

use standwell::assembly::model::{Point, Vector};
use standwell::mechanics::answers::CriticalMode;
use standwell::mechanics::frame::{
    ElementForm, Frame, FrameMember, LoadCase, Release, Section, Spring, Support,
};
use standwell::mechanics::model::Model;

pub const PIN: [bool; 3] = [true, true, false];
pub const FIX: [bool; 3] = [true, true, true];
/// Held sideways, free to go down and to turn.
pub const GUIDE: [bool; 3] = [true, false, false];
/// Held sideways and against turning.
pub const CLAMP: [bool; 3] = [true, false, true];
/// Free to sway, held against turning.
pub const SWAY: [bool; 3] = [false, false, true];
pub const FREE: [bool; 3] = [false, false, false];

#[derive(Default)]
pub struct Planar {
    pub frame: Frame,
    pub load: LoadCase,
}

impl Planar {
    pub fn section(&mut self, ea: f64, ei: f64) -> usize {
        self.frame.sections.push(Section { e: 1.0, g: 0.4, a: ea, iy: ei, iz: ei, j: ei });
        self.frame.sections.len() - 1
    }

    /// A node; `held` in x, z and against turning.
    pub fn node(&mut self, x: f64, z: f64, held: [bool; 3]) -> usize {
        let node = self.frame.nodes.len();
        self.frame.nodes.push(Point::new(x, 0.0, z));
        let fixed = [held[0], true, held[1], true, held[2], true];
        self.frame.supports.push(Support { node, fixed });
        node
    }

    /// A member of `n` equal elements.
    pub fn member(
        &mut self,
        i: usize,
        j: usize,
        section: usize,
        n: usize,
    ) -> std::ops::Range<usize> {
        let first = self.frame.members.len();
        let (a, b) = (self.frame.nodes[i], self.frame.nodes[j]);
        let mut last = i;
        for k in 1..=n {
            let next = if k == n {
                j
            } else {
                let p = a + (b - a) * (k as f64 / n as f64);
                self.node(p.x, p.z, FREE)
            };
            self.frame.members.push(FrameMember::beam(last, next, section, -Vector::y()));
            last = next;
        }
        first..self.frame.members.len()
    }

    pub fn bar(&mut self, i: usize, j: usize, section: usize) {
        self.frame.members.push(FrameMember::bar(i, j, section));
    }

    /// Joins an end of an element to its node by a rotational spring, or not at all.
    pub fn release(&mut self, member: usize, end: usize, release: Release) {
        self.frame.members[member].release[end][2] = release;
    }

    pub fn spring(&mut self, node: usize, k: [f64; 3]) {
        self.frame.springs.push(Spring { node, k: [k[0], 0.0, k[1], 0.0, k[2], 0.0] });
    }

    pub fn force(&mut self, node: usize, x: f64, z: f64) {
        self.load.nodal.push((node, [x, 0.0, z, 0.0, 0.0, 0.0]));
    }

    /// Axial forces by the first-order solution of the load.
    pub fn axial(&self, form: ElementForm) -> Vec<f64> {
        let model = Model::new(&self.frame, form, &[]).unwrap();
        model.factor().unwrap().solve(&self.load).unwrap().axial
    }

    pub fn lowest(&self, form: ElementForm, k: usize) -> Vec<CriticalMode> {
        let model = Model::new(&self.frame, form, &[]).unwrap();
        let axial = self.axial(form);
        let modes = model.lowest(&axial, k).unwrap();
        // The count agrees on both sides of each.
        for mode in &modes {
            let below = model.inertia(&axial, mode.factor * (1.0 - 1e-6)).unwrap().negative;
            let above = model.inertia(&axial, mode.factor * (1.0 + 1e-6)).unwrap().negative;
            assert!(below < above, "no count changes at {}", mode.factor);
        }
        modes
    }

    pub fn first(&self, form: ElementForm) -> f64 {
        self.lowest(form, 1)[0].factor
    }
}
