//! What lies about the work: openings, drops, doubtful ground, traffic, and how work is reached.

use crate::units::Length;
use serde::{Deserialize, Serialize};

/// What lies about the work. Whatever is left out is not known to be there.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Surroundings {
    /// Openings in floors and decks.
    #[serde(default)]
    pub openings: Vec<Opening>,
    /// Edges beyond which the ground or floor falls away.
    #[serde(default)]
    pub drops: Vec<Drop>,
    /// Ground that is not what it was.
    #[serde(default)]
    pub doubtful_ground: Vec<DoubtfulGround>,
    /// Where vehicles drive.
    #[serde(default)]
    pub vehicle_ways: Vec<VehicleWay>,
    /// What people stand on who work at the heads.
    #[serde(default)]
    pub reach: Option<Reach>,
}

/// An opening, as a plan rectangle between two opposite corners.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opening {
    pub name: String,
    pub level: Length,
    pub from: (Length, Length),
    pub to: (Length, Length),
    /// Closed by a cover that is fixed, marked and strong enough.
    #[serde(default)]
    pub covered: bool,
    /// Guard rails on all its sides.
    #[serde(default)]
    pub guarded: bool,
}

/// The upper edge of an excavation, a bank, or the end of a slab.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drop {
    pub name: String,
    pub from: (Length, Length),
    pub to: (Length, Length),
    pub level: Length,
    pub depth: Length,
}

/// Part of a floor, or all of it, on which nothing should stand as it is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DoubtfulGround {
    pub floor: String,
    pub state: GroundState,
    /// Opposite corners in plan; left out: all of the floor.
    #[serde(default)]
    pub within: Option<((Length, Length), (Length, Length))>,
}

/// What is wrong with the ground.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum GroundState {
    Frozen,
    WashedOut,
    NewFill,
    Flooded,
}

/// A plan rectangle in which vehicles drive.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct VehicleWay {
    pub name: String,
    pub from: (Length, Length),
    pub to: (Length, Length),
    /// A barrier that stops a vehicle stands between it and the posts.
    #[serde(default)]
    pub barrier: bool,
}

/// What people stand on who work at the heads.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Reach {
    /// The floor itself.
    Floor,
    Ladder,
    /// A rolling tower or other platform.
    Tower,
    /// A powered lift.
    Lift,
}
