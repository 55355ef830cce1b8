//! Steps, their actions, and the loads they set down.

use super::{DeckText, ErectText, EvidenceText, HoldText, PourText, StrippingText, TowerText};
use crate::units::{Force, Length, LineLoad, Mass, Pressure};
use serde::{Deserialize, Serialize};

/// One entry of the sequence: a step written out, or a line that expands into steps.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum SequenceItem {
    Step(StepText),
    /// A braced tower from four neighbouring grid posts.
    Tower(TowerText),
    /// Bay after bay from a named tower.
    Erect(ErectText),
    /// Fillers and sheets over finished bays.
    Deck(DeckText),
    /// A slab placed strip by strip.
    Pour(PourText),
    /// Bay after bay stripped, the posts left in.
    Strip(StrippingText),
}

/// A step written out. Hands are off when it ends, but for what is still held.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepText {
    pub id: String,
    #[serde(default)]
    pub title: String,
    #[serde(rename = "do")]
    pub actions: Vec<Action>,
    #[serde(default)]
    pub people: Vec<PersonText>,
    /// Overrides the scene's crew for this step.
    #[serde(default)]
    pub crew: Option<u32>,
}

/// Somebody's place during a step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PersonText {
    pub who: String,
    /// Plan position and level.
    pub at: (Length, Length, Length),
    #[serde(default)]
    pub tied_off: bool,
}

/// What is done in a step. Members are named in full (`main.post.C4`); `*` stands for any text.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum Action {
    /// Put in place on its supports; joints start in their merely-hung or resting state.
    Set(String),
    /// Hang by the ends that meet standing members; the far end is in hand until supported.
    Hang(String),
    /// Bring a post upright. It is held from here until released.
    StandUp(String),
    /// Kept up by so many hands.
    Hold(String, u32),
    /// Hands off.
    Release(String),
    /// Fix a brace's couplers, or the joints between two members.
    Connect(String),
    ConnectBetween(String, String),
    /// Push the lock home: a head's lock, or a hung end's wedge.
    Lock(String),
    Unlock(String),
    /// Fix the hold-down clip of an overhanging member.
    Clip(String),
    Unclip(String),
    /// Fix a tie-in to the permanent works.
    TieIn(String),
    /// Lay sheets; `nailed` at the part's stated pattern.
    Deck {
        sheets: String,
        nailed: bool,
    },
    Load(LoadText),
    /// Take a load off again, by name.
    Unload(String),
    /// Let a head down, so that what it carried hangs lower.
    Lower(String),
    Remove(String),
    /// Turn the jack of a post that stands.
    Jack(String),
    /// A hold point, with who released it and on what.
    HoldPoint(HoldText),
    /// Somebody watches the shoring without a break during this step.
    Watch(String),
    /// Nobody goes below this plan rectangle during this step: two opposite corners.
    KeepOut((Length, Length), (Length, Length)),
    /// Show that a slab carries itself.
    Evidence(EvidenceText),
    /// Fix a post's head to the slab above it, so that it cannot fall out.
    Secure(String),
    /// Turn a post down until it carries nothing. It is no longer undisturbed.
    BackOff(String),
    /// Turn a post up until it touches the slab; it starts with next to nothing.
    Snug(String),
}

/// A load set down in a step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadText {
    pub name: String,
    pub kind: LoadKind,
    pub on: LoadPlace,
    /// How high and wide what is set down stands, for the wind on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stack: Option<StackText>,
}

/// Outer size of what is set down on the deck.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StackText {
    pub height: Length,
    /// Greatest side in plan, where its place is no rectangle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub across: Option<Length>,
}

/// What a load is, for words and colours.
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
pub enum LoadKind {
    Bundle,
    Workers,
    Rebar,
    Concrete,
    Equipment,
    EdgeForm,
}

/// Where a load lies, and how much it is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum LoadPlace {
    /// A weight at a station of a member, measured from its first end.
    Point { member: String, at: Length, weight: Force },
    /// A mass at a station of a member.
    Lump { member: String, at: Length, mass: Mass },
    /// Along a whole member.
    Line { member: String, load: LineLoad },
    /// On a plan rectangle of the deck: two opposite corners.
    Area { from: (Length, Length), to: (Length, Length), load: Pressure },
    /// Fresh concrete of a named slab, within a plan rectangle: slab and drop beams, less what
    /// layers have brought already.
    Pour { slab: String, from: (Length, Length), to: (Length, Length) },
    /// A layer of one of the slab's drop beams, within a plan rectangle: from one height above the
    /// beam's underside to another.
    Layer {
        slab: String,
        beam: String,
        from: (Length, Length),
        to: (Length, Length),
        bottom: Length,
        top: Length,
    },
    /// A cone of fresh concrete heaped up on the deck: its middle, width at the foot and height.
    Heap { at: (Length, Length), across: Length, height: Length },
    /// A weight that may stand anywhere on a straight line over the deck: a buggy, a hose.
    Along { from: (Length, Length), to: (Length, Length), weight: Force },
}
