//! The document as typed data. Every quantity carries its unit; unknown fields are errors.

mod block;
mod change;
mod cycle;
mod member;
mod pour;
mod site;
mod step;
mod strip;
mod surroundings;

pub use block::{Block, EdgeForm, Lines, Offset, Overhang, Override};
pub use change::{Change, ChangeKind};
pub use cycle::{BracingRule, DeckText, ErectText, TowerText};
pub use member::{Place, RoleName, SingleMember};
pub use pour::{HoldText, PourText, StripPlace, StripText};
pub use site::{DropBeam, Floor, FloorKind, Permanent, PermanentKind, Slab};
pub use step::{
    Action, LoadKind, LoadPlace, LoadText, PersonText, SequenceItem, StackText, StepText,
};
pub use strip::{
    BendingText, EvidenceBy, EvidenceText, LevelAction, LevelSlab, LevelStep, Levels, LogText,
    PunchingText, Strength, StrippingText,
};

pub use surroundings::{
    DoubtfulGround, Drop, GroundState, Opening, Reach, Surroundings, VehicleWay,
};

use crate::units::{Speed, UnitSystem};
use serde::{Deserialize, Serialize};

/// The format number this program writes.
pub const FORMAT: u32 = 1;

/// One job: equipment, blocks, single members and the order they go up in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Scene {
    /// Format number; looked at before anything else is read.
    pub format: u32,
    pub title: String,
    #[serde(default)]
    pub about: String,
    /// Display only; quantities carry their own units.
    #[serde(default)]
    pub units: UnitSystem,
    /// Equipment libraries: a shipped name such as `sample`, or a file beside the scene. A later
    /// library replaces parts of the same name.
    pub equipment: Vec<String>,
    /// Criteria pack: a shipped name such as `us`, `uk` or `eu`, or a file beside the scene.
    pub criteria: String,
    /// Stricter rules laid over the pack: a shipped name such as `california`, or a file.
    #[serde(default)]
    pub options: Vec<String>,
    #[serde(default)]
    pub crew: Crew,
    /// What posts stand on.
    #[serde(default)]
    pub floors: Vec<Floor>,
    /// Slabs to be cast on the deck.
    #[serde(default)]
    pub slabs: Vec<Slab>,
    /// Walls and columns one may tie to.
    #[serde(default)]
    pub permanent: Vec<Permanent>,
    #[serde(default)]
    pub wind: Option<Wind>,
    /// Openings, drops, doubtful ground, traffic, and how work is reached.
    #[serde(default)]
    pub surroundings: Surroundings,
    #[serde(default)]
    pub blocks: Vec<Block>,
    /// Single members anywhere, beside the blocks.
    #[serde(default)]
    pub members: Vec<SingleMember>,
    /// Erection in order. Empty: only the finished stage is judged, and the review says so.
    #[serde(default)]
    pub sequence: Vec<SequenceItem>,
    /// Shoring through several floors: what each slab and level of props carries.
    #[serde(default)]
    pub levels: Option<Levels>,
    /// Findings somebody accepted, with a reason and a name. They stay listed.
    #[serde(default)]
    pub accepted: Vec<Acceptance>,
    /// Changes tried in the program, in order; the rest of the file is a person's and is never
    /// rewritten. They are made before anything is judged: see [`crate::changes`].
    #[serde(default)]
    pub changes: Vec<Change>,
}

/// Who does the work.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Crew {
    /// People who can hold, lift and stand something up at the same time.
    pub size: u32,
}

impl Default for Crew {
    fn default() -> Self {
        Self { size: 3 }
    }
}

/// The wind to work in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wind {
    /// Working wind speed; the criteria pack gives one if this is not stated.
    pub working: Speed,
}

/// A plan axis of the scene.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
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
pub enum Axis {
    #[default]
    X,
    Y,
}

/// A finding somebody accepted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Acceptance {
    /// Hazard code.
    pub code: String,
    /// Members it is about, by name.
    pub members: Vec<String>,
    pub by: String,
    pub reason: String,
}
