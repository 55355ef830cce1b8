//! A stage taken apart into its upright planes.
//!
//! In a floor on a rectangular grid lines along x move in their own planes and lines along y in
//! theirs; all that they share is the shortening of posts that are braced both ways. The energy of
//! such a stage is
//!
//! `E(x, y, z) = Ex(x, z) + Ey(y, z) + P(z)`, P that of the posts pressed along themselves,
//!
//! with the geometric stiffness in it, each part of a member in one of the terms. A post that is braced
//! both ways and stands on something is given a second way down, one for each plane, with half of its P
//! and half of what is put on z. That only takes a tie away: with the sum of both positive definite E
//! is (the proof), and under any load it yields at least as much work as E does, so it is nowhere stiffer.
//!
//! A line then has nothing to do with those that cross it, and what is laid on one leaves the others
//! as they are. Where that yields too much, the stage is asked with all its planes together. A post
//! whose foot has lifted hangs on both planes and is not taken apart, nor is a stage with a member that
//! passes something from one direction to the other, as a skew brace or a deck that keeps a bay in shape.

use super::super::strands::{Part, Plan, SECOND, SLOTS, Undivided};
use super::lay::Like;
use super::source::Laid;
use super::{Engine, Parts, TreeSolution};
use crate::mechanics::element::Element;
use petgraph::unionfind::UnionFind;
use std::sync::Arc;

/// Which nodes go down together, and in which planes something more holds them up.
#[derive(Debug)]
pub(super) struct Columns {
    /// By lasting number of a node: its column.
    of: Vec<usize>,
    braced_both_ways: Vec<bool>,
}

/// What a group of a member's unknowns touches.
#[derive(Clone, Copy, Default)]
struct Touched {
    planes: [bool; 2],
    upright: bool,
    spin: bool,
    count: usize,
}

impl Touched {
    fn of(places: impl Iterator<Item = usize>) -> Self {
        let mut out = Self::default();
        for place in places {
            out.count += 1;
            match place % 6 {
                0 | 4 => out.planes[0] = true,
                1 | 3 => out.planes[1] = true,
                2 => out.upright = true,
                _ => out.spin = true,
            }
        }
        out
    }

    /// Whether it passes something from one plane to the other, or turns a post as it moves it.
    fn across(self) -> bool {
        self.planes == [true; 2] || self.spin && (self.upright || self.planes != [false; 2])
    }
}

impl Parts {
    fn columns(&self, most_nodes: usize) -> Option<Columns> {
        let mut columns = UnionFind::<usize>::new(most_nodes);
        let mut braced = vec![[false; 2]; most_nodes];
        for (piece, groups) in self.groups.iter().enumerate() {
            let number = |place: usize| {
                let owner = self.owner[self.elements[piece].nodes[place / 6]];
                owner.map(|owner| owner.number as usize)
            };
            for group in 0..groups.count {
                let touched = Touched::of(groups.places(group));
                if touched.across() {
                    return None;
                }
                let mut ends = groups.places(group).filter(|p| p % 6 == 2).filter_map(number);
                if touched.planes != [false; 2] {
                    ends.for_each(|node| braced[node][usize::from(touched.planes[1])] = true);
                } else if touched.count > 1
                    && let (Some(a), Some(b)) = (ends.next(), ends.next())
                {
                    columns.union(a, b);
                }
            }
        }
        let of = columns.into_labeling();
        let mut planes = vec![[false; 2]; most_nodes];
        for (column, braced) in of.iter().zip(braced) {
            let [x, y] = planes[*column];
            planes[*column] = [x || braced[0], y || braced[1]];
        }
        let braced_both_ways = planes.into_iter().map(|planes| planes == [true; 2]).collect();
        Some(Columns { of, braced_both_ways })
    }
}

impl Parts {
    /// The parts of a member's group with what they touch, where some nodes have a second way down.
    fn divide(&self, piece: u32, group: u8, split: &[bool], add: &mut dyn FnMut(Part, Vec<u32>)) {
        let groups = &self.groups[piece as usize];
        let touched = Touched::of(groups.places(group));
        let part = Part { piece, group, second: touched.planes[1] };
        add(part, self.touched(part, groups, split).collect());
        if self.is_halved(part, groups, split) {
            let part = Part { second: true, ..part };
            add(part, self.touched(part, groups, split).collect());
        }
    }
}

impl Engine {
    /// A stage taken apart; none where that cannot be.
    pub(super) fn apart(&mut self, laid: &Laid) -> Option<Arc<Laid>> {
        if let Some(known) = laid.apart.get() {
            return known.clone();
        }
        let parts = &laid.parts;
        let columns = parts.columns.get_or_init(|| parts.columns(self.most_nodes));
        let made = columns.as_ref().map(|columns| {
            // Held from below: a node of it that does not go down.
            let mut held = vec![false; self.most_nodes];
            for (owner, lasting) in parts.owner.iter().zip(&laid.lasting) {
                if let Some(owner) = owner
                    && lasting[2] == u32::MAX
                {
                    held[columns.of[owner.number as usize]] = true;
                }
            }
            let split = |column: &usize| columns.braced_both_ways[*column] && held[*column];
            let split: Vec<bool> = columns.of.iter().map(split).collect();
            let base = self.taken.as_ref().map(|taken| Arc::clone(&taken.laid));
            let like = base.as_ref().filter(|base| Arc::ptr_eq(&base.parts, parts));
            let like = like.and_then(|base| base.apart.get()?.as_ref());
            let (plan, anew) = match like {
                Some(like) if like.plan.split == split => (Arc::clone(&like.plan), Vec::new()),
                Some(like) => {
                    let (plan, anew) = self.plan_apart_from(&like.plan, parts, split);
                    (Arc::new(plan), anew)
                }
                None => (Arc::new(self.plan_apart(parts, split)), Vec::new()),
            };
            let like = like.map(|like| Like { laid: like, anew });
            Arc::new(self.shape(parts, plan, laid.lasting.clone(), like))
        });
        laid.apart.get_or_init(|| made).clone()
    }

    fn plan_apart(&self, parts: &Parts, split: Vec<bool>) -> Plan {
        let mut all = Undivided::default();
        for owner in parts.owner.iter().flatten() {
            self.unknowns_of(owner, split[owner.number as usize], &mut all);
        }
        for (piece, groups) in (0..).zip(&parts.groups) {
            for group in 0..groups.count {
                parts.divide(piece, group, &split, &mut |part, touched| all.part(part, touched));
            }
        }
        Plan { split, ..Plan::new(&self.tree, SLOTS as usize * self.most_nodes, &all) }
    }

    /// The same, made of one in which other posts have a second way down: only strands that such a post is
    /// in are divided anew. Says which.
    fn plan_apart_from(&self, from: &Plan, parts: &Parts, split: Vec<bool>) -> (Plan, Vec<bool>) {
        let down = |number: u32| number * SLOTS + 2;
        let second = |number: u32| number * SLOTS + SECOND;
        let strand_of = |unknown: u32| from.strand_of[unknown as usize] as usize;
        let mut anew = vec![false; from.strands.len()];
        let mut all = Undivided::default();
        for owner in parts.owner.iter().flatten() {
            let number = owner.number;
            let [now, then] = [&split, &from.split].map(|split| split[number as usize]);
            if now != then {
                for unknown in [down(number), second(number)] {
                    if let Some(strand) = anew.get_mut(strand_of(unknown)) {
                        *strand = true;
                    }
                }
            }
            if now && !then {
                let node = self.tree_node(owner, true);
                all.unknowns.push((second(number), node));
            }
        }
        let mut members = Vec::new();
        for (strand, _) in from.strands.iter().zip(&anew).filter(|(_, anew)| **anew) {
            for &(node, unknown) in &from.unknowns[strand.unknowns.clone()] {
                if unknown % SLOTS != SECOND || split[(unknown / SLOTS) as usize] {
                    all.unknowns.push((unknown, node));
                }
            }
            members
                .extend(from.parts[strand.parts.clone()].iter().map(|(_, p)| (p.piece, p.group)));
        }
        members.sort_unstable();
        members.dedup();
        for (piece, group) in members {
            parts.divide(piece, group, &split, &mut |part, touched| {
                // What it touches is in one strand, unless it touches what has changed.
                let of = touched.first().map(|&unknown| strand_of(unknown));
                if of.is_some_and(|of| anew.get(of).is_none_or(|anew| *anew)) {
                    all.part(part, touched);
                }
            });
        }
        let part = Plan::new(&self.tree, SLOTS as usize * self.most_nodes, &all);
        (Plan { split, ..from.with(&anew, &part) }, anew)
    }
}

impl TreeSolution {
    /// Axial force of a member.
    pub(super) fn axial_of(&self, element: &Element) -> f64 {
        let further = |share: f64, node: usize| {
            self.second
                .get(node)
                .map_or(0.0, |second| share * (second - self.displacement[node][2]))
        };
        // In the second plane the second way down counts, in a post that has two the middle.
        let [x, y] = [element.axes[(0, 0)], element.axes[(0, 1)]];
        let share = if y != 0.0 {
            1.0
        } else if x == 0.0 {
            0.5
        } else {
            0.0
        };
        let [i, j] = element.nodes;
        let moved = |d: usize| self.displacement[j][d] - self.displacement[i][d];
        let along: f64 = (0..3).map(|d| element.axes[(0, d)] * moved(d)).sum();
        let more = element.axes[(0, 2)] * (further(share, j) - further(share, i));
        (along + more) * element.axial
    }
}
