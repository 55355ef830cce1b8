//! The division of a stage into strands. What is divided are the groups of unknowns that members join
//! (`super::super::groups`).

use super::super::strands::{Part, Plan, SECOND, SLOTS, Undivided};
use super::{Engine, Owner, Parts};
use std::sync::Arc;

impl Parts {
    /// The parts of a member's group with what they touch, where some nodes have a second way down.
    /// `split`: which, by lasting number of a node; empty if none has.
    pub(super) fn divide(
        &self,
        piece: u32,
        group: u8,
        split: &[bool],
        add: &mut dyn FnMut(Part, &[u32]),
    ) {
        let groups = self.groups(piece);
        let mut touched = [0; 12];
        let mut put = |part: Part| {
            let mut count = 0;
            for (to, unknown) in touched.iter_mut().zip(self.touched(part, groups, split)) {
                *to = unknown;
                count += 1;
            }
            add(part, &touched[..count]);
        };
        let second = !split.is_empty() && groups.touched(group).planes[1];
        let part = Part { piece, group, second };
        put(part);
        if self.is_halved(part, groups, split) {
            put(Part { second: true, ..part });
        }
    }
}

impl Engine {
    pub(super) fn most(&self) -> usize {
        SLOTS as usize * self.most_nodes
    }

    /// Divides a stage. `split`: by lasting number of a node whether it has a second way down; empty: none.
    pub(super) fn plan(&self, parts: &Parts, split: Vec<bool>) -> Plan {
        let mut all = Undivided::default();
        for owner in parts.owner.iter().flatten() {
            self.unknowns_of(owner, is_in(&split, owner.number), &mut all);
        }
        for piece in parts.pieces() {
            for group in 0..parts.groups(piece).count {
                parts.divide(piece, group, &split, &mut |part, touched| all.part(part, touched));
            }
        }
        Plan { split, ..Plan::new(&self.tree, self.most(), &all) }
    }

    /// The same with all that a member touches in one strand.
    pub(super) fn plan_whole(&self, parts: &Parts) -> Plan {
        let mut all = Undivided::default();
        for owner in parts.owner.iter().flatten() {
            self.unknowns_of(owner, false, &mut all);
        }
        for piece in parts.pieces() {
            let groups = parts.groups(piece).whole();
            for group in 0..groups.count {
                let part = Part { piece, group, second: false };
                let touched: Vec<u32> = parts.touched(part, &groups, &[]).collect();
                all.part(part, &touched);
            }
        }
        Plan { whole: true, ..Plan::new(&self.tree, self.most(), &all) }
    }

    /// Adds a node's unknowns, with a second way down where it has one.
    pub(super) fn unknowns_of(&self, owner: &Owner, split: bool, all: &mut Undivided) {
        for dof in 0..if split { SLOTS } else { SECOND } {
            let node = self.tree_node(owner, dof < 3 || dof == SECOND);
            all.unknowns.push((owner.number * SLOTS + dof, node));
        }
    }

    /// The tree node of a node's displacements, or of its rotations.
    pub(super) fn tree_node(&self, owner: &Owner, moves: bool) -> u32 {
        let of = if owner.shared && moves { &self.tree.shared } else { &self.tree.private };
        u32::try_from(of[owner.post]).unwrap_or(u32::MAX)
    }

    /// The division of a stage into lines, from that of the frame before where it is known.
    pub(super) fn lines(
        &self,
        parts: &Parts,
        before: Option<(&Plan, &Arc<Parts>)>,
    ) -> (Arc<Plan>, Vec<bool>) {
        if let Some(known) = parts.lines.get() {
            return (Arc::clone(known), Vec::new());
        }
        let (plan, anew) = match before {
            Some(before) => self.plan_from(before, parts, Vec::new()),
            None => (self.plan(parts, Vec::new()), Vec::new()),
        };
        (Arc::clone(parts.lines.get_or_init(|| Arc::new(plan))), anew)
    }
}

pub(super) fn is_in(split: &[bool], number: u32) -> bool {
    split.get(number as usize) == Some(&true)
}
