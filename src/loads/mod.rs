//! What each stage weighs and carries, taken down member by member to the post heads.
//!
//! [`take_down`] walks from the top to the ground: sheet, filler, joist and ledger, post, sill. Each
//! member is a piece of statics of its own ([`beam`] for bars, `sheet` for deck sheets) that hands
//! its reactions to what carries it. The force itself is what the lever rule gives. Beside it goes a
//! least and a greatest one: people may stand anywhere on the deck or nowhere, and what runs over
//! more than two supports shares its load out as single spans or as one continuous beam, whichever
//! asks more of a support. A post is judged with its greatest. [`lateral`] makes the sideways force
//! at each head. [`Judge`] takes down the stages of one assembly one after the other and works out
//! anew only what hangs together with what differs.

use crate::assembly::{JointId, MemberId};
use crate::chunks::Chunks;
use std::borrow::Cow;
use std::sync::Arc;

use crate::plan as area;
pub mod beam;
mod carriers;
mod deck;
mod facing;
mod floor_edge;
mod hand_on;
mod kept;
pub mod lateral;
mod ledge;
mod live;
mod moving;
pub mod path;
mod placing;
mod pour;
pub mod sails;
mod sheet;
mod sheet_range;
pub mod slab;
mod take_down;

pub use carriers::passes;
pub use facing::Facing;
pub(crate) use facing::seen_anew;
pub use kept::Judge;
pub use lateral::{
    HeadFacing, HeadLateral, head_facing, head_lateral, head_lateral_along, head_lateral_kept,
    head_lateral_parts, velocity_pressure,
};
pub use ledge::EDGE_FORM;
pub(crate) use ledge::{Ledge, decked, ledges};
pub(crate) use placing::brings_edge_form;
pub use sails::Sail;
pub(crate) use sheet::{across as sheet_supports, axis_of, outline as sheet_outline};
pub(crate) use take_down::{clip_at, hold_down};
pub use take_down::{take_down, take_down_of};

/// A vertical load on a member. Newtons, metres.
#[derive(Clone, Debug, PartialEq)]
pub struct BeamLoad {
    /// `self-weight`, the name of a load of the stage, or `rests on it`.
    pub what: Cow<'static, str>,
    /// What passes it down; none: its own weight or a load of the stage.
    pub by: Option<MemberId>,
    /// First and last station; equal for a point load.
    pub from: f64,
    pub to: f64,
    /// Total, downwards positive.
    pub force: f64,
    /// The least and the greatest it may be, over where people may stand and over the ways in which
    /// what is above may share it out.
    pub least: f64,
    pub greatest: f64,
    /// Its centre of gravity along the member.
    pub centre: f64,
}

impl BeamLoad {
    /// A point load.
    #[must_use]
    pub fn point(what: Cow<'static, str>, by: Option<MemberId>, at: f64, force: f64) -> Self {
        Self { what, by, from: at, to: at, force, least: force, greatest: force, centre: at }
    }
    /// A load spread evenly between two stations.
    #[must_use]
    pub fn spread(
        what: Cow<'static, str>,
        by: Option<MemberId>,
        (from, to): (f64, f64),
        force: f64,
    ) -> Self {
        Self { what, by, from, to, force, least: force, greatest: force, centre: 0.5 * (from + to) }
    }

    /// The same with bounds that hold its force.
    #[must_use]
    pub fn within(mut self, least: f64, greatest: f64) -> Self {
        if least.is_nan() || greatest.is_nan() || self.force.is_nan() {
            (self.least, self.greatest) = (f64::NAN, f64::NAN);
        } else {
            (self.least, self.greatest) = (least.min(self.force), greatest.max(self.force));
        }
        self
    }
}

/// Loads and reactions of one stage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LoadState {
    /// By member: everything that acts on it from above, self-weight included. Stations run from
    /// its first end. What acts on a sheet is listed as its total along its diagonal.
    pub on: Chunks<Arc<Vec<BeamLoad>>>,
    /// By joint: force passed down to the carrier, newtons. Negative where the member would lift:
    /// the pull reaches the carrier only if the joint holds that much down, otherwise the joint is
    /// in `lifting`, and what is left bears on the other supports alone.
    pub passed: Chunks<f64>,
    /// By member: axial load of a post at its foot, own weight included; 0 for others.
    pub at_foot: Chunks<f64>,
    /// By member: the least and the greatest that load at the foot can be at the stage. Between the
    /// two lie: members that run over several supports taken as single spans and as one continuous
    /// beam; people anywhere or nowhere on the deck, on any span alone; a weight anywhere on its way.
    pub foot_least: Chunks<f64>,
    pub foot_greatest: Chunks<f64>,
    /// By member: sideways force at a post's head from the least force along the floor's edge, along
    /// its block's axis and across it, while fresh concrete is on; empty otherwise.
    pub edge_lateral: Chunks<[f64; 2]>,
    /// What stands up above the heads and catches the wind: edge forms and stacked material.
    pub sails: Vec<Sail>,
    /// What was taken for want of a number in the scene, in words; sorted.
    pub assumed: Vec<String>,
    /// Members whose load found no way down, sorted.
    pub no_path: Vec<MemberId>,
    /// Joints that would have to pull and cannot, sorted.
    pub lifting: Vec<JointId>,
    /// Joints over which a member on more than two supports would lift if it is one continuous beam,
    /// sorted: its other supports then take more, and the end is loose.
    pub may_lift: Vec<JointId>,
    /// Loads of the stage, or parts of them, that lie on nothing that is there: why, and newtons.
    pub unplaced: Vec<(String, f64)>,
    /// Members whose load could not be worked out, and why.
    pub unknown: Vec<(MemberId, String)>,
}

impl LoadState {
    /// Nothing on any member of an assembly.
    #[must_use]
    pub(crate) fn nothing(assembly: &crate::assembly::Assembly) -> Self {
        let count = assembly.members.len();
        Self {
            on: Chunks::filled(Arc::default(), count),
            passed: Chunks::filled(0.0, assembly.joints.len()),
            at_foot: Chunks::filled(0.0, count),
            foot_least: Chunks::filled(0.0, count),
            foot_greatest: Chunks::filled(0.0, count),
            ..Self::default()
        }
    }

    /// Puts a load on a member.
    pub(crate) fn put(&mut self, on: MemberId, load: BeamLoad) {
        Arc::make_mut(&mut self.on[on.index()]).push(load);
    }

    /// Keeps in common with another stage's loads what is the same.
    pub fn share(&mut self, with: &Self) {
        // The lists of most members are the same even where that of a neighbour is not.
        let unlike: Vec<usize> = self.on.differences(&with.on).collect();
        if self.on.own_pieces(&with.on) > 0 && self.on.len() == with.on.len() {
            let mut shared = with.on.clone();
            for index in unlike {
                shared[index] = Arc::clone(&self.on[index]);
            }
            self.on = shared;
        }
        self.passed.share(&with.passed);
        self.at_foot.share(&with.at_foot);
        self.foot_least.share(&with.foot_least);
        self.foot_greatest.share(&with.foot_greatest);
        self.edge_lateral.share(&with.edge_lateral);
    }

    /// Load on a member from above without its own weight, newtons.
    #[must_use]
    pub fn imposed(&self, member: MemberId) -> f64 {
        self.on[member.index()].iter().filter(|l| l.what != OWN).map(|l| l.force).sum()
    }
}

/// How a member's own weight is called among its loads.
pub const OWN: &str = "self-weight";
/// How people that may stand somewhere are called.
pub const PEOPLE: &str = "people";
/// How a load from a member above is called.
pub const RESTS: &str = "rests on it";
