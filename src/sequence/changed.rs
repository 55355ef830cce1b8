//! What differs between two stages of one assembly.
//!
//! Neighbouring stages have most of their lists in common, piece for piece, so that looking for
//! what differs costs next to nothing. Values are compared, never where they came from: any two
//! stages can be held against each other.

use super::Stage;
use crate::assembly::{Assembly, JointId, MemberId};

/// Members about which something differs, sorted: what they are (there, in hand), whether their head
/// is locked or they are nailed, what one of their joints passes. A joint passes nothing while one of
/// its members is not there, so the neighbours of what comes or goes are among them.
#[must_use]
pub fn touched(assembly: &Assembly, before: &Stage, now: &Stage) -> Vec<MemberId> {
    let member = |index: usize| assembly.members.get(index).map(|m| m.id);
    let mut own: Vec<MemberId> = now
        .members
        .differences(&before.members)
        .chain(now.head_locked.differences(&before.head_locked))
        .chain(now.nailed.differences(&before.nailed))
        .filter_map(member)
        .collect();
    own.sort_unstable();
    own.dedup();
    let joints = now.joints.differences(&before.joints).filter_map(|j| assembly.joints.get(j));
    let mut all: Vec<MemberId> =
        joints.flat_map(|j| [Some(j.member), j.carrier]).flatten().collect();
    for id in own {
        all.push(id);
        all.extend(neighbours(assembly, id));
    }
    all.sort_unstable();
    all.dedup();
    all
}

/// Members that share a joint with one, and itself.
pub fn neighbours(assembly: &Assembly, id: MemberId) -> impl Iterator<Item = MemberId> + '_ {
    let both = |&j: &JointId| {
        let joint = assembly.joint(j);
        [Some(joint.member), joint.carrier]
    };
    assembly.joints_of(id).iter().flat_map(both).flatten()
}

/// Members by number, each at most once: those a walk has come to.
#[derive(Clone, Debug, Default)]
pub struct Marks {
    marked: Vec<bool>,
    list: Vec<MemberId>,
}

impl Marks {
    /// Of `count` members, none.
    #[must_use]
    pub fn none(count: usize) -> Self {
        Self { marked: vec![false; count], list: Vec::new() }
    }

    /// Adds one; false where it was there.
    pub fn add(&mut self, id: MemberId) -> bool {
        let new = !std::mem::replace(&mut self.marked[id.index()], true);
        if new {
            self.list.push(id);
        }
        new
    }

    #[must_use]
    pub fn has(&self, id: MemberId) -> bool {
        self.marked[id.index()]
    }

    /// In the order in which they were added.
    #[must_use]
    pub fn list(&self) -> &[MemberId] {
        &self.list
    }

    /// Adds all that is reached from those there are by a step, and by steps from there on.
    pub fn spread<I: IntoIterator<Item = MemberId>>(&mut self, step: impl Fn(MemberId) -> I) {
        let mut next = 0;
        while let Some(&here) = self.list.get(next) {
            next += 1;
            for other in step(here) {
                self.add(other);
            }
        }
    }
}

/// What a member hangs or rests on, through any of its joints, whatever their state.
pub fn below(assembly: &Assembly, id: MemberId) -> impl Iterator<Item = MemberId> + '_ {
    let joints = assembly.joints_of(id).iter().map(|&j| assembly.joint(j));
    joints.filter(move |j| j.member == id).filter_map(|j| j.carrier)
}

/// What hangs or rests on a member, through any of its joints, whatever their state.
pub fn above(assembly: &Assembly, id: MemberId) -> impl Iterator<Item = MemberId> + '_ {
    let joints = assembly.joints_of(id).iter().map(|&j| assembly.joint(j));
    joints.filter(move |j| j.carrier == Some(id)).map(|j| j.member)
}
