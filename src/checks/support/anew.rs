//! What the checks keep from one stage to the next: how far members are used by what lies on them.
//!
//! That follows from the loads on a member, its own joints, nails of the sheets on it and the loads of
//! the stage. Members for which something of that differs are asked anew. Holds if: over shipped scenes
//! and random sequences the checks say what they say of the stage alone (`tests/review/kept.rs`).

use super::usage::Uses;
use crate::assembly::{Assembly, JointId, Member, MemberId};
use crate::loads::LoadState;
use crate::sequence::Stage;
use crate::sequence::changed::touched;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// By member: uses worth saying, or what its part does not state.
pub type Found = BTreeMap<MemberId, Uses>;

/// Which members are to be asked anew at a stage, and what was found of the others before.
#[derive(Default)]
pub struct Anew {
    before: Option<(Stage, LoadState)>,
    /// Stages gone through.
    stages: usize,
    /// None: all of them.
    members: Option<Vec<MemberId>>,
    /// By check: at which stage it was asked last, and what was found.
    found: RefCell<BTreeMap<&'static str, (usize, Found)>>,
}

impl Anew {
    /// Goes on to a stage.
    pub fn go_to(&mut self, assembly: &Assembly, stage: &Stage, loads: &LoadState) {
        self.stages += 1;
        self.members = match &self.before {
            Some((before, taken)) if before.loads == stage.loads => {
                let on = loads.on.differences(&taken.on).filter_map(|m| assembly.members.get(m));
                let mut all = touched(assembly, before, stage);
                all.extend(on.map(|m| m.id));
                for joint in differing(&loads.lifting, &taken.lifting) {
                    all.push(assembly.joint(joint).member);
                }
                all.sort_unstable();
                all.dedup();
                Some(all)
            }
            _ => None,
        };
        self.before = Some((stage.clone(), loads.clone()));
    }

    /// Brings what a check found up to date: `renew` is called for each member to be asked anew.
    pub fn update<'a>(
        &self,
        check: &'static str,
        assembly: &'a Assembly,
        renew: impl Fn(&'a Member, &mut Found),
    ) {
        let mut all = self.found.borrow_mut();
        let (asked, found) = all.entry(check).or_default();
        match &self.members {
            // A check that left a stage out knows nothing of what differed there.
            Some(members) if *asked + 1 == self.stages => {
                members.iter().for_each(|&m| renew(assembly.member(m), found));
            }
            _ => {
                found.clear();
                assembly.members.iter().for_each(|m| renew(m, found));
            }
        }
        *asked = self.stages;
    }

    pub fn read(&self, check: &'static str, to: impl FnOnce(&Found)) {
        if let Some((_, found)) = self.found.borrow().get(check) {
            to(found);
        }
    }
}

/// Joints that are in one of two lists alone.
fn differing(a: &[JointId], b: &[JointId]) -> Vec<JointId> {
    let (a, b): (BTreeSet<_>, BTreeSet<_>) = (a.iter().collect(), b.iter().collect());
    a.symmetric_difference(&b).map(|&&joint| joint).collect()
}
