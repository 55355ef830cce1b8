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

impl Parts {
    fn columns(&self, most_nodes: usize) -> Option<Columns> {
        let mut columns = UnionFind::<usize>::new(most_nodes);
        let mut braced = vec![[false; 2]; most_nodes];
        for piece in self.pieces() {
            let groups = self.groups(piece);
            let number = |place: usize| {
                let owner = self.owner[self.elements[piece as usize].nodes[place / 6]];
                owner.map(|owner| owner.number as usize)
            };
            for group in 0..groups.count {
                let touched = groups.touched(group);
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
            let like = self.like_apart(laid);
            let (plan, anew) = match &like {
                Some(like) if Arc::ptr_eq(&like.parts, parts) && like.plan.split == split => {
                    (Arc::clone(&like.plan), Vec::new())
                }
                Some(like) => {
                    let (plan, anew) = self.plan_from((&like.plan, &like.parts), parts, split);
                    (Arc::new(plan), anew)
                }
                None => (Arc::new(self.plan(parts, split)), Vec::new()),
            };
            let like = like.as_ref().map(|laid| Like { laid, anew });
            Arc::new(self.shape(parts, plan, laid.lasting.clone(), like))
        });
        laid.apart.get_or_init(|| made).clone()
    }

    /// What is taken apart already and like a stage: that with all feet down, or that of the frame before.
    fn like_apart(&self, laid: &Laid) -> Option<Arc<Laid>> {
        let taken = self.taken.as_ref()?;
        let same = |of: &Laid| Arc::ptr_eq(&of.parts, &laid.parts);
        let down = Some(&taken.laid).filter(|down| same(down) && down.apart.get().is_some());
        let like = down.or_else(|| taken.before.as_ref().filter(|_| same(&taken.laid)))?;
        like.apart.get()?.clone()
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
