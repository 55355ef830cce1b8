//! Members and joints with coordinates. Lengths in metres, forces in newtons.

use super::roles::Roles;
use crate::equipment::Library;
use crate::equipment::model::{Head, Passes};
use crate::scene::Scene;
use serde::Serialize;
use std::collections::BTreeMap;
use std::ops::Range;

/// A point or vector in metres: x, y in plan, z up.
pub type Point = nalgebra::Point3<f64>;
pub type Vector = nalgebra::Vector3<f64>;

/// Index into [`Assembly::members`]. Stable within one assembly only; the name is the identity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct MemberId(pub u32);

/// Index into [`Assembly::joints`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct JointId(pub u32);

impl MemberId {
    #[must_use]
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

impl JointId {
    #[must_use]
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// What a member is for.
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
    serde::Deserialize,
    schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    Post,
    /// A short post brought under a point to support it.
    Prop,
    Ledger,
    /// A joist hooked from post head to post head.
    Joist,
    /// A joist resting on ledgers inside a bay.
    Filler,
    DropBeam,
    /// One diagonal in elevation.
    Brace,
    /// A diagonal in plan at head level.
    PlanBrace,
    TieIn,
    /// Holds an overhanging member down, at the post behind the edge post it is named after.
    Clip,
    Sill,
    Sheet,
}

/// One piece of equipment in its final place.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    pub id: MemberId,
    /// `block.role.lines`, such as `main.ledger.C4-D4`; single members keep the name written.
    pub name: String,
    pub role: Role,
    pub block: Option<String>,
    /// Grid points at its two ends (equal for posts), for words.
    pub grid: Option<(String, String)>,
    /// Part name in the equipment library.
    pub part: String,
    /// First and second end of its axis. Posts: foot (underside of jack or base plate), head seat.
    /// Sheets and sills: opposite corners of the top face.
    pub ends: [Point; 2],
    /// Weight in newtons.
    pub weight: f64,
    /// Marked as damaged in the scene: never counted on.
    pub damaged: bool,
    /// Elevation braces: acts in tension only.
    pub tension_only: bool,
    /// Posts: height of the jack's extension under the outer tube, 0 without a jack.
    pub jack: Option<(String, f64)>,
    /// Posts: plan offset of the foot from the middle of its sill.
    pub off_sill: [f64; 2],
    /// Bytes of the scene file that made it: the block or single member.
    pub written_at: Range<usize>,
}

impl Member {
    /// Length of the axis in metres.
    #[must_use]
    pub fn length(&self) -> f64 {
        (self.ends[1] - self.ends[0]).norm()
    }
    /// Point at a distance in metres from the first end.
    #[must_use]
    pub fn at(&self, station: f64) -> Point {
        let length = self.length();
        if length > 0.0 {
            self.ends[0] + (self.ends[1] - self.ends[0]) * (station / length)
        } else {
            self.ends[0]
        }
    }
    /// Unit vector from the first end to the second; zero for a member without length.
    #[must_use]
    pub fn direction(&self) -> Vector {
        (self.ends[1] - self.ends[0]).try_normalize(0.0).unwrap_or_else(Vector::zeros)
    }
    #[must_use]
    pub fn is_post(&self) -> bool {
        matches!(self.role, Role::Post | Role::Prop)
    }
}

/// What kind of connection a joint is.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum JointKind {
    /// A ledger, joist or drop beam in a post's head. `carrier` is the post.
    Head,
    /// A filler resting on a ledger, a sheet on a joist or filler. `carrier` is what it rests on.
    Rest,
    /// An end of a brace, plan brace or tie-in on a post. `carrier` is the post.
    Coupler,
    /// A post's foot on a sill. `carrier` is the sill.
    Foot,
    /// A post's foot or a sill on a floor; there is no carrier member.
    Ground,
    /// A post standing on another's head. `carrier` is the lower post.
    Splice,
    /// A hold-down clip: `member` is the overhanging beam, `carrier` the post that takes the pull,
    /// which is the one behind the edge post the beam tips about.
    Clip,
    /// A tie-in's end on a wall or column; no carrier member.
    Tie,
}

/// A connection between a member and what carries it.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    pub id: JointId,
    pub kind: JointKind,
    pub member: MemberId,
    /// Metres along `member` from its first end; sheets: metres across its supports, from the
    /// edge at its first end.
    pub member_at: f64,
    pub carrier: Option<MemberId>,
    /// Metres along `carrier` from its first end.
    pub carrier_at: f64,
    pub at: Point,
    /// Clips: the clip's own member.
    pub clip: Option<MemberId>,
    /// What it passes in each state.
    pub hung: Passes,
    pub locked: Passes,
    pub lowered: Passes,
    /// Found by proximity rather than declared by a block.
    pub found: bool,
}

/// Something close to a joint that is none.
#[derive(Clone, Debug, PartialEq)]
pub struct NearMiss {
    pub a: MemberId,
    pub b: MemberId,
    pub at: Point,
    /// Gap in metres; negative where two members run through one another.
    pub gap: f64,
    pub kind: NearMissKind,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum NearMissKind {
    /// An end stops short of what it should meet.
    EndShort,
    /// A brace passes a post without meeting it.
    Passes,
    /// Two members occupy the same place.
    Through,
}

/// A named plan line of a block, for grid bubbles.
#[derive(Clone, Debug, PartialEq)]
pub struct GridLine {
    pub block: String,
    pub name: String,
    pub ends: [Point; 2],
}

/// Everything the scene will ever hold, in its final place.
#[derive(Clone, Debug)]
pub struct Assembly {
    pub scene: Scene,
    pub library: Library,
    /// Sorted by name as a person counts (`A2` before `A10`); `members[i].id == MemberId(i)`.
    pub members: Vec<Member>,
    /// Sorted by member, station, kind; `joints[i].id == JointId(i)`.
    pub joints: Vec<Joint>,
    pub near_misses: Vec<NearMiss>,
    pub grid_lines: Vec<GridLine>,
    /// Neighbouring posts whose head levels differ too much for a ledger or joist between them,
    /// with the second's level above the first's in metres. Sorted.
    pub broken_planes: Vec<(MemberId, MemberId, f64)>,
    /// Things about the layout itself that could not be made: a bay without a fitting ledger.
    pub problems: Vec<LayoutProblem>,
    /// Bays that their sheets cover, in the order of block and grid names.
    pub deck_bays: Vec<DeckBay>,
    /// Members by what they do in a frame.
    pub roles: Roles,
    by_name: BTreeMap<String, MemberId>,
    by_member: Vec<Vec<JointId>>,
    /// By the first sheet of each bay of a deck: its place among them.
    by_first_sheet: BTreeMap<MemberId, usize>,
}

/// A bay of a deck: the posts at two opposite corners and all the sheets it will ever have.
#[derive(Clone, Debug, PartialEq)]
pub struct DeckBay {
    pub corners: [MemberId; 2],
    pub sheets: Vec<MemberId>,
    /// Sides in plan along and across the sheets, metres.
    pub sides: [f64; 2],
}

/// Part of the layout that could not be made, and is therefore unknown.
#[derive(Clone, Debug, PartialEq)]
pub struct LayoutProblem {
    pub what: String,
    pub members: Vec<MemberId>,
    pub written_at: Range<usize>,
}

impl Assembly {
    /// Builds the look-ups. `members` sorted by name and `joints` in order, with matching ids.
    #[must_use]
    pub fn new(scene: Scene, library: Library, members: Vec<Member>, joints: Vec<Joint>) -> Self {
        let by_name = members.iter().map(|m| (m.name.clone(), m.id)).collect();
        let mut by_member = vec![Vec::new(); members.len()];
        for joint in &joints {
            by_member[joint.member.index()].push(joint.id);
            if let Some(carrier) = joint.carrier {
                by_member[carrier.index()].push(joint.id);
            }
        }
        Self {
            roles: Roles::of(&members),
            scene,
            library,
            members,
            joints,
            near_misses: Vec::new(),
            grid_lines: Vec::new(),
            broken_planes: Vec::new(),
            problems: Vec::new(),
            deck_bays: Vec::new(),
            by_name,
            by_member,
            by_first_sheet: BTreeMap::new(),
        }
        .with_deck_bays()
    }

    fn with_deck_bays(mut self) -> Self {
        self.deck_bays = super::deck_bays::of(&self);
        for (place, bay) in self.deck_bays.iter().enumerate() {
            if let Some(&sheet) = bay.sheets.first() {
                self.by_first_sheet.entry(sheet).or_insert(place);
            }
        }
        self
    }

    #[must_use]
    pub fn member(&self, id: MemberId) -> &Member {
        &self.members[id.index()]
    }
    #[must_use]
    pub fn joint(&self, id: JointId) -> &Joint {
        &self.joints[id.index()]
    }
    #[must_use]
    pub fn find(&self, name: &str) -> Option<MemberId> {
        self.by_name.get(name).copied()
    }
    #[must_use]
    pub fn name(&self, id: MemberId) -> &str {
        &self.member(id).name
    }
    /// Joints in which the member takes part, on either side.
    #[must_use]
    pub fn joints_of(&self, id: MemberId) -> &[JointId] {
        &self.by_member[id.index()]
    }
    /// The bay of a deck whose first sheet this is: in the frame that sheet stands for the bay.
    #[must_use]
    pub fn deck_bay_from(&self, sheet: MemberId) -> Option<&DeckBay> {
        self.by_first_sheet.get(&sheet).and_then(|&place| self.deck_bays.get(place))
    }
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.members.iter().map(|m| m.name.as_str())
    }
    /// The head data of a post.
    #[must_use]
    pub fn head_of(&self, id: MemberId) -> Option<&Head> {
        self.library.posts.get(&self.member(id).part).map(|p| &p.head)
    }
}
