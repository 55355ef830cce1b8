//! What the frame engine answers, and how it says that it does not know.

use super::frame::{Dof, FrameError};

/// Why a question about a frame has no answer. Never to be read as "safe".
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Unknown {
    #[error(transparent)]
    Frame(#[from] FrameError),
    /// The spectrum of the compatibility matrix has no clear gap.
    #[error("whether {low} or {high} independent motions are free cannot be told apart")]
    NoGap { low: usize, high: usize },
    /// The stiffness is singular, or as good as singular: a mechanism was not pinned.
    #[error("the stiffness is singular or nearly so (node {node}, degree of freedom {dof})")]
    Singular { node: usize, dof: usize },
    /// Round-off could change the answer.
    #[error("ill-conditioned: {0}")]
    IllConditioned(String),
    /// An iteration that should have ended did not.
    #[error("not converged: {0}")]
    NotConverged(String),
    /// A moment acts on a joint about an axis about which nothing joins it.
    #[error("a load acts on node {node} in a direction in which nothing is joined to it")]
    LoadOnNothing { node: usize },
    /// The load is at or above the lowest critical one: no state of balance with small sway.
    #[error("unstable under these axial forces ({count} critical factors below)")]
    Unstable { count: usize },
    /// Memory did not suffice.
    #[error("not enough memory")]
    Memory,
    /// No axial force compresses anything, or none of it makes the frame unstable.
    #[error("no critical load factor up to {0:e}")]
    NoneUpTo(f64),
}

/// Motions that strain no member.
#[derive(Clone, Debug, PartialEq)]
pub struct Mechanisms {
    /// How many independent motions of the structure strain nothing, where the spectrum has a
    /// clear gap. A member turning about its own axis is not counted.
    pub count: Result<usize, Unknown>,
    /// One independent motion each: per node, translations and rotations, in frame axes; the
    /// largest translation is one. Each moves as few nodes as the basis allows. Empty where
    /// `count` is unknown.
    pub motions: Vec<Vec<[f64; 6]>>,
    /// One degree of freedom per motion which, held, stops that motion and no other.
    pub pins: Vec<Dof>,
    /// Independent turnings of a member, or chain of members, about its own axis.
    pub spins: usize,
    /// One degree of freedom per spin which, held, stops it.
    pub spin_pins: Vec<Dof>,
    /// Largest strain left in a motion, relative; how well the motions are null motions.
    pub residual: f64,
    /// Smallest eigenvalue above the gap, per unit; how far the rest is from moving.
    pub least_stiff: f64,
}

impl Mechanisms {
    /// No motion; how far the rest is from moving as given.
    pub(super) fn none(least_stiff: f64) -> Self {
        Self {
            count: Ok(0),
            motions: Vec::new(),
            pins: Vec::new(),
            spins: 0,
            spin_pins: Vec::new(),
            residual: 0.0,
            least_stiff,
        }
    }

    /// All pins, of motions and spins: what makes the rest of the frame regular.
    #[must_use]
    pub fn all_pins(&self) -> Vec<Dof> {
        self.pins.iter().chain(&self.spin_pins).copied().collect()
    }
}

/// Answer to one load case.
#[derive(Clone, Debug, PartialEq)]
pub struct Solution {
    /// Per node, global axes.
    pub displacement: Vec<[f64; 6]>,
    /// Per member and end: force and moment *on the member* by its node, local axes.
    pub end_forces: Vec<[[f64; 6]; 2]>,
    /// Axial force per member, tension positive: mean of the two ends.
    pub axial: Vec<f64>,
    /// Reaction of each supported or sprung node, global axes, in node order. A reaction is what
    /// the ground does to the frame.
    pub reactions: Vec<(usize, [f64; 6])>,
    /// Reaction in each pin handed to the model, in that order. Not zero: the loads do work on
    /// the mechanism it stops.
    pub pin_reactions: Vec<f64>,
    /// Half of what the loads do on the nodes' displacements, uniform loads brought to the nodes
    /// (what they store in a member whose nodes stay is left out).
    pub strain_energy: f64,
    /// Largest out-of-balance force at a node over the largest force at hand.
    pub residual: f64,
}

/// Count of the critical load factors below a given one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inertia {
    /// The factor at which it was counted: the one asked for, or (where round-off could have
    /// changed the count there) one larger by a part in 10⁹ to 10⁶.
    pub factor: f64,
    /// Number of critical load factors between zero and `factor`.
    pub negative: usize,
    /// Of these, members that bow between their own nodes with the nodes held.
    pub local: usize,
    /// How many times round-off fits between the nearest eigenvalue and zero. Above one the
    /// count is certain.
    pub margin: f64,
}

/// A critical load factor and how the frame moves at it.
#[derive(Clone, Debug, PartialEq)]
pub struct CriticalMode {
    pub factor: f64,
    /// Per node; the largest entry of all translations is one. All zero where the members of
    /// `bowing` buckle between nodes that stay.
    pub mode: Vec<[f64; 6]>,
    /// Members that buckle between their own nodes at this factor.
    pub bowing: Vec<usize>,
    /// Residual of the mode, relative.
    pub residual: f64,
}
