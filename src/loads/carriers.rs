//! Which joints carry at a stage, and the order in which members hand their load down.

use crate::assembly::{Assembly, Joint, JointId, JointKind, MemberId};
use crate::equipment::model::Passes;
use crate::sequence::{JointState, Stage};
use std::collections::VecDeque;

/// What a joint passes at a stage; none while it is open or one of its members is not there.
#[must_use]
pub fn passes<'a>(assembly: &'a Assembly, stage: &Stage, joint: JointId) -> Option<&'a Passes> {
    let joint = assembly.joint(joint);
    if !stage.state(joint.member).is_there()
        || joint.carrier.is_some_and(|c| !stage.state(c).is_there())
    {
        return None;
    }
    in_state(joint, stage.joint(joint.id))
}

fn in_state(joint: &Joint, state: JointState) -> Option<&Passes> {
    match state {
        JointState::Open => None,
        JointState::Hung => Some(&joint.hung),
        JointState::Locked => Some(&joint.locked),
        JointState::Lowered => Some(&joint.lowered),
    }
}

/// A joint takes weight: bearing for what rests or hangs, any made coupler or tie for braces.
pub(super) fn bears(assembly: &Assembly, stage: &Stage, joint: &Joint) -> bool {
    passes(assembly, stage, joint.id).is_some_and(|passes| weight(joint.kind, passes))
}

/// Whether a joint of a kind takes weight where it passes this.
fn weight(kind: JointKind, passes: &Passes) -> bool {
    match kind {
        JointKind::Clip => false,
        JointKind::Coupler | JointKind::Tie => true,
        _ => passes.bearing,
    }
}

/// The joints that carry, by member, and the order from the top down.
pub(super) struct Carriers {
    /// `flat[start[m]..start[m + 1]]`: supports of member m by station.
    flat: Vec<JointId>,
    start: Vec<u32>,
    /// By member: the post that bears a clip.
    pub clip_on: Vec<Option<JointId>>,
    /// Members that are there, each after all that rest on it.
    pub order: Vec<MemberId>,
    /// Members that rest on each other in a circle.
    pub circle: Vec<MemberId>,
}

impl Carriers {
    pub fn new(assembly: &Assembly, stage: &Stage) -> Self {
        let count = assembly.members.len();
        let mut flat: Vec<JointId> = Vec::with_capacity(assembly.joints.len());
        let mut ends = vec![(0u32, 0u32); count];
        let mut clip_on = vec![None; count];
        let mut above = vec![0u32; count];
        // Joints come sorted by member and station, so each member's supports are one run; should
        // they not, the run is sorted below.
        let there: Vec<bool> = stage.members.iter().map(|m| m.is_there()).collect();
        let bears = |(joint, state): &(&Joint, &JointState)| {
            there[joint.member.index()]
                && joint.carrier.is_none_or(|c| there[c.index()])
                && in_state(joint, **state).is_some_and(|passes| weight(joint.kind, passes))
        };
        let mut carrying: Vec<&Joint> =
            assembly.joints.iter().zip(&stage.joints).filter(bears).map(|(j, _)| j).collect();
        if !carrying.is_sorted_by(|a, b| a.member <= b.member) {
            carrying.sort_by_key(|j| (j.member, j.id));
        }
        for joint in carrying {
            let slot = &mut ends[joint.member.index()];
            if slot.1 == 0 {
                slot.0 = flat.len() as u32;
            }
            flat.push(joint.id);
            slot.1 = flat.len() as u32;
            if let Some(carrier) = joint.carrier {
                above[carrier.index()] += 1;
            }
        }
        let mut start = Vec::with_capacity(count + 1);
        let mut at = 0;
        for &(_, end) in &ends {
            start.push(at);
            at = at.max(end);
        }
        start.push(at);
        for joint in &assembly.joints {
            let Some(clip) = joint.clip else { continue };
            let Some(post) = joint.carrier else { continue };
            if stage.state(clip).is_there()
                && stage.state(post).is_there()
                && clip_on[clip.index()].is_none()
            {
                clip_on[clip.index()] = Some(joint.id);
                above[post.index()] += 1;
            }
        }
        let mut made = Self { flat, start, clip_on, order: Vec::new(), circle: Vec::new() };
        made.sort(assembly, stage, above);
        made
    }

    /// Supports of a member, by station.
    pub fn of(&self, member: MemberId) -> &[JointId] {
        let i = member.index();
        &self.flat[self.start[i] as usize..self.start[i + 1] as usize]
    }

    fn below<'a>(
        &'a self,
        assembly: &'a Assembly,
        member: MemberId,
    ) -> impl Iterator<Item = MemberId> + 'a {
        self.of(member)
            .iter()
            .copied()
            .chain(self.clip_on[member.index()])
            .filter_map(|j| assembly.joint(j).carrier)
    }

    /// Top to bottom (Kahn). What is left over lies in a circle or below one.
    fn sort(&mut self, assembly: &Assembly, stage: &Stage, mut above: Vec<u32>) {
        let there = |m: &MemberId| stage.state(*m).is_there();
        let mut ready: VecDeque<MemberId> =
            assembly.members.iter().map(|m| m.id).filter(|m| above[m.index()] == 0).collect();
        ready.retain(there);
        let mut done = vec![false; above.len()];
        let mut order = Vec::with_capacity(above.len());
        let mut circle: Vec<MemberId> = Vec::new();
        loop {
            while let Some(member) = ready.pop_front() {
                done[member.index()] = true;
                order.push(member);
                for carrier in self.below(assembly, member) {
                    above[carrier.index()] -= 1;
                    if above[carrier.index()] == 0 && !done[carrier.index()] {
                        ready.push_back(carrier);
                    }
                }
            }
            // A circle: take its members out as having no way down, and go on with what is below.
            let left: Vec<MemberId> = assembly
                .members
                .iter()
                .map(|m| m.id)
                .filter(|m| there(m) && !done[m.index()])
                .collect();
            if left.is_empty() {
                break;
            }
            let mut graph = petgraph::graphmap::DiGraphMap::<MemberId, ()>::new();
            for &m in &left {
                graph.add_node(m);
                for c in self.below(assembly, m).filter(|c| !done[c.index()]) {
                    graph.add_edge(m, c, ());
                }
            }
            let mut round: Vec<MemberId> = petgraph::algo::tarjan_scc(&graph)
                .into_iter()
                .filter(|c| c.len() > 1 || c.iter().any(|&m| graph.contains_edge(m, m)))
                .flatten()
                .collect();
            round.sort_unstable();
            if round.is_empty() {
                // Cannot be: what is left over has a circle above it. Never hang on it.
                circle.extend(left);
                break;
            }
            for &m in &round {
                done[m.index()] = true;
            }
            for &m in &round {
                for c in self.below(assembly, m).filter(|c| !round.contains(c)) {
                    above[c.index()] -= 1;
                    if above[c.index()] == 0 && !done[c.index()] {
                        ready.push_back(c);
                    }
                }
            }
            circle.extend(round);
        }
        circle.sort_unstable();
        (self.order, self.circle) = (order, circle);
    }
}
