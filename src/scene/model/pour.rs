//! The order in which a slab is placed, and what must be done before, during and after.

use super::Axis;
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// Expands into the placing stages of a slab: the hold point before, each strip in turn with the
/// layers of its deep beams first, the hold point after.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PourText {
    pub id: String,
    /// Slab to be cast.
    pub slab: String,
    /// Block whose lines the strips name; may be left out where they give plan points alone.
    #[serde(default)]
    pub block: Option<String>,
    /// Strips in the order they are placed.
    #[serde(default)]
    pub strips: Vec<StripText>,
    /// Instead of `strips`: strips of this width over the whole slab, one after the other along
    /// `toward`; from the far end back where `backwards`.
    #[serde(default)]
    pub every: Option<Length>,
    #[serde(default)]
    pub toward: Axis,
    #[serde(default)]
    pub backwards: bool,
    /// The slab's drop beams are placed before the slab above them, in layers of at most this.
    /// Left out: beam and slab go in at once.
    #[serde(default)]
    pub layers: Option<Length>,
    /// Hold point before the first concrete, and after the last.
    #[serde(default)]
    pub before: Option<HoldText>,
    #[serde(default)]
    pub after: Option<HoldText>,
    /// Who watches the shoring without a break while concrete goes in.
    #[serde(default)]
    pub watch: Option<String>,
    /// Nobody below the strip that is being placed, nor nearer to it in plan than this.
    #[serde(default)]
    pub keep_out: Option<Length>,
    #[serde(default)]
    pub crew: Option<u32>,
}

/// A strip of a slab that is placed in one go.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StripText {
    pub name: String,
    pub place: StripPlace,
}

/// Where a strip lies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum StripPlace {
    /// Two opposite corners in plan.
    Between((Length, Length), (Length, Length)),
    /// Corner posts of the bays, `"A1-C4"`.
    Bays(String),
    /// What runs on past a line of last posts, `"F"` or a run on it, as far as the overhang goes.
    Edge(String),
}

/// A planned inspection that somebody releases on evidence.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HoldText {
    pub name: String,
    /// Who releases it; empty: not released.
    #[serde(default)]
    pub by: String,
    /// What it is released on; empty: not released.
    #[serde(default)]
    pub evidence: Vec<String>,
}

impl HoldText {
    /// Somebody has released it, on something.
    #[must_use]
    pub fn is_released(&self) -> bool {
        !self.by.trim().is_empty() && self.evidence.iter().any(|e| !e.trim().is_empty())
    }
}
