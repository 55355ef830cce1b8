//! What each stage weighs and carries, taken down member by member to the post heads.

use crate::assembly::{JointId, MemberId};

/// A vertical load on a member. Newtons, metres.
#[derive(Clone, Debug, PartialEq)]
pub struct BeamLoad {
    pub what: String,
    /// First and last station; equal for a point load.
    pub from: f64,
    pub to: f64,
    /// Total, downwards positive.
    pub force: f64,
    /// Its centre of gravity along the member.
    pub centre: f64,
}

/// Loads and reactions of one stage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LoadState {
    /// By member: everything that acts on it from above, self-weight included.
    pub on: Vec<Vec<BeamLoad>>,
    /// By joint: force passed down to the carrier, newtons, negative where the member would lift.
    pub passed: Vec<f64>,
    /// By member: axial load of a post at its foot, 0 for others.
    pub at_foot: Vec<f64>,
    /// Members whose load found no way down.
    pub no_path: Vec<MemberId>,
    /// Joints that would have to pull and cannot.
    pub lifting: Vec<JointId>,
}
