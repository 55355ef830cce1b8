//! Answers of a stiffened stage, taken up again at the next where the frame is the same or made of that one.
//!
//! Strands that are pressed and loaded as before are not asked again, and what follows from their answers
//! stays. Holds if: what is taken up is, bit for bit, what is asked anew (`tests/mechanics/planes.rs`,
//! `carried.rs`), and each stage is judged as one that is judged alone (`sequences.rs`,
//! `random_sequences.rs`).

use super::resting::{Nodal, answer_anew, loaded_otherwise, replace};
use super::solve::not_factorised;
use super::source::Laid;
use super::{OnTree, Stiffened, TreeSolution};
use crate::mechanics::answers::Unknown;
use crate::mechanics::element::Element;
use std::sync::Arc;

/// Several cases of a stiffened stage with their answers.
#[derive(Clone, Debug)]
pub struct Answered {
    stiffened: Stiffened,
    cases: Vec<Nodal>,
    solutions: Vec<TreeSolution>,
    /// By member: whether its forces, its displacements or what stiffens it may be otherwise since
    /// [`Answered::seen`].
    otherwise: Vec<bool>,
}

impl Answered {
    /// What it answers for.
    #[must_use]
    pub fn stiffened(&self) -> &Stiffened {
        &self.stiffened
    }

    #[must_use]
    pub fn cases(&self) -> &[Nodal] {
        &self.cases
    }

    /// Case by case.
    #[must_use]
    pub fn solutions(&self) -> &[TreeSolution] {
        &self.solutions
    }

    /// By member: whether anything of it may be otherwise than when it was last seen; of a new frame all.
    #[must_use]
    pub fn otherwise(&self) -> &[bool] {
        &self.otherwise
    }

    /// The same with other loads, on the same frame or on one that was made of it: nodes and members that are
    /// of both keep their answers. Gives with it by case and strand whether what loads it may be otherwise.
    fn loaded(mut self, laid: &Laid, cases: Vec<Nodal>) -> (Self, Vec<Vec<bool>>) {
        let (parts, before) = (&laid.parts, &self.stiffened.laid.parts);
        let Some(members) = parts.carried_from(before) else {
            let each = self.cases.iter_mut().zip(&cases);
            let changed = each.map(|(old, new)| replace(laid, old, new, &mut false)).collect();
            return (self, changed);
        };
        let changed = (self.cases.iter().zip(&cases)).map(|(old, new)| {
            let now = |node: usize| parts.node(before.owner[node]?.number);
            loaded_otherwise(laid, (old, new), now)
        });
        let changed = changed.collect();
        let was: Vec<Option<usize>> =
            parts.owner.iter().map(|owner| before.node((*owner)?.number)).collect();
        // What is held rests, though it may have been free.
        let free = |node: usize, dof: usize| laid.lasting[node][dof] != u32::MAX;
        let all = (0..was.len()).flat_map(|node| (0..6).map(move |dof| (node, dof)));
        let held: Vec<(usize, usize)> = all.filter(|&(node, dof)| !free(node, dof)).collect();
        let is_split = !laid.plan.split.is_empty();
        let solutions = self.solutions.iter().map(|known| {
            let moved = |was: &Option<usize>| was.map_or([0.0; 6], |was| known.displacement[was]);
            let second = |was: &Option<usize>| {
                was.map_or(0.0, |was| *known.second.get(was).unwrap_or(&known.displacement[was][2]))
            };
            let mut out = TreeSolution {
                displacement: was.iter().map(moved).collect(),
                second: was.iter().filter(|_| is_split).map(second).collect(),
                axial: Vec::new(),
            };
            for &(node, dof) in &held {
                out.displacement[node][dof] = 0.0;
                if let (2, Some(second)) = (dof, out.second.get_mut(node)) {
                    *second = 0.0;
                }
            }
            // A new one may lie where another of its kind lay, in a strand that is as it was.
            let axial = |(member, element): (usize, &Element)| match members.then(member) {
                Some(then) => known.axial[then],
                None => out.axial_of(element),
            };
            let axial = parts.elements.iter().enumerate().map(axial).collect();
            TreeSolution { axial, ..out }
        });
        let solutions = solutions.collect();
        let otherwise = (0..parts.elements.len())
            .map(|member| members.then(member).is_none_or(|then| self.otherwise[then]))
            .collect();
        (Self { stiffened: self.stiffened, cases, solutions, otherwise }, changed)
    }

    /// All that is otherwise has been taken in.
    pub fn seen(&mut self) {
        self.otherwise.fill(false);
    }
}

impl OnTree<'_> {
    /// Answers to several cases of nodal loads, of what was stiffened last. `before`: what was answered
    /// last, which is taken up where it is of the same frame on the same supports, or of the one that this
    /// frame was made of.
    ///
    /// # Errors
    /// Before [`OnTree::stiffen`] or [`OnTree::ease`].
    pub fn answer_stiffened(
        &self,
        cases: Vec<Nodal>,
        before: Option<Answered>,
    ) -> Result<Answered, Unknown> {
        let stiffened = self.stiffened.as_ref().ok_or_else(not_factorised)?;
        let Stiffened { laid, factor, axial } = stiffened;
        let members = laid.parts.elements.len();
        let before = before.filter(|before| {
            let then = &before.stiffened.laid;
            let known = Arc::ptr_eq(then, laid) || laid.parts.carried_from(&then.parts).is_some();
            known && before.cases.len() == cases.len()
        });
        let (mut now, changed) = if let Some(before) = before {
            let then = before.stiffened.clone();
            let (mut now, mut changed) = before.loaded(laid, cases);
            // What stiffens a member is read beside its answers.
            let forces = then.axial.as_ref().zip(axial.as_ref());
            let other =
                forces.and_then(|(a, b)| laid.parts.pressed_otherwise(&then.laid.parts, a, b));
            for (otherwise, other) in now.otherwise.iter_mut().zip(other.into_iter().flatten()) {
                *otherwise |= other;
            }
            let unlike = factor.unlike(&then.factor);
            for changed in &mut changed {
                changed.iter_mut().zip(&unlike).for_each(|(c, unlike)| *c |= unlike);
            }
            now.stiffened = stiffened.clone();
            (now, changed)
        } else {
            let count = cases.len();
            let now = Answered {
                stiffened: stiffened.clone(),
                cases,
                solutions: vec![laid.at_rest(); count],
                otherwise: vec![true; members],
            };
            (now, vec![vec![true; laid.shapes.len()]; count])
        };
        answer_anew(laid, &now.cases, &changed, &mut now.solutions, |loads, asked, found| {
            factor.solve(loads, asked, found);
        });
        for (solution, changed) in now.solutions.iter_mut().zip(&changed) {
            for member in laid.plan.members_of(changed, members) {
                solution.axial[member] = solution.axial_of(&laid.parts.elements[member]);
                now.otherwise[member] = true;
            }
        }
        Ok(now)
    }
}
