//! Answers of a stiffened stage, taken up again at the next where the frame is the same.
//!
//! Strands that are pressed and loaded as before are not asked again, and what follows from their answers
//! stays. Holds if: each stage is judged as one that is judged alone, bit for bit
//! (`tests/mechanics/sequences.rs`, `tests/mechanics/random_sequences.rs`).

use super::resting::{Nodal, answer_anew, replace};
use super::solve::not_factorised;
use super::{OnTree, Stiffened, TreeSolution};
use crate::mechanics::answers::Unknown;
use std::sync::Arc;

/// Several cases of a stiffened stage with their answers.
#[derive(Clone, Debug)]
pub struct Answered {
    stiffened: Stiffened,
    cases: Vec<Nodal>,
    solutions: Vec<TreeSolution>,
    /// By case and foot: force by which the ground pushes up, newtons.
    up: Vec<Vec<f64>>,
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

    /// By case and foot: force by which the ground pushes up, newtons.
    #[must_use]
    pub fn up(&self) -> &[Vec<f64>] {
        &self.up
    }

    /// By member: whether anything of it may be otherwise than when it was last seen; of a new frame all.
    #[must_use]
    pub fn otherwise(&self) -> &[bool] {
        &self.otherwise
    }

    /// All that is otherwise has been taken in.
    pub fn seen(&mut self) {
        self.otherwise.fill(false);
    }
}

impl OnTree<'_> {
    /// Answers to several cases of nodal loads, of what was stiffened last. `before`: what was answered
    /// last, which is taken up where it is of the same frame on the same supports.
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
        let before = before.filter(|before| {
            Arc::ptr_eq(&before.stiffened.laid, laid) && before.cases.len() == cases.len()
        });
        let members = laid.parts.elements.len();
        let (strands, nodes) = (laid.shapes.len(), laid.lasting.len());
        let (mut now, changed, loaded) = if let Some(mut now) = before {
            // What stiffens a member is read beside its answers.
            let forces = now.stiffened.axial.iter().zip(axial);
            let forces = forces.flat_map(|(a, b)| a.iter().zip(&**b));
            for (otherwise, (a, b)) in now.otherwise.iter_mut().zip(forces) {
                *otherwise |= a.to_bits() != b.to_bits();
            }
            let unlike = factor.unlike(&now.stiffened.factor);
            now.stiffened = stiffened.clone();
            let mut loaded = vec![vec![false; nodes]; cases.len()];
            let changed: Vec<Vec<bool>> = (now.cases.iter_mut().zip(cases).zip(&mut loaded))
                .map(|((old, new), loaded)| {
                    let mut changed = replace(laid, old, &new, loaded);
                    changed.iter_mut().zip(&unlike).for_each(|(c, unlike)| *c |= unlike);
                    changed
                })
                .collect();
            (now, changed, loaded)
        } else {
            let count = cases.len();
            let now = Answered {
                stiffened: stiffened.clone(),
                cases,
                solutions: vec![laid.at_rest(); count],
                up: vec![vec![0.0; self.frame.feet.len()]; count],
                otherwise: vec![true; members],
            };
            (now, vec![vec![true; strands]; count], vec![vec![true; nodes]; count])
        };
        answer_anew(laid, &now.cases, &changed, &mut now.solutions, |loads, asked, found| {
            factor.solve(loads, asked, found);
        });
        for (case, (changed, mut nodes)) in changed.iter().zip(loaded).enumerate() {
            let solution = &mut now.solutions[case];
            for member in laid.plan.members_of(changed, members) {
                let element = &laid.parts.elements[member];
                solution.axial[member] = solution.axial_of(element);
                now.otherwise[member] = true;
                element.nodes.into_iter().for_each(|node| nodes[node] = true);
            }
            let up = &mut now.up[case];
            *up = self.reactions_at(&nodes, &solution.axial, &now.cases[case], up);
        }
        Ok(now)
    }
}
