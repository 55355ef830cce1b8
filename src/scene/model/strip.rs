//! Stripping: what the concrete must reach, the evidence for it, and the line that expands into steps.

use super::Axis;
use crate::concrete::gain::Gain;
use crate::concrete::{Determination, Released};
use crate::units::{Length, Maturity, Pressure, Temperature, Time};
use serde::{Deserialize, Serialize};

/// What the drawings ask of a slab's concrete before forms and posts come away.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Strength {
    /// Specified compressive strength.
    pub specified: Pressure,
    /// Share of it due before the forms come down while posts stay tight under the slab.
    pub strip: f64,
    /// Share of it due before posts are taken away for good.
    pub clear: f64,
    /// The drawing or clause that asks for it.
    pub source: String,
    /// The mix's own strengths by temperature–time factor, for evidence by maturity.
    #[serde(default)]
    pub curve: Vec<(Maturity, Pressure)>,
    /// The mix's datum temperature. Without one, maturity shows nothing.
    #[serde(default)]
    pub datum: Option<Temperature>,
}

/// Evidence brought for a slab.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EvidenceText {
    pub slab: String,
    pub by: EvidenceBy,
    /// What it comes to; worked out when the scene is read.
    #[serde(skip)]
    pub found: Option<Determination>,
}

/// What it comes to follows from what is written and is not compared.
impl PartialEq for EvidenceText {
    fn eq(&self, other: &Self) -> bool {
        self.slab == other.slab && self.by == other.by
    }
}

/// Kinds of evidence.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum EvidenceBy {
    /// Specimens kept with the slab and tested: the least strength, and the report.
    Test { strength: Pressure, report: String },
    /// A temperature log of the slab, with the mix's own curve.
    Maturity {
        log: LogText,
        /// Longest time between readings, instead of the half hour and the hour of ASTM C1074.
        #[serde(default)]
        longest_gap: Option<Time>,
    },
    /// The drawings' own condition has been fulfilled: what it says, what it releases, who signed.
    Specification { condition: String, releases: Released, signed: String },
    /// So long at 10 °C (50 °F) and more, by the table of ACI 347. Informs.
    Age { warm: Time, span: Length, live_over_dead: bool },
}

/// A temperature log.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum LogText {
    /// A CSV file beside the scene.
    File(String),
    /// The same text in the scene itself.
    Csv(String),
}

/// Expands into stripping bay after bay with the posts left in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StrippingText {
    pub id: String,
    pub block: String,
    /// Corner posts of the part to strip, `"A1-M9"`; all of the block when left out.
    #[serde(default)]
    pub posts: Option<String>,
    /// First along this axis, then row by row along the other.
    #[serde(default)]
    pub toward: Axis,
    /// Do not secure the posts to the slab before their ledgers go.
    #[serde(default)]
    pub unsecured: bool,
    #[serde(default)]
    pub crew: Option<u32>,
}

/// Shoring through several floors, for sharing loads between slabs and levels of props.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Levels {
    /// Bottom up. Each is carried by the one below or, the first, by ground that does not give.
    pub slabs: Vec<LevelSlab>,
    /// Post part of all props, its height from foot to head, and the slab area each carries.
    pub post: String,
    pub height: Length,
    pub each: crate::units::Area,
    /// Weight of the forms, on the shores until they are stripped.
    pub forms: Pressure,
    /// Live load on a slab while it is cast; taken off with the next step.
    pub live: Pressure,
    /// Stiffness of a level of props over that of a slab at full strength, for the method with
    /// finite stiffness. The default fits the 70 to 30 of the full-scale tests at Cardington.
    #[serde(default = "Levels::cardington")]
    pub props_over_slab: f64,
    pub steps: Vec<LevelStep>,
}

impl Levels {
    fn cardington() -> f64 {
        0.75
    }
}

/// A slab of the levels.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LevelSlab {
    pub name: String,
    pub weight: Pressure,
    /// The load it was designed to carry in service, its own weight included.
    pub designed_for: Pressure,
    pub specified: Pressure,
    pub gain: Gain,
    /// It stood and carried itself, at full strength, before the first step.
    #[serde(default)]
    pub there: bool,
    /// A strip in bending, if somebody gave its steel.
    #[serde(default)]
    pub bending: Option<BendingText>,
    /// An inside column, if somebody gave its size.
    #[serde(default)]
    pub punching: Option<PunchingText>,
}

/// A strip of slab in bending; the moment per width is `coefficient` × load × `span`².
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BendingText {
    pub depth: Length,
    pub bar: crate::units::Area,
    /// Distance between bars.
    pub apart: Length,
    pub fy: Pressure,
    pub coefficient: f64,
    pub span: Length,
    /// All of the load is raised by this.
    pub load_factor: f64,
}

/// An inside column under a flat slab.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PunchingText {
    pub depth: Length,
    pub column: (Length, Length),
    /// Floor area it carries.
    pub carries: crate::units::Area,
    /// Tension steel over the column as a share of the section.
    #[serde(default)]
    pub steel_ratio: f64,
    /// All of the load is raised by this.
    pub load_factor: f64,
}

/// One casting or stripping step through the levels.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LevelStep {
    /// Days from a common start.
    pub day: f64,
    #[serde(rename = "do")]
    pub action: LevelAction,
    /// Step of the sequence it belongs to; none: as the step before it.
    #[serde(default)]
    pub at: Option<String>,
}

/// What is done through the levels. Slabs by name; props are named by the slab above them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub enum LevelAction {
    /// Shores are set on the slab below and the slab is cast on them.
    Cast(String),
    /// Its forms and all its shores come away.
    Strip(String),
    /// Its forms come away; this share of the posts stays undisturbed.
    Leave {
        slab: String,
        share: f64,
    },
    /// Reshores are set snug under it.
    Reshore(String),
    /// Its reshores, or what was left in, come away.
    TakeProps(String),
    /// A load is put on it, or taken off.
    Put {
        slab: String,
        load: Pressure,
    },
    TakeOff {
        slab: String,
        load: Pressure,
    },
}
