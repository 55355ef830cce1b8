//! A stage taken apart into its upright planes.
//!
//! In a floor on a rectangular grid lines along x move in their own planes and lines along y in
//! theirs; all that they share is the shortening of posts that are braced both ways. The energy of
//! such a stage is
//!
//! `E(x, y, z) = Ex(x, z) + Ey(y, z) + P(z)`, P that of the posts pressed along themselves,
//!
//! with the geometric stiffness in it, each part of a member in one of the terms. Each plane is given a z
//! of its own, with half of P and half of what is put on z. That only takes a tie away: with both
//! halves positive definite E is (the proof), and under any load the halves yield at least as much work as E
//! does, so they are nowhere stiffer. Posts braced one way, or not at all, have one z as before, and
//! where no post is braced both ways nothing is bounded at all.
//!
//! A line then has nothing to do with those that cross it, and what is laid on one leaves the others
//! as they are. Where a plane yields too much, the stage is asked as a whole by who asks. A stage with a
//! member that passes something from one direction to the other, a skew brace or a deck that keeps a bay
//! in shape, is not taken apart.

use super::super::factor::Factor;
use super::super::strands::{Part, Plan, Undivided};
use super::source::Laid;
use super::{Engine, OnTree, Parts, TreeSolution, solve};
use petgraph::unionfind::UnionFind;
use std::sync::Arc;

/// How a stage is taken apart.
#[derive(Debug)]
pub(super) struct Apart {
    plans: [Arc<Plan>; 2],
    /// By member: the plane in which it acts along itself; none: half in each.
    along: Vec<Option<usize>>,
}

/// Both planes of a stage with their factors.
pub(super) struct Planes {
    pub laid: [Arc<Laid>; 2],
    pub factors: [Arc<Factor>; 2],
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

impl Engine {
    /// A stage's planes laid on the tree; none where it cannot be taken apart.
    pub(super) fn planes(&mut self, laid: &Laid) -> Option<[Arc<Laid>; 2]> {
        if let Some(known) = laid.planes.get() {
            return known.clone();
        }
        let parts = &laid.parts;
        let apart = parts.apart.get_or_init(|| self.apart(parts).map(Arc::new)).clone();
        let base = self.taken.as_ref().map(|taken| Arc::clone(&taken.laid));
        let base = base.filter(|base| Arc::ptr_eq(&base.parts, parts));
        let like = base.as_ref().and_then(|base| base.planes.get()?.as_ref());
        let made = apart.map(|apart| {
            [0, 1].map(|plane| {
                let plan = Arc::clone(&apart.plans[plane]);
                let mut lasting = laid.lasting.clone();
                for unknown in lasting.iter_mut().flatten().filter(|u| **u != u32::MAX) {
                    if plan.strand_of[*unknown as usize] == Plan::NONE {
                        *unknown = u32::MAX;
                    }
                }
                let like = like.map(|like| &*like[plane]);
                Arc::new(self.shape(parts, plan, lasting, like))
            })
        });
        laid.planes.get_or_init(|| made).clone()
    }

    fn apart(&self, parts: &Parts) -> Option<Apart> {
        let number = |piece: usize, place: usize| -> Option<usize> {
            Some(parts.owner[parts.elements[piece].nodes[place / 6]]?.number as usize)
        };
        // Nodes that go down together, and the planes in which something more holds them up.
        let mut columns = UnionFind::<usize>::new(self.most_nodes);
        let mut braced = vec![[false; 2]; self.most_nodes];
        for (piece, groups) in parts.groups.iter().enumerate() {
            for group in 0..groups.count {
                let touched = Touched::of(groups.places(group));
                if touched.across() {
                    return None;
                }
                let mut uprights = groups.places(group).filter(|place| place % 6 == 2);
                let is_post = touched.planes == [false; 2];
                if is_post && groups.is_stiff(group) {
                    let ends = [uprights.next(), uprights.next()];
                    if let [Some(a), Some(b)] = ends.map(|end| number(piece, end?)) {
                        columns.union(a, b);
                    }
                } else if !is_post || touched.count > 1 {
                    let plane = usize::from(touched.planes[1]);
                    for node in uprights.filter_map(|place| number(piece, place)) {
                        braced[node][plane] = true;
                    }
                }
            }
        }
        let label = columns.into_labeling();
        let mut of_column = vec![[false; 2]; self.most_nodes];
        for (node, planes) in braced.iter().enumerate() {
            let of = &mut of_column[label[node]];
            *of = [of[0] || planes[0], of[1] || planes[1]];
        }
        // The planes in which a node goes down.
        let downs = |node: usize| match of_column[label[node]] {
            [_, false] => [true, false],
            planes => planes,
        };
        let halved: Vec<bool> = (0..self.most_nodes).map(|node| downs(node) == [true; 2]).collect();
        let mut all = [Undivided::default(), Undivided::default()];
        for owner in parts.owner.iter().flatten() {
            let [plane_x, plane_y] = downs(owner.number as usize);
            let there = [
                [true, false, plane_x, false, true, true],
                [false, true, plane_y, true, false, false],
            ];
            for (all, there) in all.iter_mut().zip(there) {
                self.unknowns_of(owner, there, all);
            }
        }
        for (piece, groups) in parts.groups.iter().enumerate() {
            for group in 0..groups.count {
                let touched = Touched::of(groups.places(group));
                let node = groups.places(group).find_map(|place| number(piece, place));
                let downs = node.map_or([true, false], downs);
                let into = match touched.planes {
                    [true, _] => [true, false],
                    [_, true] => [false, true],
                    _ if touched.upright && groups.is_stiff(group) => downs,
                    // A pull aside at an end, bounded: once is enough.
                    _ if touched.upright => [downs[0], !downs[0]],
                    _ => [true, false],
                };
                let part = Part { piece: u32::try_from(piece).ok()?, group };
                for (all, _) in all.iter_mut().zip(into).filter(|(_, into)| *into) {
                    all.part(part, parts.touched(part, groups));
                }
            }
        }
        let plans = all.map(|all| {
            let plan = Plan::new(&self.tree, 6 * self.most_nodes, &all);
            Arc::new(Plan { halved: halved.clone(), ..plan })
        });
        let along = |piece: usize| {
            let axes = &parts.elements[piece].axes;
            if axes[(0, 0)] != 0.0 || axes[(0, 1)] != 0.0 {
                return Some(usize::from(axes[(0, 1)] != 0.0));
            }
            let downs = number(piece, 0).or_else(|| number(piece, 6)).map_or([true, false], downs);
            (downs != [true; 2]).then_some(usize::from(downs[1]))
        };
        Some(Apart { plans, along: (0..parts.elements.len()).map(along).collect() })
    }
}

impl OnTree<'_> {
    /// Displacements and axial forces of both planes put together. Of a z that is in both the middle
    /// is given; axial forces follow from each plane's own.
    pub(super) fn solve_planes(
        &self,
        planes: &Planes,
        cases: &[Vec<(usize, [f64; 6])>],
    ) -> Vec<TreeSolution> {
        let [in_x, in_y] = [0, 1].map(|k| solve::solve(&planes.laid[k], &planes.factors[k], cases));
        let parts = &self.laid.parts;
        let along: &[Option<usize>] =
            parts.apart.get().and_then(Option::as_ref).map_or(&[], |apart| &apart.along);
        let both = in_x.into_iter().zip(in_y).map(|(in_x, in_y)| {
            let members = parts.elements.iter().zip(along);
            let axial = members.map(|(element, along)| {
                let stretch = match along {
                    Some(0) => solve::stretch(element, &in_x),
                    Some(_) => solve::stretch(element, &in_y),
                    None => 0.5 * (solve::stretch(element, &in_x) + solve::stretch(element, &in_y)),
                };
                stretch * element.axial
            });
            let axial = axial.collect();
            let mut displacement = in_x;
            for (node, (moved, other)) in displacement.iter_mut().zip(in_y).enumerate() {
                let halves = planes.laid[0].lasting[node][2] != u32::MAX
                    && planes.laid[1].lasting[node][2] != u32::MAX;
                let down = moved[2] + other[2];
                let down = if halves { 0.5 * down } else { down };
                *moved = [moved[0], other[1], down, other[3], moved[4], moved[5]];
            }
            TreeSolution { displacement, axial }
        });
        both.collect()
    }
}
