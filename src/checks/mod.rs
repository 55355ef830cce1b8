//! One file per hazard. A check is a pure function from a judged stage to observations.

use crate::assembly::Assembly;
use crate::criteria::Pack;
use crate::equilibrium::StageEquilibrium;
use crate::findings::{Observation, Severity};
use crate::loads::LoadState;
use crate::mechanics::StageMechanics;
use crate::restraint::Restraint;
use crate::sequence::Stage;

/// Everything a check may read.
pub struct StageContext<'a> {
    pub assembly: &'a Assembly,
    pub pack: &'a Pack,
    pub stage: &'a Stage,
    pub loads: &'a LoadState,
    pub restraint: &'a Restraint,
    pub mechanics: &'a StageMechanics,
    pub equilibrium: &'a StageEquilibrium,
}

/// A published source of a hazard.
pub struct Source {
    pub title: &'static str,
    pub locator: &'static str,
}

/// A hazard in the register.
pub struct Hazard {
    pub code: &'static str,
    pub name: &'static str,
    pub summary: &'static str,
    pub doc: &'static str,
    pub file: &'static str,
    pub severity: Severity,
    pub sources: &'static [Source],
    pub check: fn(&StageContext<'_>, &mut Vec<Observation>),
}
