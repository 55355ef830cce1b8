//! Blocks: grids of posts with their ledgers, joists, braces and edges.

use super::Axis;
use crate::units::{Angle, Length, LineLoad};
use serde::{Deserialize, Serialize};

/// A grid of posts with ledgers one way and joists the other, named from its grid lines.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Block {
    pub name: String,
    /// Lines crossed when going along x (usually letters) and y (usually numbers).
    pub x: Lines,
    pub y: Lines,
    #[serde(default)]
    pub origin: (Length, Length),
    /// Turned about the origin, anticlockwise seen from above.
    #[serde(default)]
    pub turned: Angle,
    /// Name of the floor the posts stand on.
    pub stands_on: String,
    /// Level of the head seats, where ledgers and joists meet the posts.
    pub head: Length,
    pub post: String,
    /// Parts to choose from by bay length.
    pub ledger: Vec<String>,
    /// The axis ledgers run along; joists cross them.
    #[serde(default)]
    pub ledgers_run: Axis,
    #[serde(default)]
    pub joist: Vec<String>,
    /// Joists resting on the ledgers inside each bay.
    #[serde(default)]
    pub fillers: u32,
    #[serde(default)]
    pub sheet: Option<String>,
    #[serde(default)]
    pub brace: Option<String>,
    #[serde(default)]
    pub sill: Option<String>,
    /// A jack under every post (an override can name another for one post).
    #[serde(default)]
    pub jack: Option<String>,
    /// Bays with cross braces in elevation, `"C4-D4"`, or whole runs, `"C4-F4"`.
    #[serde(default)]
    pub braced: Vec<String>,
    /// Cross braces in elevation in the first bay of every line and in every so-many-th bay after
    /// it, on all lines along x and along y, beside those in `braced`. `4` on an 8-bay line braces
    /// its bays 1 and 5. 0 is an error; left out: `braced` alone says.
    #[serde(default)]
    pub brace_every: Option<u32>,
    /// Bays with a diagonal in plan at head level, from corner to corner, `"C4-D5"`.
    #[serde(default)]
    pub plan_braced: Vec<String>,
    /// Ledgers or joists that run on past an edge of the block.
    #[serde(default)]
    pub overhangs: Vec<Overhang>,
    /// Parts of the block whose heads lie higher or lower.
    #[serde(default)]
    pub offsets: Vec<Offset>,
    /// Members left out, by name without the block: `"post.C4"`, `"ledger.C4-D4"`.
    #[serde(default)]
    pub omit: Vec<String>,
    #[serde(default)]
    pub overrides: Vec<Override>,
}

/// Grid lines and the spacings between them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lines {
    /// `"A..F"`, `"1..9"` (one-letter or number ranges), or the names one by one, `"A B C E"`.
    pub lines: String,
    /// One spacing everywhere, or
    #[serde(default)]
    pub every: Option<Length>,
    /// one a bay.
    #[serde(default)]
    pub bays: Vec<Length>,
}

/// Ledgers or joists running on past the last line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Overhang {
    /// The posts they pass, as a line name (`"M"`), or a run on it (`"M1-M5"`).
    pub along: String,
    pub by: Length,
    /// Held down by a clip of this part at the last post; none: not held down.
    #[serde(default)]
    pub clip: Option<String>,
    /// Walkway width outside the edge form, measured from the tip inwards.
    #[serde(default)]
    pub walkway: Option<Length>,
    /// Edge form on the overhang: distance from the last line, and weight.
    #[serde(default)]
    pub edge_form: Option<EdgeForm>,
    /// A guard rail stands at the tip.
    #[serde(default)]
    pub rail: bool,
}

/// The form along a slab's edge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EdgeForm {
    pub at: Length,
    pub weight: LineLoad,
    /// Height above the deck, for wind on it.
    #[serde(default)]
    pub height: Option<Length>,
}

/// Part of a block whose heads lie higher or lower than the rest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Offset {
    /// Corner posts of the part, `"C1-F9"`.
    pub posts: String,
    /// Added to the block's head level.
    #[serde(default)]
    pub head: Length,
    /// Another floor under this part.
    #[serde(default)]
    pub stands_on: Option<String>,
}

/// Another part, base or head for chosen members of a block.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Override {
    /// Names without the block, with `*` for any text: `"post.C4"`, `"ledger.C*"`.
    pub members: String,
    #[serde(default)]
    pub part: Option<String>,
    #[serde(default)]
    pub jack: Option<String>,
    /// How far the jack is drawn out, where somebody set it; otherwise as little as will do.
    #[serde(default)]
    pub jack_out: Option<Length>,
    #[serde(default)]
    pub sill: Option<String>,
    /// The foot stands this far off the sill's middle.
    #[serde(default)]
    pub off_sill: Option<(Length, Length)>,
    #[serde(default)]
    pub head: Option<Length>,
    /// Brace acts in tension only.
    #[serde(default)]
    pub tension_only: Option<bool>,
    /// Marked as damaged: shown, and never counted on.
    #[serde(default)]
    pub damaged: bool,
}
