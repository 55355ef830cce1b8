//! A permit as data: what the JSON file holds.

use super::refusal::Refusal;
use crate::findings::Severity;
use crate::record::{HoldPointState, PermitKind};
use serde::{Deserialize, Serialize};

/// Version of the permit's format.
pub const PERMIT_VERSION: u32 = 1;

/// A permit, drafted or issued. All but `issue` and `seal` follows from the files it is bound to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Permit {
    pub permit_version: u32,
    pub kind: PermitKind,
    /// Name and version of the program that drafted it.
    pub program: String,
    pub version: String,
    pub job: String,
    pub about: String,
    pub criteria: String,
    pub equipment: String,
    pub drawing: Option<String>,
    /// Stage as built, which was inspected; and the last stage the permit covers. None where the
    /// scene has no such step.
    pub from: Option<StageNamed>,
    pub until: Option<StageNamed>,
    /// Parts in place at `from`, by kind.
    pub parts: Vec<PartCount>,
    /// Who looked at them.
    pub looked: Vec<Look>,
    pub hold_points: Vec<HoldPointState>,
    /// Findings that somebody accepted.
    pub accepted: Vec<Accepted>,
    /// Watches and notes that stand and that nobody accepted.
    pub standing: Vec<Standing>,
    /// Why it cannot be issued. Empty: it can.
    pub refusals: Vec<Refusal>,
    /// Limits in use that were written down from memory: to be checked against the document.
    pub from_memory: Vec<String>,
    pub cautions: Vec<String>,
    /// Every file it rests on: scene, equipment, criteria with all packs they extend, the record.
    pub files: Vec<FileBound>,
    pub pictures: Vec<FileBound>,
    /// None: a draft.
    pub issue: Option<Issue>,
    /// SHA-256 over all of the above; empty in a draft.
    pub seal: String,
}

/// A stage by the step that leads to it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StageNamed {
    pub step: String,
    pub title: String,
    pub index: usize,
}

/// How many parts of a kind are in place, and how many of them were inspected and in order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PartCount {
    pub kind: String,
    pub there: usize,
    pub in_order: usize,
}

/// One person's inspection on one day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Look {
    pub by: String,
    pub on: String,
    pub parts: usize,
}

/// A finding that was accepted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Accepted {
    pub code: String,
    pub severity: Severity,
    pub headline: String,
    pub members: Vec<String>,
    pub by: String,
    pub reason: String,
}

/// A finding that stands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Standing {
    pub code: String,
    pub severity: Severity,
    pub headline: String,
    pub members: Vec<String>,
}

/// A file with the SHA-256 of its bytes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileBound {
    /// From the scene's folder; what came with the program is marked `shipped:`.
    pub path: String,
    pub sha256: String,
}

/// Who issued it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Issue {
    pub by: String,
    /// What the person is on the job, such as temporary works coordinator.
    pub role: String,
    pub on: String,
    /// Last day it counts; none: as long as nothing changes.
    pub valid_until: Option<String>,
    pub note: String,
}
