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

/// What every stage asks of every joint, side by side: a joint with all it has is large.
pub(super) struct Links {
    /// By joint.
    links: Vec<Link>,
    /// Joints with a clip: the clip, and the post that bears it.
    clips: Vec<(JointId, MemberId, MemberId)>,
    members: usize,
}

struct Link {
    member: MemberId,
    carrier: Option<MemberId>,
    /// Whether it takes weight: hung, locked, lowered.
    takes: [bool; 3],
}

impl Link {
    fn takes(&self, state: JointState) -> bool {
        let [hung, locked, lowered] = self.takes;
        match state {
            JointState::Open => false,
            JointState::Hung => hung,
            JointState::Locked => locked,
            JointState::Lowered => lowered,
        }
    }
}

impl Links {
    pub fn new(assembly: &Assembly) -> Self {
        let link = |joint: &Joint| Link {
            member: joint.member,
            carrier: joint.carrier,
            takes: [&joint.hung, &joint.locked, &joint.lowered].map(|p| weight(joint.kind, p)),
        };
        let clip = |joint: &Joint| Some((joint.id, joint.clip?, joint.carrier?));
        Self {
            links: assembly.joints.iter().map(link).collect(),
            clips: assembly.joints.iter().filter_map(clip).collect(),
            members: assembly.members.len(),
        }
    }

    fn carrier(&self, joint: JointId) -> Option<MemberId> {
        self.links[joint.index()].carrier
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
    pub fn new(links: &Links, stage: &Stage) -> Self {
        let count = links.members;
        let mut flat: Vec<JointId> = Vec::with_capacity(links.links.len());
        let mut ends = vec![(0u32, 0u32); count];
        let mut clip_on = vec![None; count];
        let mut above = vec![0u32; count];
        // Joints come sorted by member and station, so each member's supports are one run; should
        // they not, the run is sorted below.
        let there: Vec<bool> = stage.members.iter().map(|m| m.is_there()).collect();
        let is_there = |member: MemberId| there[member.index()];
        let bears = |(_, (link, state)): &(usize, (&Link, &JointState))| {
            is_there(link.member) && link.carrier.is_none_or(is_there) && link.takes(**state)
        };
        let mut carrying: Vec<(&Link, JointId)> = links
            .links
            .iter()
            .zip(&stage.joints)
            .enumerate()
            .filter(bears)
            .map(|(k, (link, _))| (link, JointId(k as u32)))
            .collect();
        if !carrying.is_sorted_by(|(a, _), (b, _)| a.member <= b.member) {
            carrying.sort_by_key(|(link, id)| (link.member, *id));
        }
        for (link, id) in carrying {
            let slot = &mut ends[link.member.index()];
            if slot.1 == 0 {
                slot.0 = flat.len() as u32;
            }
            flat.push(id);
            slot.1 = flat.len() as u32;
            if let Some(carrier) = link.carrier {
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
        for &(joint, clip, post) in &links.clips {
            if is_there(clip) && is_there(post) && clip_on[clip.index()].is_none() {
                clip_on[clip.index()] = Some(joint);
                above[post.index()] += 1;
            }
        }
        let mut made = Self { flat, start, clip_on, order: Vec::new(), circle: Vec::new() };
        made.sort(links, &there, above);
        made
    }

    /// Supports of a member, by station.
    pub fn of(&self, member: MemberId) -> &[JointId] {
        let i = member.index();
        &self.flat[self.start[i] as usize..self.start[i + 1] as usize]
    }

    fn below<'a>(
        &'a self,
        links: &'a Links,
        member: MemberId,
    ) -> impl Iterator<Item = MemberId> + 'a {
        self.of(member)
            .iter()
            .copied()
            .chain(self.clip_on[member.index()])
            .filter_map(|joint| links.carrier(joint))
    }

    /// Top to bottom (Kahn). What is left over lies in a circle or below one.
    fn sort(&mut self, links: &Links, there: &[bool], mut above: Vec<u32>) {
        let members = || (0..links.members).filter(|k| there[*k]).map(|k| MemberId(k as u32));
        let mut ready: VecDeque<MemberId> = members().filter(|m| above[m.index()] == 0).collect();
        let mut done = vec![false; above.len()];
        let mut order = Vec::with_capacity(above.len());
        let mut circle: Vec<MemberId> = Vec::new();
        loop {
            while let Some(member) = ready.pop_front() {
                done[member.index()] = true;
                order.push(member);
                for carrier in self.below(links, member) {
                    above[carrier.index()] -= 1;
                    if above[carrier.index()] == 0 && !done[carrier.index()] {
                        ready.push_back(carrier);
                    }
                }
            }
            // A circle: take its members out as having no way down, and go on with what is below.
            let left: Vec<MemberId> = members().filter(|m| !done[m.index()]).collect();
            if left.is_empty() {
                break;
            }
            let mut graph = petgraph::graphmap::DiGraphMap::<MemberId, ()>::new();
            for &m in &left {
                graph.add_node(m);
                for c in self.below(links, m).filter(|c| !done[c.index()]) {
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
                for c in self.below(links, m).filter(|c| !round.contains(c)) {
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
