//! Answers of a stiffened stage, taken up again at the next where the frame is the same.
//!
//! Strands that are pressed and loaded as before are not asked again, and what follows from their answers
//! stays. Holds if: what is taken up is, bit for bit, what is asked anew (`tests/mechanics/planes.rs`), and each
//! stage is judged as one that is judged alone (`sequences.rs`, `random_sequences.rs`).

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
        let (mut now, changed) = if let Some(mut now) = before {
            // What stiffens a member is read beside its answers.
            let forces = now.stiffened.axial.iter().zip(axial);
            let forces = forces.flat_map(|(a, b)| a.iter().zip(&**b));
            for (otherwise, (a, b)) in now.otherwise.iter_mut().zip(forces) {
                *otherwise |= a.to_bits() != b.to_bits();
            }
            let unlike = factor.unlike(&now.stiffened.factor);
            now.stiffened = stiffened.clone();
            let changed: Vec<Vec<bool>> = (now.cases.iter_mut().zip(cases))
                .map(|(old, new)| {
                    let mut changed = replace(laid, old, &new);
                    changed.iter_mut().zip(&unlike).for_each(|(c, unlike)| *c |= unlike);
                    changed
                })
                .collect();
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
