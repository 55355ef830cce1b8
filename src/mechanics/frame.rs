//! A space frame as the mechanics sees it: nodes, members, supports, springs and loads.
//!
//! Any consistent set of units will do. Degrees of freedom of a node are numbered
//! `0 1 2` (translation along global x, y, z) and `3 4 5` (rotation about them). Local x of a
//! member runs from `i` to `j`, local z is given, local y = z × x.
//!
//! The order of work:
//! 1. [`Frame::check`]: what cannot be judged is said, with the member or node.
//! 2. [`super::mechanisms::find`]: motions that strain nothing, and the pins that stop them.
//! 3. [`super::model::Model::new`] with those pins: numbering, pattern and elimination order.
//! 4. `Model::factor` then `Factored::solve` per load case; `Model::inertia`, `Model::lowest`
//!    and `Model::second_order` with axial forces from a solution.

use crate::assembly::model::{Point, Vector};

/// Stiffness data of a member's cross-section, in consistent units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Elastic modulus.
    pub e: f64,
    /// Shear modulus.
    pub g: f64,
    /// Area.
    pub a: f64,
    /// Second moment for bending in the local x-z plane (rotation about local y).
    pub iy: f64,
    /// Second moment for bending in the local x-y plane (rotation about local z).
    pub iz: f64,
    /// Torsion constant.
    pub j: f64,
}

/// How the end of a beam is joined to its node, for the rotation about one local axis.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Release {
    #[default]
    Rigid,
    Free,
    /// Rotational spring, moment per radian, greater than zero.
    Spring(f64),
}

/// What a member resists.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum MemberKind {
    /// Axial force, two bending planes, torsion.
    #[default]
    Beam,
    /// Axial force alone.
    Bar,
}

/// Rigid arms from the nodes to the ends of a member whose axis misses them: an eccentric joint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arms {
    /// From node `i` and from node `j` to the member's end there, global axes.
    pub at: [Vector; 2],
}

/// A straight member between two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FrameMember {
    pub i: usize,
    pub j: usize,
    /// Index into [`Frame::sections`].
    pub section: usize,
    pub kind: MemberKind,
    /// Local z; need not be of unit length nor exactly square to the member. Not read for bars.
    pub z: Vector,
    /// `[end][local axis x, y, z]`. Not read for bars.
    pub release: [[Release; 3]; 2],
    /// Where the member's axis misses its nodes.
    pub arms: Option<Arms>,
}

/// A fixed node: `true` where the displacement or rotation is zero.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Support {
    pub node: usize,
    pub fixed: [bool; 6],
}

/// Springs from a node to the ground, global axes, force per length and moment per radian.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spring {
    pub node: usize,
    pub k: [f64; 6],
}

/// One degree of freedom of one node: `(node, 0..6)`.
pub type Dof = (usize, usize);

/// A space frame.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Frame {
    pub nodes: Vec<Point>,
    pub sections: Vec<Section>,
    pub members: Vec<FrameMember>,
    pub supports: Vec<Support>,
    pub springs: Vec<Spring>,
}

/// Loads that act together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LoadCase {
    /// Forces and moments on nodes, global axes.
    pub nodal: Vec<(usize, [f64; 6])>,
    /// Force per length of member, global axes.
    pub uniform: Vec<(usize, [f64; 3])>,
}

/// Which stiffness a beam gets when it carries axial force.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ElementForm {
    /// The exact solution of the beam-column equation (stability functions). One element does
    /// for a prismatic member however slender; released ends are condensed out exactly.
    #[default]
    Exact,
    /// Cubic shape functions with the consistent geometric stiffness, the usual finite element.
    /// Needs four or more elements to a post. Released rotations stay unknowns.
    Cubic,
}

/// Why a frame cannot be taken up at all.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FrameError {
    #[error("the frame has no nodes")]
    Empty,
    #[error("the frame has no support: nothing joins it to the ground")]
    NoSupport,
    #[error("node {node} has a coordinate that is not a finite number")]
    NodeNotFinite { node: usize },
    #[error("member {member} names node {node}, and there are only {nodes}")]
    MemberNode { member: usize, node: usize, nodes: usize },
    #[error("member {member} names section {section}, and there are only {sections}")]
    MemberSection { member: usize, section: usize, sections: usize },
    #[error("member {member} runs from a node to a node at the same place (length {length:e})")]
    ZeroLength { member: usize, length: f64 },
    #[error("member {member} has an arm that is not a finite number")]
    ArmNotFinite { member: usize },
    #[error("member {member} acts one way and has an arm; that is not taken up")]
    ArmOneWay { member: usize },
    #[error("member {member} has a local z along the member, or none")]
    Orientation { member: usize },
    #[error("section {section}: {what} is {value}; it must be finite and not negative")]
    Section { section: usize, what: &'static str, value: f64 },
    #[error("member {member} has no axial stiffness (E·A = {value})")]
    NoAxialStiffness { member: usize, value: f64 },
    #[error("member {member}: a rotational spring of {value}; it must be finite and above zero")]
    ReleaseSpring { member: usize, value: f64 },
    #[error("support {support} names node {node}, and there are only {nodes}")]
    SupportNode { support: usize, node: usize, nodes: usize },
    #[error("spring {spring} names node {node}, and there are only {nodes}")]
    SpringNode { spring: usize, node: usize, nodes: usize },
    #[error("spring {spring} has a stiffness of {value}; it must be finite and not negative")]
    SpringStiffness { spring: usize, value: f64 },
    #[error("the load case names {what} {index}, and there are only {count}")]
    LoadIndex { what: &'static str, index: usize, count: usize },
    #[error("the load on {what} {index} is not a finite number")]
    LoadNotFinite { what: &'static str, index: usize },
    #[error("degree of freedom {dof} of node {node} does not exist")]
    Pin { node: usize, dof: usize },
    #[error("{given} axial forces for {members} members")]
    AxialCount { given: usize, members: usize },
    #[error("member {member}: the axial force is not a finite number")]
    AxialNotFinite { member: usize },
    #[error("the load factor {0} is not a finite number")]
    Factor(f64),
}

impl FrameMember {
    /// A bar between two nodes.
    #[must_use]
    pub fn bar(i: usize, j: usize, section: usize) -> Self {
        Self {
            i,
            j,
            section,
            kind: MemberKind::Bar,
            z: Vector::zeros(),
            release: [[Release::Rigid; 3]; 2],
            arms: None,
        }
    }

    /// A beam rigidly joined at both ends.
    #[must_use]
    pub fn beam(i: usize, j: usize, section: usize, z: Vector) -> Self {
        Self {
            i,
            j,
            section,
            kind: MemberKind::Beam,
            z,
            release: [[Release::Rigid; 3]; 2],
            arms: None,
        }
    }

    /// The same member, its ends off their nodes by these arms.
    #[must_use]
    pub fn off(mut self, at_i: Vector, at_j: Vector) -> Self {
        let off = at_i != Vector::zeros() || at_j != Vector::zeros();
        self.arms = off.then_some(Arms { at: [at_i, at_j] });
        self
    }

    /// The same beam, hinged about its local y and z at end 0 or 1 (torsion stays joined).
    #[must_use]
    pub fn hinged(mut self, end: usize) -> Self {
        self.release[end][1] = Release::Free;
        self.release[end][2] = Release::Free;
        self
    }
}

impl Support {
    /// Held against translation, free to turn: a pin.
    #[must_use]
    pub fn pin(node: usize) -> Self {
        Self { node, fixed: [true, true, true, false, false, false] }
    }

    /// Held against everything.
    #[must_use]
    pub fn fixed(node: usize) -> Self {
        Self { node, fixed: [true; 6] }
    }
}

impl Frame {
    /// Says whether the frame can be taken up at all; it may still be a mechanism.
    ///
    /// # Errors
    /// The first fault found, with the index of the node, member, section, support or spring.
    pub fn check(&self) -> Result<(), FrameError> {
        super::frame_check::check(self)
    }

    /// Says whether a load case fits the frame.
    ///
    /// # Errors
    /// A node or member that does not exist, or a load that is not finite.
    pub fn check_case(&self, case: &LoadCase) -> Result<(), FrameError> {
        super::frame_check::check_case(self, case)
    }

    /// Length of a member, between its own ends.
    #[must_use]
    pub fn length(&self, member: usize) -> f64 {
        self.run(member).norm()
    }

    /// Displacement of a member's end under displacements of the nodes.
    pub(super) fn end_moved(&self, member: usize, end: usize, moved: &[[f64; 6]]) -> Vector {
        let m = &self.members[member];
        let d = moved[[m.i, m.j][end]];
        let arm = m.arms.map_or_else(Vector::zeros, |arms| arms.at[end]);
        Vector::new(d[0], d[1], d[2]) + Vector::new(d[3], d[4], d[5]).cross(&arm)
    }

    /// From a member's first end to its second.
    pub(super) fn run(&self, member: usize) -> Vector {
        let m = &self.members[member];
        let arms = m.arms.map_or([Vector::zeros(); 2], |arms| arms.at);
        self.nodes[m.j] - self.nodes[m.i] + arms[1] - arms[0]
    }
}
