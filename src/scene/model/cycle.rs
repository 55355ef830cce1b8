//! Lines that expand into many steps: towers, the normal cycle, decks.

use super::Axis;
use serde::{Deserialize, Serialize};

/// Expands into the steps of a braced tower.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TowerText {
    pub id: String,
    pub block: String,
    /// Opposite corners, `"A1-B2"`.
    pub at: String,
    /// Overrides the scene's crew. A tower takes five people: each of its posts is in somebody's
    /// hands when the last ledger goes on.
    #[serde(default)]
    pub crew: Option<u32>,
}

/// Expands into the normal cycle, bay after bay, from a tower.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ErectText {
    pub id: String,
    pub block: String,
    /// The tower's corners, `"A1-B2"`.
    pub from: String,
    /// Corner posts of the part to erect, `"A1-M9"`; all of the block when left out.
    #[serde(default)]
    pub posts: Option<String>,
    /// First along this axis, then row by row along the other.
    #[serde(default)]
    pub toward: Axis,
    #[serde(default)]
    pub crew: Option<u32>,
    #[serde(default)]
    pub bracing: BracingRule,
    /// Members left out although their turn has come, by name without the block:
    /// `"brace.E5-F5.*"`, `"joist.F3-F4"`. The crew goes on as if they were in. They stay out
    /// until a step of one's own or a later entry that covers their bay brings them.
    #[serde(default)]
    pub skip: Vec<String>,
    /// Posts whose hands come off at the end of their own step, braced or not: `"A3"`.
    #[serde(default)]
    pub release_early: Vec<String>,
}

/// Which of a block's diagonals go in with their bay, and which later.
///
/// What exists is said by the block: `braced` and `brace_every`. Each diagonal goes in with the
/// step that stands up the last post of its bay, before hands come off; this rule holds some back.
/// Those of other lines, or between the bays counted here, go in together in a last step `rest`,
/// so that none is forgotten. A line without a diagonal in the block never gets one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BracingRule {
    /// Lines whose diagonals go in bay by bay; empty: every line.
    #[serde(default)]
    pub lines: Vec<String>,
    /// Of a line's bays that have diagonals, those every so many bays after the first of them;
    /// 1, or left out: all.
    #[serde(default = "BracingRule::default_every")]
    pub every: u32,
    /// Steps between the bay standing and its diagonal going in; the posts are released meanwhile.
    #[serde(default)]
    pub late_by: u32,
}

impl BracingRule {
    fn default_every() -> u32 {
        1
    }
}

impl Default for BracingRule {
    fn default() -> Self {
        Self { lines: Vec::new(), every: Self::default_every(), late_by: 0 }
    }
}

/// Expands into fillers and sheets, bay after bay.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DeckText {
    pub id: String,
    pub block: String,
    #[serde(default)]
    pub posts: Option<String>,
    #[serde(default)]
    pub nailed: bool,
}
