//! One-way contact: what tips, lifts or slides.

use crate::assembly::{JointId, MemberId};

/// A member that runs past its last support, in its worst loading.
#[derive(Clone, Debug, PartialEq)]
pub struct Tipping {
    pub member: MemberId,
    /// The support it turns about.
    pub fulcrum: JointId,
    pub overhang: f64,
    pub back_span: f64,
    /// Moments about the fulcrum, newton metres, before factors.
    pub overturning: f64,
    pub stabilising: f64,
    /// stabilising / overturning without people on it, with one worker, and with the pack's worst.
    pub factor_empty: f64,
    pub factor_one_worker: f64,
    pub factor: f64,
    pub required: f64,
    /// Clip that holds it down, and the force it must pass, newtons.
    pub clip: Option<JointId>,
    pub hold_down: f64,
    /// Post below the clip, weight that keeps it down, and whether the pull reaches it.
    pub clip_post: Option<MemberId>,
    pub post_weight: f64,
    pub joined_in_tension: bool,
    /// Sentences with the numbers in them, in the order one would do it by hand.
    pub working: Vec<String>,
}

/// The equilibrium answers for one stage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StageEquilibrium {
    pub tipping: Vec<Tipping>,
    pub unknown: Vec<(MemberId, String)>,
}
