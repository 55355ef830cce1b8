//! One bending plane of a member: stiffness, released ends, load and what is recovered from them.
//!
//! Unknowns `(v1, θ1, v2, θ2)`, θ turning x towards v. An end that is not rigid has a rotation of
//! its own, joined to the node's by a spring (or nothing). It is eliminated here; a negative
//! pivot met on the way is a negative eigenvalue of the whole and is counted.

use super::stability::stability;

pub(super) type Plane4 = [[f64; 4]; 4];

/// How an end is joined: `None` rigid, `Some(0)` free, `Some(k)` spring.
pub(super) type EndJoint = Option<f64>;

/// Beam ends' own stiffness, before releases.
#[derive(Clone, Debug)]
pub(super) struct Plane {
    /// Stiffness on the beam's own ends.
    own: Plane4,
    /// Forces on held ends under the uniform load, as loads on the beam's own ends.
    own_load: [f64; 4],
    ends: [EndJoint; 2],
    steps: Vec<Step>,
    /// What the nodes feel.
    pub stiffness: Plane4,
    pub load: [f64; 4],
    /// Negative eigenvalues inside: of the held beam and of the eliminated rotations.
    pub negative: usize,
    /// Smallest pivot met, relative: near zero the count inside is not certain.
    pub weakest: f64,
}

#[derive(Clone, Copy, Debug)]
struct Step {
    place: usize,
    row: [f64; 4],
    pivot: f64,
    spring: f64,
    load: f64,
}

/// A beam with its ends as they are, before releases.
#[derive(Clone, Copy, Debug)]
pub(super) struct Own {
    /// Stiffness, `(v1, θ1, v2, θ2)`.
    pub stiffness: Plane4,
    /// Moment at held ends under a uniform load w, of w·L².
    pub held: f64,
    /// Buckling loads with both ends held that lie below the force, and how clear of one it is.
    pub below: usize,
    pub clear: f64,
}

impl Own {
    fn steady(stiffness: Plane4) -> Self {
        Self { stiffness, held: 1.0 / 12.0, below: 0, clear: 1.0 }
    }
}

/// The exact stiffness of a beam.
pub(super) fn exact(ei: f64, length: f64, axial: f64) -> Option<Own> {
    if ei == 0.0 {
        return Some(Own::steady(string(length, axial)));
    }
    let s = stability(axial * length * length / ei)?;
    let unit = ei / length;
    let moment = unit * (s.near + s.far) / length;
    let shear = unit * s.sway / (length * length);
    let (near, far) = (unit * s.near, unit * s.far);
    let stiffness = [
        [shear, moment, -shear, moment],
        [moment, near, -moment, far],
        [-shear, -moment, shear, -moment],
        [moment, far, -moment, near],
    ];
    Some(Own { stiffness, held: s.held, below: s.below, clear: s.clear })
}

/// Stiffness of cubic shape functions, with the geometric stiffness that is consistent with them
/// (Przemieniecki, *Theory of Matrix Structural Analysis* (1968), ch. 15; from memory).
pub(super) fn cubic(ei: f64, length: f64, axial: f64) -> Own {
    if ei == 0.0 {
        return Own::steady(string(length, axial));
    }
    let l = length;
    let b = ei / (l * l * l);
    let g = axial / (30.0 * l);
    let entry = |bend: f64, geometric: f64| b * bend + g * geometric;
    let (a, c) = (entry(12.0, 36.0), entry(6.0 * l, 3.0 * l));
    let (d, f) = (entry(4.0 * l * l, 4.0 * l * l), entry(2.0 * l * l, -l * l));
    Own::steady([[a, c, -a, c], [c, d, -c, f], [-a, -c, a, -c], [c, f, -c, d]])
}

/// A string: what an axial force does to a member without bending stiffness.
fn string(length: f64, axial: f64) -> Plane4 {
    let t = axial / length;
    [[t, 0.0, -t, 0.0], [0.0; 4], [-t, 0.0, t, 0.0], [0.0; 4]]
}

impl Plane {
    /// Eliminates the ends that are not rigid.
    pub(super) fn new(own: &Own, load: [f64; 4], ends: [EndJoint; 2]) -> Self {
        let mut plane = Self {
            own: own.stiffness,
            own_load: load,
            ends,
            steps: Vec::new(),
            stiffness: own.stiffness,
            load,
            negative: own.below,
            weakest: own.clear,
        };
        let mut todo: Vec<usize> = (0..2).filter(|e| ends[*e].is_some()).collect();
        // The larger pivot first.
        todo.sort_by(|a, b| plane.pivot(*b).abs().total_cmp(&plane.pivot(*a).abs()));
        for end in todo {
            plane.eliminate(end);
        }
        plane
    }

    fn pivot(&self, end: usize) -> f64 {
        let place = 2 * end + 1;
        self.stiffness[place][place] + self.ends[end].unwrap_or(0.0)
    }

    fn eliminate(&mut self, end: usize) {
        let place = 2 * end + 1;
        let spring = self.ends[end].unwrap_or(0.0);
        let row = self.stiffness[place];
        let pivot = self.pivot(end);
        let load = self.load[place];
        if pivot == 0.0 && row.iter().all(|v| *v == 0.0) {
            // Nothing bends here: there is nothing to eliminate.
            return;
        }
        let size = row.iter().fold(spring.abs(), |m, v| m.max(v.abs()));
        // The row mixes forces and moments; only its rotations are alike.
        let alike = row[1].abs().max(row[3].abs()).max(spring.abs());
        let against = if alike > 0.0 { alike } else { size };
        self.weakest = self.weakest.min(pivot.abs() / against);
        if pivot < 0.0 {
            self.negative += 1;
        }
        for a in 0..4 {
            for b in 0..4 {
                if a != place && b != place {
                    self.stiffness[a][b] -= row[a] * row[b] / pivot;
                }
            }
            if a != place {
                self.stiffness[a][place] = spring * row[a] / pivot;
                self.stiffness[place][a] = self.stiffness[a][place];
                self.load[a] -= row[a] * load / pivot;
            }
        }
        self.stiffness[place][place] = spring * (row[place] / pivot);
        self.load[place] = spring * load / pivot;
        self.steps.push(Step { place, row, pivot, spring, load });
    }

    /// Displacements of the beam's own ends from those of the nodes.
    pub(super) fn own_ends(&self, nodes: [f64; 4]) -> [f64; 4] {
        let mut own = nodes;
        for step in self.steps.iter().rev() {
            let mut sum = step.load + step.spring * nodes[step.place];
            for (a, coefficient) in step.row.iter().enumerate() {
                if a != step.place {
                    sum -= coefficient * own[a];
                }
            }
            own[step.place] = sum / step.pivot;
        }
        own
    }

    /// Forces on the beam by its nodes, from the nodes' displacements.
    pub(super) fn forces(&self, nodes: [f64; 4]) -> [f64; 4] {
        let own = self.own_ends(nodes);
        let mut forces = [0.0; 4];
        for (a, f) in forces.iter_mut().enumerate() {
            *f = (0..4).map(|b| self.own[a][b] * own[b]).sum::<f64>() - self.own_load[a];
        }
        forces
    }
}
