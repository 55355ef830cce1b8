//! The document as typed data. Every quantity carries its unit; unknown fields are errors.

use crate::units::{Angle, Force, Length, LineLoad, Mass, Pressure, Speed, UnitSystem};
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
    /// Criteria pack: a shipped name such as `us` or `uk-eu`, or a file beside the scene.
    pub criteria: String,
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
    #[serde(default)]
    pub blocks: Vec<Block>,
    /// Single members anywhere, beside the blocks.
    #[serde(default)]
    pub members: Vec<SingleMember>,
    /// Erection in order. Empty: only the finished stage is judged, and the review says so.
    #[serde(default)]
    pub sequence: Vec<SequenceItem>,
    /// Findings somebody accepted, with a reason and a name. They stay listed.
    #[serde(default)]
    pub accepted: Vec<Acceptance>,
    /// Changes made in the program; the rest of the file is a person's and is never rewritten.
    #[serde(default)]
    pub changes: Vec<Change>,
}

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

/// A surface posts stand on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Floor {
    pub name: String,
    pub level: Length,
    pub kind: FloorKind,
    /// Corner points in plan; empty: everywhere.
    #[serde(default)]
    pub outline: Vec<(Length, Length)>,
    /// Rise per run along x and y, for graded ground.
    #[serde(default)]
    pub slope: (f64, f64),
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum FloorKind {
    /// A hardened slab.
    Slab,
    /// Ground with its allowable bearing pressure, if somebody stated one.
    Ground {
        #[serde(default)]
        bearing: Option<Pressure>,
    },
}

/// A slab to be cast.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Slab {
    pub name: String,
    /// Level of the underside of the concrete.
    pub soffit: Length,
    pub thickness: Length,
    pub outline: Vec<(Length, Length)>,
    /// Beams under the slab, as deeper strips.
    #[serde(default)]
    pub drop_beams: Vec<DropBeam>,
}

/// A strip of deeper concrete between two plan points.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DropBeam {
    pub name: String,
    pub from: (Length, Length),
    pub to: (Length, Length),
    pub width: Length,
    /// Below the slab's soffit.
    pub drop: Length,
}

/// A wall or column of the permanent works.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Permanent {
    pub name: String,
    pub kind: PermanentKind,
    pub from: Length,
    pub to: Length,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum PermanentKind {
    Column { at: (Length, Length), size: (Length, Length) },
    Wall { from: (Length, Length), to: (Length, Length), thickness: Length },
}

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

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EdgeForm {
    pub at: Length,
    pub weight: LineLoad,
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
}

/// A load set down in a step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadText {
    pub name: String,
    pub kind: LoadKind,
    pub on: LoadPlace,
}

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

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum LoadPlace {
    /// A weight at a station of a member, measured from its first end.
    Point { member: String, at: Length, weight: Force },
    /// A mass at a station of a member.
    Lump { member: String, at: Length, mass: Mass },
    /// Along a whole member.
    Line { member: String, load: LineLoad },
    /// On a plan rectangle of the deck: two opposite corners.
    Area { from: (Length, Length), to: (Length, Length), load: Pressure },
    /// Fresh concrete of a named slab, within a plan rectangle.
    Pour { slab: String, from: (Length, Length), to: (Length, Length) },
}

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

/// A change made in the program.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Change {
    pub name: String,
    pub change: ChangeKind,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum ChangeKind {
    AddMember(SingleMember),
    TakeOut(String),
    MoveStep { step: String, before: String },
    SetPart { member: String, part: String },
}
