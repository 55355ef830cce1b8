//! The equipment library as typed data.

use crate::units::{
    Angle, Area, Force, Length, LineLoad, Mass, Moment, Pressure, SecondMoment, Stiffness,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A file of parts.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Library {
    pub format: u32,
    pub title: String,
    /// Invented or incomplete numbers: every result that rests on them says so.
    pub sample: bool,
    #[serde(default)]
    pub source: String,
    #[serde(default)]
    pub posts: BTreeMap<String, Post>,
    /// Ledgers, joists and drop-beam bearers.
    #[serde(default)]
    pub beams: BTreeMap<String, Beam>,
    #[serde(default)]
    pub braces: BTreeMap<String, Brace>,
    #[serde(default)]
    pub jacks: BTreeMap<String, Jack>,
    #[serde(default)]
    pub sills: BTreeMap<String, Sill>,
    #[serde(default)]
    pub clips: BTreeMap<String, Clip>,
    #[serde(default)]
    pub sheets: BTreeMap<String, Sheet>,
    /// Which file each part came from, by part name; filled in when files are merged.
    #[serde(skip)]
    pub origin: BTreeMap<String, PartOrigin>,
}

/// Where a part of a merged library comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartOrigin {
    /// Name or file of the library, as the scene writes it.
    pub library: String,
    /// Its numbers are invented samples.
    pub sample: bool,
}

impl Library {
    /// True where results that rest on this part rest on sample data. A part that is not known
    /// counts as sample: nobody vouched for it.
    #[must_use]
    pub fn is_sample(&self, part: &str) -> bool {
        self.origin.get(part).is_none_or(|origin| origin.sample)
    }
}

/// A tube or bar cross-section with its material.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Section {
    pub outside: Length,
    pub area: Area,
    pub i: SecondMoment,
    /// Modulus of elasticity.
    pub e: Pressure,
    /// Yield or proof stress.
    pub fy: Pressure,
}

/// A telescopic single-leg post with its head.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Post {
    pub mass: Mass,
    /// Shortest and longest height from foot to head seat, without a jack.
    pub reach: (Length, Length),
    pub outer: Section,
    pub outer_length: Length,
    pub inner: Section,
    /// Least overlap of the tubes.
    pub overlap: Length,
    pub base_plate: Length,
    pub head: Head,
    /// Heights of the brace couplers: above the foot, and below the head seat.
    pub brace_low: Length,
    pub brace_high: Length,
    /// Foot and head parts stay together in tension (pinned), so a pull goes through.
    #[serde(default)]
    pub joined_in_tension: bool,
    /// What both tubes are made of.
    #[serde(default)]
    pub material: Option<Material>,
    /// Diameter of the holes right through the inner tube, 0 where it has none.
    #[serde(default)]
    pub pin_hole: Option<Length>,
    /// How much wider than its pin the hole between the tubes is. None: nobody stated it, and the
    /// second-order strength of a drawn-out post is unknown.
    #[serde(default)]
    pub pin_play: Option<Length>,
    pub capacity: CapacityTable,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Material {
    Steel,
    Aluminium,
    Timber,
}

/// What carries at which extension, and what the numbers mean.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CapacityTable {
    pub basis: Basis,
    /// How foot and head were held when the table was made, in words.
    #[serde(default)]
    pub ends: Option<String>,
    /// The tube that is on top in the table.
    #[serde(default)]
    pub tube_up: Option<TubeUp>,
    /// Height and axial capacity; a height between rows takes the next taller row.
    #[serde(default)]
    pub rows: Vec<(Length, Force)>,
    /// Computed from the section, where there is no table or as a second limit beside it.
    #[serde(default)]
    pub from_section: Option<SectionRule>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TubeUp {
    Inner,
    Outer,
}

impl TubeUp {
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Inner => "the inner tube",
            Self::Outer => "the outer tube",
        }
    }
}

/// How a post's capacity follows from its section.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SectionRule {
    pub by: Method,
    /// Effective length over height: 1 pinned at both ends.
    #[serde(default = "one")]
    pub k: f64,
}

fn one() -> f64 {
    1.0
}

/// The code by which a section's capacity is computed. `e` and `fy` of the section are what the code
/// asks for: yield or proof stress; for timber `E_min'` and `F_c*` (NDS), `E_0.05` and `f_c0k`
/// (EN 1995).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    Aisc360,
    Adm2010,
    En1993(SteelCurve),
    En1999(AluminiumClass),
    En1065(PropClass),
    Nds { c: f64 },
    En1995 { beta_c: f64 },
}

/// Buckling curves of EN 1993-1-1 Table 6.1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SteelCurve {
    A0,
    A,
    B,
    C,
    D,
}

/// Buckling classes of EN 1999-1-1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AluminiumClass {
    A,
    B,
}

/// Classes of EN 1065.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PropClass {
    A,
    B,
    C,
    D,
    E,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    SafeWorkingLoad,
    Characteristic,
    Ultimate,
}

/// A post's head and what its joints pass in each state.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    pub kind: HeadKind,
    pub width: Length,
    /// Most it carries, by the basis of the post's table.
    #[serde(default)]
    pub capacity: Option<Force>,
    /// Has a lock that must be home before it is loaded.
    #[serde(default)]
    pub locks: bool,
    /// The cap stands through the deck and bears on the slab itself: the head can be let down
    /// while the post stays tight, and sheets end at the cap. Else sheets lie over the head and
    /// are trapped by it.
    #[serde(default)]
    pub through: bool,
    #[serde(default)]
    pub hung: Passes,
    pub locked: Passes,
    #[serde(default)]
    pub lowered: Passes,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum HeadKind {
    DropHead,
    UHead,
    Plate,
}

/// What a joint passes. What nobody states is not passed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Passes {
    /// Pushes down onto what carries it.
    #[serde(default = "yes")]
    pub bearing: bool,
    /// Push and pull along the carried member.
    #[serde(default)]
    pub along: bool,
    /// Sideways of the carried member.
    #[serde(default)]
    pub across: bool,
    /// Holds down against uplift, up to this force.
    #[serde(default)]
    pub uplift: Option<Force>,
}

fn yes() -> bool {
    true
}

impl Default for Passes {
    /// Bearing alone.
    fn default() -> Self {
        Self { bearing: true, along: false, across: false, uplift: None }
    }
}

/// A ledger, joist or bearer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Beam {
    pub mass: Mass,
    /// Between the seats it is made for.
    pub length: Length,
    pub depth: Length,
    pub width: Length,
    pub e: Pressure,
    pub i: SecondMoment,
    pub area: Area,
    /// What the numbers below mean.
    #[serde(default)]
    pub basis: Option<Basis>,
    pub moment: Moment,
    pub shear: Force,
    /// Most it passes to one support, or takes from one beam on it, without crushing.
    #[serde(default)]
    pub bearing: Option<Force>,
    /// Its ends when merely laid across ledgers (fillers).
    #[serde(default)]
    pub resting: Passes,
    /// May run on past a post.
    #[serde(default)]
    pub may_overhang: Option<Length>,
    /// How it carries where nothing holds its compressed edge sideways; none: not known.
    #[serde(default)]
    pub unheld: Option<Unheld>,
}

/// What a beam carries where nothing holds its compressed edge between its supports.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Unheld {
    /// All of its moment up to this length: closed tubes, and what the supplier says so of.
    UpTo(Length),
    /// Moments by length between holds, shortest first, in the basis of its other numbers.
    Table(Vec<(Length, Moment)>),
    /// A solid timber: allowable bending stress and E_min' (US), or f_m,k and E_0.05.
    Timber { bending: Pressure, e: Pressure },
    /// A doubly symmetric I of steel: second moment about the weak axis, torsion constant, distance
    /// between the middles of the flanges, yield stress.
    Section { weak: SecondMoment, torsion: SecondMoment, flanges: Length, fy: Pressure },
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Brace {
    pub mass: Mass,
    pub length: (Length, Length),
    pub outside: Length,
    pub area: Area,
    pub e: Pressure,
    /// What the numbers below mean.
    #[serde(default)]
    pub basis: Option<Basis>,
    pub tension: Force,
    /// None: acts in tension only.
    #[serde(default)]
    pub compression: Option<Force>,
    /// Most its coupler carries along the brace.
    pub coupler: Force,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Jack {
    pub mass: Mass,
    /// Least and greatest extension.
    pub extension: (Length, Length),
    pub outside: Length,
    pub plate: Length,
    /// What the capacities mean.
    #[serde(default)]
    pub basis: Option<Basis>,
    /// At every extension, unless there are rows.
    /// Yield or proof stress of the spindle. None: nobody stated it, and the second-order strength
    /// of a post on this jack is unknown.
    #[serde(default)]
    pub fy: Option<Pressure>,
    /// Angle by which the spindle may stand askew in the post. None: as for `fy`.
    #[serde(default)]
    pub tilt: Option<Angle>,
    pub capacity: Force,
    /// Extension and capacity; an extension between rows takes the next longer row.
    #[serde(default)]
    pub rows: Vec<(Length, Force)>,
    #[serde(default)]
    pub joined_in_tension: bool,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sill {
    pub mass: Mass,
    /// Along x, along y, thickness.
    pub size: (Length, Length, Length),
    /// What the stresses below mean.
    #[serde(default)]
    pub basis: Option<Basis>,
    /// Stress in bending, and under the plate.
    #[serde(default)]
    pub bending: Option<Pressure>,
    #[serde(default)]
    pub bearing: Option<Pressure>,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Clip {
    pub mass: Mass,
    /// What the number below means.
    #[serde(default)]
    pub basis: Option<Basis>,
    pub uplift: Force,
}

#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sheet {
    pub mass: Mass,
    /// Along joists, across joists, thickness.
    pub size: (Length, Length, Length),
    /// How it acts as a plate in plan when nailed; none: never.
    #[serde(default)]
    pub diaphragm: Option<Diaphragm>,
    /// What the stresses below mean.
    #[serde(default)]
    pub basis: Option<Basis>,
    /// Stress in bending and in shear on the full thickness, and modulus, in the weaker direction.
    #[serde(default)]
    pub bending: Option<Pressure>,
    #[serde(default)]
    pub shear: Option<Pressure>,
    #[serde(default)]
    pub e: Option<Pressure>,
}

/// A nailed sheet as a plate in plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Diaphragm {
    /// Nailing it takes, as text for the drawing.
    pub nailing: String,
    /// Shear force per width over the angle by which a bay loses its right angle, with the slip
    /// of the nails in it.
    pub stiffness: Stiffness,
    /// Shear force per width that it carries at work.
    pub shear: LineLoad,
}
