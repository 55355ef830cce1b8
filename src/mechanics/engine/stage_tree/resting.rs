//! The answers of first order to the cases of a stage, and what they bring to nodes and feet.
//!
//! While the frame is the same and loads alone change, most strands bear what they bore at the stage
//! before: they are not asked again, and what follows from their answers stays.
//!
//! Holds if: each stage is judged as one that is judged alone, bit for bit
//! (`tests/mechanics/sequences.rs`, `tests/mechanics/random_sequences.rs`).

use super::super::answers::{Found, Load};
use super::solve::not_factorised;
use super::source::Laid;
use super::{OnTree, TreeSolution};
use crate::mechanics::answers::Unknown;
use crate::mechanics::element::{Element, MOST};
use crate::mechanics::frame::ElementForm;
use nalgebra::Vector3;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::Arc;

/// Loads on nodes, global axes.
pub type Nodal = Vec<(usize, [f64; 6])>;

/// A member by what it does along itself: its nodes, its axis and its stiffness, newtons per metre.
#[derive(Clone, Copy, Debug)]
struct Along {
    nodes: [u32; 2],
    axis: [f64; 3],
    stiffness: f64,
}

impl Along {
    /// Axial force, as [`TreeSolution::axial_of`] where no node has two ways down.
    fn axial(&self, displacement: &[[f64; 6]]) -> f64 {
        let [i, j] = self.nodes.map(|node| &displacement[node as usize]);
        let along: f64 = (0..3).map(|d| self.axis[d] * (j[d] - i[d])).sum();
        along * self.stiffness
    }
}

/// How a member acts on its nodes, end by end: by the twelve movements of both the three forces on the node,
/// global axes, and a nought.
type OnNodes = [[[f64; 4]; 12]; 2];

/// No foot.
const NONE: u32 = u32::MAX;

/// Several cases of a stage with their answers.
#[derive(Clone, Debug)]
pub struct Resting {
    laid: Arc<Laid>,
    cases: Vec<Nodal>,
    solutions: Vec<TreeSolution>,
    /// By case and node: the vertical force of its loads and members, newtons. Where the node is free
    /// it is what is out of balance, at a foot what the ground bears.
    vertical: Vec<Vec<f64>>,
    /// By case: the largest vertical load on a node, newtons.
    largest: Vec<f64>,
    /// By case and foot: the force of the foot's members on its node, newtons.
    on_feet: Vec<Vec<[f64; 3]>>,
    /// By node: whether it can go down.
    free: Vec<bool>,
    members: Vec<Along>,
    /// Nodes of the feet; by node its foot.
    feet: Vec<usize>,
    foot_at: Vec<u32>,
    /// Members that meet a foot, and which of the ways by which they act.
    at_feet: Vec<(u32, usize)>,
    ways: Vec<OnNodes>,
    /// Strands that were otherwise in the case looked at last, and by member whether it has a part in them.
    touched: (Vec<bool>, Vec<bool>),
}

impl OnTree<'_> {
    /// Answers to several cases of nodal loads, first order. `kept`: what was answered last, which is
    /// taken up where it is of the same frame.
    ///
    /// # Errors
    /// Before [`OnTree::factor`], or where the end forces of a member at a foot could not be worked
    /// out; nothing is kept then.
    pub fn answer<'r>(
        &self,
        cases: &[&Nodal],
        kept: &'r mut Option<Resting>,
    ) -> Result<&'r Resting, Unknown> {
        let factor = self.factored.as_ref().ok_or_else(not_factorised)?;
        let known = kept.take().filter(|known| {
            Arc::ptr_eq(&known.laid, &self.laid) && known.cases.len() == cases.len()
        });
        let is_new = known.is_none();
        let mut otherwise = vec![is_new; cases.len()];
        let mut resting = known.map_or_else(|| self.unloaded(cases.len()), Ok)?;
        let laid = &*self.laid;
        let changed: Vec<Vec<bool>> = (resting.cases.iter_mut().zip(cases).zip(&mut otherwise))
            .map(|((old, new), otherwise)| replace(laid, old, new, otherwise))
            .collect();
        let solutions = &mut resting.solutions;
        answer_anew(laid, &resting.cases, &changed, solutions, |loads, asked, found| {
            factor.follow(loads, asked, found);
        });
        for (case, changed) in changed.into_iter().enumerate().filter(|(case, _)| otherwise[*case])
        {
            if resting.touched.0 != changed {
                let members = laid.plan.is_in(&changed, laid.parts.elements.len());
                resting.touched = (changed, members);
            }
            resting.follow(case);
        }
        Ok(kept.insert(resting))
    }

    /// Cases without loads.
    fn unloaded(&self, cases: usize) -> Result<Resting, Unknown> {
        let laid = Arc::clone(&self.laid);
        let elements = &laid.parts.elements;
        let small = |n: usize| u32::try_from(n).unwrap_or(NONE);
        let members = elements.iter().map(|element| Along {
            nodes: element.nodes.map(small),
            axis: [0, 1, 2].map(|d| element.axes[(0, d)]),
            stiffness: element.axial,
        });
        let nodes = laid.lasting.len();
        let feet: Vec<usize> = self.frame.feet.iter().map(|&(node, _)| node).collect();
        let mut foot_at = vec![NONE; nodes];
        feet.iter().zip(0..).for_each(|(&node, foot)| foot_at[node] = foot);
        let meets = |nodes: &[usize; 2]| nodes.iter().any(|&node| foot_at[node] != NONE);
        // Members that are alike act alike.
        let (mut ways, mut way_of) = (Vec::new(), BTreeMap::new());
        let mut at_feet = Vec::new();
        for (element, member) in elements.iter().zip(0..).filter(|(e, _)| meets(&e.nodes)) {
            let way = match way_of.entry(self.number(member as usize)) {
                Entry::Occupied(known) => *known.get(),
                Entry::Vacant(new) => {
                    let way = on_nodes(element)
                        .ok_or_else(|| Unknown::IllConditioned("forces at a foot".into()))?;
                    ways.push(way);
                    *new.insert(ways.len() - 1)
                }
            };
            at_feet.push((member, way));
        }
        Ok(Resting {
            cases: vec![Nodal::new(); cases],
            solutions: vec![laid.at_rest(); cases],
            vertical: vec![vec![0.0; nodes]; cases],
            largest: vec![0.0; cases],
            on_feet: vec![vec![[0.0; 3]; feet.len()]; cases],
            free: laid.lasting.iter().map(|numbers| numbers[2] != u32::MAX).collect(),
            members: members.collect(),
            at_feet,
            ways,
            feet,
            foot_at,
            laid,
            touched: Default::default(),
        })
    }
}

/// How a member acts on its nodes.
fn on_nodes(element: &Element) -> Option<OnNodes> {
    let planes = element.planes(ElementForm::Exact, 0.0, [0.0; 3])?;
    let mut out = [[[0.0; 4]; 12]; 2];
    for dof in 0..12 {
        let mut displaced = [0.0; MOST];
        displaced[dof] = 1.0;
        let ends = element.end_forces_by(ElementForm::Exact, &planes, [0.0; 3], &displaced);
        for (out, force) in out.iter_mut().zip(ends) {
            let global = element.axes.transpose() * Vector3::new(force[0], force[1], force[2]);
            out[dof][..3].copy_from_slice(global.as_slice());
        }
    }
    Some(out)
}

/// Puts the loads of a case in the place of others. Gives by strand whether its own may be otherwise, and
/// says if any is: what acts where all is held acts on no strand.
pub(super) fn replace(
    laid: &Laid,
    old: &mut Nodal,
    new: &Nodal,
    otherwise: &mut bool,
) -> Vec<bool> {
    let strands = laid.shapes.len();
    let alike = old.len() == new.len() && old.iter().zip(new).all(|(a, b)| a.0 == b.0);
    if !alike {
        old.clone_from(new);
        *otherwise = true;
        return vec![true; strands];
    }
    let mut changed = vec![false; strands];
    for (old, new) in old.iter_mut().zip(new) {
        // Written so that what is not a number is never as before.
        if old.1 == new.1 {
            continue;
        }
        *old = *new;
        *otherwise = true;
        for strand in laid.strands_at(new.0) {
            changed[strand as usize] = true;
        }
    }
    changed
}

/// By strand: whether the loads of a case may be otherwise on it than those on the frame before. `now`: which
/// a node of that one is, if it still is. Loads are held against one another in their order, and what is not
/// found in its place is otherwise on both sides.
pub(super) fn loaded_otherwise(
    laid: &Laid,
    (old, new): (&Nodal, &Nodal),
    now: impl Fn(usize) -> Option<usize>,
) -> Vec<bool> {
    let mut changed = vec![false; laid.shapes.len()];
    let mut mark = |node: usize| {
        for strand in laid.strands_at(node) {
            if let Some(changed) = changed.get_mut(strand as usize) {
                *changed = true;
            }
        }
    };
    // Of what is gone the strands are other ones anyway.
    let mut left = old.iter().filter_map(|(node, force)| Some((now(*node)?, force))).peekable();
    for (node, force) in new {
        match left.next_if(|(at, _)| at == node) {
            // Written so that what is not a number is never as before.
            Some((_, was)) if was == force => {}
            _ => mark(*node),
        }
    }
    left.for_each(|(node, _)| mark(node));
    changed
}

/// Answers to cases, where strands are otherwise, by case and strand; one on which nothing acts rests. `solve`
/// gets loads, of which case which strands are asked, and what takes the answers.
pub(super) fn answer_anew(
    laid: &Laid,
    cases: &[Nodal],
    changed: &[Vec<bool>],
    solutions: &mut [TreeSolution],
    solve: impl FnOnce(&[Vec<Load>], &dyn Fn(usize, u32) -> bool, &mut Found<'_>),
) {
    let asked = |case: usize, strand: u32| changed[case][strand as usize];
    let of = |(case, nodal): (usize, &Nodal)| {
        let some = changed[case].contains(&true).then_some(&nodal[..]);
        laid.loads(some.unwrap_or_default(), |strand| asked(case, strand))
    };
    let loads: Vec<_> = cases.iter().enumerate().map(of).collect();
    // A strand of which nothing is said rests.
    let mut silent = changed.to_vec();
    solve(&loads, &asked, &mut |moved| {
        laid.take(moved, solutions);
        if let Some(&first) = moved.unknowns.first() {
            let strand = laid.plan.strand_of[first as usize] as usize;
            moved.cases.iter().for_each(|(case, _)| silent[*case][strand] = false);
        }
    });
    solutions.iter_mut().zip(&silent).for_each(|(solution, silent)| laid.rest(silent, solution));
}

impl Resting {
    /// Works out what follows from the displacements of a case, of the members that are touched.
    fn follow(&mut self, case: usize) {
        let elements = &self.laid.parts.elements;
        let touched = &self.touched.1;
        let TreeSolution { displacement, axial, .. } = &mut self.solutions[case];
        let vertical = &mut self.vertical[case];
        vertical.fill(0.0);
        let mut largest = 0.0;
        for (node, force) in &self.cases[case] {
            vertical[*node] += force[2];
            largest = f64::max(largest, force[2].abs());
        }
        self.largest[case] = largest;
        for ((member, axial), touched) in self.members.iter().zip(axial).zip(touched) {
            if *touched {
                *axial = member.axial(displacement);
            }
            let up = member.axis[2] * *axial;
            let [a, b] = member.nodes;
            vertical[a as usize] += up;
            vertical[b as usize] -= up;
        }
        // Feet with a member that has changed are summed up anew.
        let on_feet = &mut self.on_feet[case];
        let mut anew = vec![false; on_feet.len()];
        let foot_at = |node: usize| self.foot_at[node] as usize;
        for &(member, _) in self.at_feet.iter().filter(|(member, _)| touched[*member as usize]) {
            for node in elements[member as usize].nodes {
                if let Some(anew) = anew.get_mut(foot_at(node)) {
                    *anew = true;
                }
            }
        }
        on_feet.iter_mut().zip(&anew).filter(|(_, anew)| **anew).for_each(|(on, _)| *on = [0.0; 3]);
        for &(member, way) in &self.at_feet {
            let nodes = elements[member as usize].nodes;
            let feet = nodes.map(foot_at);
            if !feet.iter().any(|&foot| anew.get(foot) == Some(&true)) {
                continue;
            }
            let moved = nodes.map(|node| &displacement[node]);
            for (foot, force) in feet.into_iter().zip(&self.ways[way]) {
                if anew.get(foot) == Some(&true) {
                    let mut sums = [0.0; 4];
                    for (by, moved) in force.iter().zip(moved[0].iter().chain(moved[1])) {
                        sums.iter_mut().zip(by).for_each(|(sum, by)| *sum += by * moved);
                    }
                    on_feet[foot].iter_mut().zip(sums).for_each(|(on, sum)| *on += sum);
                }
            }
        }
    }

    /// The answers, case by case.
    #[must_use]
    pub fn solutions(&self) -> &[TreeSolution] {
        &self.solutions
    }

    /// Force by which the ground pushes up on each foot under a case and another, and under the case less
    /// the other, newtons.
    #[must_use]
    pub fn reactions(&self, case: usize, other: usize) -> [Vec<f64>; 2] {
        let (a, b) = (&self.vertical[case], &self.vertical[other]);
        let mut out = [(); 2].map(|()| Vec::with_capacity(self.feet.len()));
        for &node in &self.feet {
            out[0].push(-(a[node] + b[node]));
            out[1].push(-(a[node] - b[node]));
        }
        out
    }

    /// The same under a case alone.
    #[must_use]
    pub fn reactions_of(&self, case: usize) -> Vec<f64> {
        self.feet.iter().map(|&node| -self.vertical[case][node]).collect()
    }

    /// Largest vertical force out of balance at a node under a case, over its largest load. What is not a
    /// number is infinite.
    #[must_use]
    pub fn imbalance_of(&self, case: usize) -> f64 {
        let largest = self.largest[case].max(f64::MIN_POSITIVE);
        let free = self.vertical[case].iter().zip(&self.free).filter(|(_, free)| **free);
        free.map(|(a, _)| off(*a)).fold(0.0, f64::max) / largest
    }

    /// The same under a case and another, and under the case less the other, over the largest load of both.
    #[must_use]
    pub fn imbalance(&self, case: usize, other: usize) -> [f64; 2] {
        let largest = self.largest[case].max(self.largest[other]).max(f64::MIN_POSITIVE);
        let mut out = [0.0_f64; 2];
        let both = self.vertical[case].iter().zip(&self.vertical[other]);
        for ((a, b), _) in both.zip(&self.free).filter(|(_, free)| **free) {
            out[0] = out[0].max(off(a + b));
            out[1] = out[1].max(off(a - b));
        }
        out.map(|out| out / largest)
    }

    /// Forces by which the ground holds each foot under a case, global axes, newtons.
    #[must_use]
    pub fn foot_forces(&self, case: usize) -> Vec<[f64; 3]> {
        let mut held = self.on_feet[case].clone();
        for (node, force) in &self.cases[case] {
            if let Some(held) = held.get_mut(self.foot_at[*node] as usize) {
                held.iter_mut().zip(force).for_each(|(held, f)| *held -= f);
            }
        }
        held
    }
}

/// How far off balance a force is.
fn off(force: f64) -> f64 {
    // `max` would pass over what is not a number.
    if force.is_nan() { f64::INFINITY } else { force.abs() }
}
