//! The record as typed data. Unknown fields are errors.

use super::Date;
use crate::units::Length;
use serde::{Deserialize, Serialize};

/// The format number this program writes.
pub const FORMAT: u32 = 1;

/// What people saw, beside one scene.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    pub format: u32,
    /// The drawing that is in force. A part looked at against an older revision has not been looked at.
    #[serde(default)]
    pub drawing: Option<Drawing>,
    /// Planned inspections that somebody must release, beyond those every permit asks for.
    #[serde(default)]
    pub hold_points: Vec<HoldPoint>,
    #[serde(default)]
    pub inspections: Vec<Inspection>,
    #[serde(default)]
    pub releases: Vec<Release>,
    /// What was seen to on a walk-through.
    #[serde(default)]
    pub walked: Vec<Walked>,
}

impl Default for Record {
    fn default() -> Self {
        Self {
            format: FORMAT,
            drawing: None,
            hold_points: Vec::new(),
            inspections: Vec::new(),
            releases: Vec::new(),
            walked: Vec::new(),
        }
    }
}

/// The falsework drawing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Drawing {
    pub number: String,
    pub revision: String,
}

/// What a permit allows.
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
pub enum PermitKind {
    /// To place concrete on the falsework.
    Load,
    /// To lower and take it down.
    Strike,
}

impl PermitKind {
    /// `permit to load`.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Load => "permit to load",
            Self::Strike => "permit to strike",
        }
    }
}

/// A planned inspection that somebody releases on evidence.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HoldPoint {
    pub id: String,
    pub title: String,
    /// The permit that waits for it.
    pub before: PermitKind,
    /// What to look at, in plain words.
    #[serde(default)]
    pub look: Vec<String>,
}

/// Somebody looked at parts. What was not looked at is left out, and is then unknown.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Inspection {
    /// Members by name; `*` stands for any text.
    pub parts: Vec<String>,
    pub by: String,
    pub on: Date,
    /// Revision of the drawing they were held against.
    pub drawing: String,
    /// Fit to be relied on: no damage, the right part in the right place.
    pub sound: bool,
    /// Damage seen, in words. Anything here makes the part unfit, whatever `sound` says.
    #[serde(default)]
    pub damage: String,
    /// Posts: the pin through both tubes is home.
    #[serde(default)]
    pub pin_home: Option<bool>,
    /// Posts: the collar is run up tight.
    #[serde(default)]
    pub collar_home: Option<bool>,
    /// Posts: the head lies so far from above the foot, in plan.
    #[serde(default)]
    pub out_of_plumb: Option<Length>,
    /// Posts on a jack: how far the jack is run out.
    #[serde(default)]
    pub jack: Option<Length>,
    /// Beams, braces, ties and clips: couplers, wedges, locks, nails home.
    #[serde(default)]
    pub fixed: Option<bool>,
    #[serde(default)]
    pub note: String,
    /// Picture file beside the record.
    #[serde(default)]
    pub photo: String,
}

/// Somebody released a hold point, or took the release back.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Release {
    /// Id of the hold point.
    pub point: String,
    pub by: String,
    pub on: Date,
    /// What it rests on: a report, a measurement, a photograph.
    pub evidence: Vec<String>,
    /// The release is taken back: the hold point is open again.
    #[serde(default)]
    pub withdrawn: bool,
}

/// A station of a walk-through was seen to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Walked {
    /// Id of the station.
    pub station: String,
    pub by: String,
    pub on: Date,
    /// True: looked at and in order. False: looked at, and not in order.
    pub in_order: bool,
    #[serde(default)]
    pub note: String,
    /// Picture file beside the record.
    #[serde(default)]
    pub photo: String,
}
