//! The division of a stage into strands from that of the frame before, or of the same frame with other
//! nodes that have a second way down.
//!
//! A strand that has nothing to do with what is new or gone, be it a member, a node or a second way down,
//! stays as it is. One that is added to, or loses what something new takes the place of, grows
//! (`super::super::growth`). Only where neither is certain strands are divided anew. Whichever way, the
//! division is the one made from nothing (`tests/mechanics/carried.rs`).

use super::super::growth::torn;
use super::super::strands::{Part, Plan, SECOND, SLOTS, Undivided};
use super::divide::is_in;
use super::{Engine, Parts};
use petgraph::unionfind::UnionFind;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What is otherwise than in the division before.
struct Change {
    /// By lasting number of a node: whether it stays.
    stays: Vec<bool>,
    added: Undivided,
    gone: Undivided,
    /// Nodes that stay and have a second way down now alone, or did.
    turned: Vec<u32>,
    /// By strand of the division before: whether it has to do with any of it.
    strands: Vec<bool>,
}

/// What strands become: sets of them, with the unknowns that are added.
struct Sets {
    of: UnionFind<usize>,
    /// Added unknowns, ascending.
    added: Vec<u32>,
    strands: usize,
}

impl Sets {
    /// The set of an unknown.
    fn of(&self, from: &Plan, unknown: u32) -> Option<usize> {
        Some(self.of.find(self.item(from, unknown)?))
    }

    fn item(&self, from: &Plan, unknown: u32) -> Option<usize> {
        match self.added.binary_search(&unknown) {
            Ok(at) => Some(self.strands + at),
            Err(_) => Some(from.strand_of[unknown as usize] as usize).filter(|s| *s < self.strands),
        }
    }

    fn new(from: &Plan, change: &Change) -> Self {
        let mut added: Vec<u32> =
            change.added.unknowns.iter().map(|(unknown, _)| *unknown).collect();
        added.sort_unstable();
        let strands = from.strands.len();
        let mut out = Self { of: UnionFind::new(strands + added.len()), added, strands };
        for (_, touched) in change.added.parts() {
            let items: Vec<usize> = touched.iter().filter_map(|t| out.item(from, *t)).collect();
            for pair in items.windows(2) {
                out.of.union(pair[0], pair[1]);
            }
        }
        out
    }
}

impl Engine {
    /// As [`Engine::plan`]. Says which strands of the division before do not stay.
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
        let now = |piece: u32| carried.map_or(Some(piece), |carried| carried.now(piece));
        let change = self.change((from, before), parts, &split);
        let stays = |unknown: u32| {
            change.stays[(unknown / SLOTS) as usize]
                && (unknown % SLOTS != SECOND || is_in(&split, unknown / SLOTS))
        };
        let sets = Sets::new(from, &change);
        // Sets that are divided anew: what may fall apart, and what is all new.
        let mut anew = vec![false; sets.strands + sets.added.len()];
        anew[sets.strands..].fill(true);
        for (strand, _) in change.strands.iter().enumerate().filter(|(_, is)| **is) {
            anew[sets.of.find(strand)] = false;
        }
        let turned = change.turned.iter().flat_map(|n| [2, SECOND].map(|slot| n * SLOTS + slot));
        for unknown in torn(&change.gone, &change.added, stays).into_iter().chain(turned) {
            if let Some(set) = sets.of(from, unknown) {
                anew[set] = true;
            }
        }
        let is_anew = |unknown: u32| sets.of(from, unknown).is_some_and(|set| anew[set]);
        let mut all = Undivided::default();
        let mut growing: BTreeMap<usize, Growing> = BTreeMap::new();
        let mut members: Vec<(u32, u8)> = Vec::new();
        for (strand, _) in change.strands.iter().enumerate().filter(|(_, is)| **is) {
            let set = sets.of.find(strand);
            if !anew[set] {
                growing.entry(set).or_default().strands.push(strand);
                continue;
            }
            let unknowns = from.unknowns[from.strands[strand].unknowns.clone()].iter();
            let unknowns = unknowns.filter(|(_, unknown)| stays(*unknown));
            all.unknowns.extend(unknowns.map(|&(node, unknown)| (unknown, node)));
            let parts = from.parts[from.strands[strand].parts.clone()].iter();
            members.extend(parts.filter_map(|(_, p)| Some((now(p.piece)?, p.group))));
        }
        for &(unknown, node) in &change.added.unknowns {
            match sets.of(from, unknown).and_then(|set| growing.get_mut(&set)) {
                Some(growing) => growing.unknowns.push((node, unknown)),
                None => all.unknowns.push((unknown, node)),
            }
        }
        for (part, touched) in change.added.parts() {
            let set = touched.first().and_then(|unknown| sets.of(from, *unknown));
            match set.and_then(|set| growing.get_mut(&set)) {
                Some(growing) => growing.parts.push((self.deepest(parts, touched), part)),
                None => members.push((part.piece, part.group)),
            }
        }
        members.sort_unstable();
        members.dedup();
        for (piece, group) in members {
            parts.divide(piece, group, &split, &mut |part, touched| {
                // What it touches is in one strand, unless it touches what has changed.
                if touched.first().is_some_and(|unknown| is_anew(*unknown)) {
                    all.part(part, touched);
                }
            });
        }
        let mut made = if all.unknowns.is_empty() {
            Plan::default()
        } else {
            Plan::new(&self.tree, self.most(), &all)
        };
        for Growing { strands, unknowns, parts } in growing.into_values() {
            made.grow((from, &strands), stays, now, unknowns, parts);
        }
        // No member of a strand that stays is gone.
        let piece = |piece: u32| now(piece).unwrap_or(Plan::NONE);
        (Plan { split, ..from.with(&change.strands, &made, piece) }, change.strands)
    }

    fn change(
        &self,
        (from, before): (&Plan, &Arc<Parts>),
        parts: &Parts,
        split: &[bool],
    ) -> Change {
        let mut strands = vec![false; from.strands.len()];
        let mut mark = |unknown: u32| {
            if let Some(strand) = strands.get_mut(from.strand_of[unknown as usize] as usize) {
                *strand = true;
            }
        };
        let (mut added, mut gone) = (Undivided::default(), Undivided::default());
        let (mut stays, mut turned) = (vec![false; self.most_nodes], Vec::new());
        for (number, stays) in (0..).zip(&mut stays) {
            let splits = [is_in(&from.split, number), is_in(split, number)];
            let (then, now) = (before.owner_of(number), parts.owner_of(number));
            *stays = then.is_some() && then == now;
            if *stays {
                if splits[0] != splits[1] {
                    turned.push(number);
                    [2, SECOND].into_iter().for_each(|slot| mark(number * SLOTS + slot));
                }
                if let ([false, true], Some(now)) = (splits, now) {
                    added.unknowns.push((number * SLOTS + SECOND, self.tree_node(now, true)));
                }
                continue;
            }
            if then.is_some() {
                (number * SLOTS..(number + 1) * SLOTS).for_each(&mut mark);
            }
            if let Some(owner) = now {
                self.unknowns_of(owner, splits[1], &mut added);
            }
        }
        if let Some(carried) = parts.carried_from(before) {
            for piece in carried.gone() {
                for group in 0..before.groups(piece).count {
                    before.divide(piece, group, &from.split, &mut |part, touched| {
                        touched.iter().for_each(|unknown| mark(*unknown));
                        gone.part(part, touched);
                    });
                }
            }
            for piece in carried.come() {
                for group in 0..parts.groups(piece).count {
                    parts.divide(piece, group, split, &mut |part, touched| {
                        touched.iter().for_each(|unknown| mark(*unknown));
                        added.part(part, touched);
                    });
                }
            }
        }
        Change { stays, added, gone, turned, strands }
    }

    /// The tree node of a part: of what it touches the one furthest from the root; all lie on one path
    /// to it.
    fn deepest(&self, parts: &Parts, touched: &[u32]) -> u32 {
        let node = |unknown: &u32| {
            let slot = unknown % SLOTS;
            let owner = parts.owner_of(unknown / SLOTS)?;
            Some(self.tree_node(owner, slot < 3 || slot == SECOND))
        };
        let nodes = touched.iter().filter_map(node);
        nodes.max_by_key(|node| self.tree.depth[*node as usize]).unwrap_or(Plan::NONE)
    }
}

/// A strand that grows.
#[derive(Default)]
struct Growing {
    /// Those it is made of.
    strands: Vec<usize>,
    unknowns: Vec<(u32, u32)>,
    parts: Vec<(u32, Part)>,
}
