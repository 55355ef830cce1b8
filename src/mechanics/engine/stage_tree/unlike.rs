//! States of one stage that have most of their strands in common, as with some feet lifted: what is alike
//! is taken over, and only what is unlike is solved.

use super::solve::not_factorised;
use super::source::Laid;
use super::{OnTree, TreeSolution};
use crate::mechanics::answers::Unknown;
use crate::mechanics::engine::factor::Factor;
use std::sync::Arc;

/// A stage stiffened by axial forces.
#[derive(Clone, Debug)]
pub struct Stiffened {
    pub(super) laid: Arc<Laid>,
    pub(super) factor: Arc<Factor>,
    /// None: its factor is that of first order.
    pub(super) axial: Option<Arc<[f64]>>,
}

impl Stiffened {
    /// For a state of the same stage under other forces, or of the one made of it: this one's factor, and the strands of the other
    /// in which a member's force is otherwise.
    pub(super) fn beside(&self, laid: &Laid, axial: &[f64]) -> Option<(&Factor, Vec<bool>)> {
        let own = self.axial.as_ref()?;
        if self.laid.plan.whole != laid.plan.whole {
            return None;
        }
        let otherwise = laid.parts.pressed_otherwise(&self.laid.parts, own, axial)?;
        Some((&self.factor, laid.plan.strands_with(&otherwise)))
    }
}

/// What of a stage is stiffened otherwise than another: by strand, and the members and nodes in them.
pub struct Unlike {
    strands: Vec<bool>,
    /// Ascending.
    pub members: Vec<usize>,
    /// By node.
    pub nodes: Vec<bool>,
}

/// Answers to some cases in a state with something unlike another, whose answers are known.
pub struct Beside<'a> {
    known: &'a [TreeSolution],
    now: Vec<TreeSolution>,
    /// Members and nodes at which `now` may be otherwise.
    touched: Vec<usize>,
}

impl<'a> Beside<'a> {
    #[must_use]
    pub fn new(known: &'a [TreeSolution]) -> Self {
        Self { known, now: known.to_vec(), touched: Vec::new() }
    }

    #[must_use]
    pub fn answers(&self) -> &[TreeSolution] {
        &self.now
    }

    /// All as it is known.
    fn restore(&mut self, on: &OnTree<'_>) {
        let elements = &on.laid.parts.elements;
        for (now, known) in self.now.iter_mut().zip(self.known) {
            let seconds = now.second.len() == known.second.len();
            if !seconds {
                now.second.clone_from(&known.second);
            }
            for &member in &self.touched {
                now.axial[member] = known.axial[member];
                for node in elements[member].nodes {
                    now.displacement[node] = known.displacement[node];
                    if let (true, Some(second)) = (seconds, known.second.get(node)) {
                        now.second[node] = *second;
                    }
                }
            }
        }
        self.touched.clear();
    }
}

impl OnTree<'_> {
    /// What was stiffened last.
    #[must_use]
    pub fn stiffened(&self) -> Option<&Stiffened> {
        self.stiffened.as_ref()
    }

    /// What of what was stiffened last is otherwise than in another stiffened state of the same stage.
    /// None before [`OnTree::stiffen`].
    #[must_use]
    pub fn unlike(&self, other: &Stiffened) -> Option<Unlike> {
        let Stiffened { laid, factor, .. } = self.stiffened.as_ref()?;
        let strands = factor.unlike(&other.factor);
        let elements = &laid.parts.elements;
        let members = laid.plan.members_of(&strands, elements.len());
        let mut nodes = vec![false; laid.lasting.len()];
        for &member in &members {
            elements[member].nodes.into_iter().for_each(|node| nodes[node] = true);
        }
        Some(Unlike { strands, members, nodes })
    }

    /// As [`OnTree::answer_stiffened`], of what is unlike; all else is as it is known, the answers to the same
    /// cases of the state it is unlike. Of loads none is wanted but at the nodes that are unlike.
    ///
    /// # Errors
    /// Before [`OnTree::stiffen`].
    pub fn solve_unlike(
        &self,
        cases: &[Vec<(usize, [f64; 6])>],
        unlike: &Unlike,
        answers: &mut Beside<'_>,
    ) -> Result<(), Unknown> {
        let Stiffened { laid, factor, .. } = self.stiffened.as_ref().ok_or_else(not_factorised)?;
        answers.restore(self);
        answers.touched.clone_from(&unlike.members);
        for solution in &mut answers.now {
            if laid.plan.split.is_empty() {
                solution.second.clear();
            } else if solution.second.is_empty() {
                solution.second.extend(solution.displacement.iter().map(|moved| moved[2]));
            }
            laid.rest(&unlike.strands, solution);
            laid.hold(&unlike.nodes, solution);
        }
        let asked = |strand: u32| unlike.strands[strand as usize];
        let loads: Vec<_> = cases.iter().map(|case| laid.loads(case.as_ref(), asked)).collect();
        let now = &mut answers.now;
        factor.solve(&loads, |_, strand| asked(strand), &mut |moved| laid.take(moved, now));
        for solution in &mut answers.now {
            for &member in &unlike.members {
                solution.axial[member] = solution.axial_of(&laid.parts.elements[member]);
            }
        }
        Ok(())
    }
}
