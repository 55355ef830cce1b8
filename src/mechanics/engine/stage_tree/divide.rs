//! The division of a stage into strands, from nothing or from that of the frame before.
//!
//! What is divided are the groups of unknowns that members join (`super::super::groups`). From a division of
//! the frame before only strands are divided anew that have something to do with what is new or gone: a
//! member, a node, or a node's second way down (`super::planes`). All others stay with their shapes. Either
//! way the division is the same.

use super::super::strands::{Part, Plan, SECOND, SLOTS, Undivided};
use super::{Engine, Owner, Parts};
use std::sync::Arc;

impl Parts {
    /// The parts of a member's group with what they touch, where some nodes have a second way down.
    /// `split`: which, by lasting number of a node; empty if none has.
    fn divide(&self, piece: u32, group: u8, split: &[bool], add: &mut dyn FnMut(Part, &[u32])) {
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

    /// A node by its lasting number.
    fn owner_of(&self, number: u32) -> Option<&Owner> {
        self.owner.get(self.node_of[number as usize] as usize)?.as_ref()
    }
}

impl Engine {
    fn most(&self) -> usize {
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

    /// As [`Engine::plan`], from the division of the same members or of those of the frame before. Says
    /// which strands of that one were divided anew.
    pub(super) fn plan_from(
        &self,
        (from, before): (&Plan, &Arc<Parts>),
        parts: &Parts,
        split: Vec<bool>,
    ) -> (Plan, Vec<bool>) {
        let carried = parts.carried_from(before);
        if carried.is_none() && !std::ptr::eq(&**before, parts) {
            // They have nothing to do with one another.
            return (self.plan(parts, split), vec![true; from.strands.len()]);
        }
        let mut anew = vec![false; from.strands.len()];
        let mut all = Undivided::default();
        let mut mark = |unknown: u32| {
            if let Some(strand) = anew.get_mut(from.strand_of[unknown as usize] as usize) {
                *strand = true;
            }
        };
        let slots = |number: u32| number * SLOTS..(number + 1) * SLOTS;
        for number in 0..u32::try_from(self.most_nodes).unwrap_or(u32::MAX) {
            let splits = [is_in(&from.split, number), is_in(&split, number)];
            match (before.owner_of(number), parts.owner_of(number)) {
                (None, None) => {}
                (Some(then), Some(now)) if then == now => {
                    if splits[0] != splits[1] {
                        [2, SECOND].into_iter().for_each(|slot| mark(number * SLOTS + slot));
                    }
                    if splits == [false, true] {
                        let node = self.tree_node(now, true);
                        all.unknowns.push((number * SLOTS + SECOND, node));
                    }
                }
                (then, now) => {
                    if then.is_some() {
                        slots(number).for_each(&mut mark);
                    }
                    if let Some(owner) = now {
                        self.unknowns_of(owner, splits[1], &mut all);
                    }
                }
            }
        }
        let mut members: Vec<(u32, u8)> = Vec::new();
        if let Some(carried) = carried {
            for piece in carried.gone() {
                for group in 0..before.groups(piece).count {
                    before.divide(piece, group, &from.split, &mut |_, touched| {
                        touched.iter().for_each(|unknown| mark(*unknown));
                    });
                }
            }
            for piece in carried.new() {
                for group in 0..parts.groups(piece).count {
                    members.push((piece, group));
                    parts.divide(piece, group, &split, &mut |_, touched| {
                        touched.iter().for_each(|unknown| mark(*unknown));
                    });
                }
            }
        }
        let now = |piece: u32| carried.map_or(Some(piece), |carried| carried.now(piece));
        for (strand, _) in from.strands.iter().zip(&anew).filter(|(_, anew)| **anew) {
            for &(node, unknown) in &from.unknowns[strand.unknowns.clone()] {
                let (number, slot) = (unknown / SLOTS, unknown % SLOTS);
                let stays = before.owner_of(number) == parts.owner_of(number);
                if stays && (slot != SECOND || is_in(&split, number)) {
                    all.unknowns.push((unknown, node));
                }
            }
            let parts = from.parts[strand.parts.clone()].iter();
            members.extend(parts.filter_map(|(_, p)| Some((now(p.piece)?, p.group))));
        }
        members.sort_unstable();
        members.dedup();
        for (piece, group) in members {
            parts.divide(piece, group, &split, &mut |part, touched| {
                // What it touches is in one strand, unless it touches what has changed.
                let of = touched.first().map(|&unknown| from.strand_of[unknown as usize] as usize);
                if of.is_some_and(|of| anew.get(of).is_none_or(|anew| *anew)) {
                    all.part(part, touched);
                }
            });
        }
        let part = Plan::new(&self.tree, self.most(), &all);
        // No member of a strand that stays is gone.
        let piece = |piece: u32| now(piece).unwrap_or(Plan::NONE);
        (Plan { split, ..from.with(&anew, &part, piece) }, anew)
    }

    /// Adds a node's unknowns, with a second way down where it has one.
    fn unknowns_of(&self, owner: &Owner, split: bool, all: &mut Undivided) {
        for dof in 0..if split { SLOTS } else { SECOND } {
            let node = self.tree_node(owner, dof < 3 || dof == SECOND);
            all.unknowns.push((owner.number * SLOTS + dof, node));
        }
    }

    /// The tree node of a node's displacements, or of its rotations.
    fn tree_node(&self, owner: &Owner, moves: bool) -> u32 {
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

fn is_in(split: &[bool], number: u32) -> bool {
    split.get(number as usize) == Some(&true)
}
