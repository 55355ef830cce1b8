//! Single members, between stated places.

use crate::units::Length;
use serde::{Deserialize, Serialize};

/// A member on its own, between stated points or members.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SingleMember {
    pub name: String,
    pub role: RoleName,
    pub part: String,
    pub from: Place,
    #[serde(default)]
    pub to: Option<Place>,
    #[serde(default)]
    pub sill: Option<String>,
    #[serde(default)]
    pub damaged: bool,
}

/// Roles a person may write for a single member.
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
pub enum RoleName {
    Post,
    Ledger,
    Joist,
    DropBeam,
    Brace,
    PlanBrace,
    TieIn,
    Clip,
    Sill,
    Sheet,
    Prop,
}

/// Where an end lies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Place {
    /// Coordinates: x, y and level.
    At(Length, Length, Length),
    /// A named member's head, foot, or a height above its foot.
    Head(String),
    Foot(String),
    On(String, Length),
    /// A wall or column, at a level.
    Permanent(String, Length),
}
