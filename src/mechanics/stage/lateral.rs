//! The lateral cases of a stage: forces, feet that lift, and what goes over.

use super::contact::{self, Settled};
use super::envelope::Envelope;
use super::idealise::StageFrame;
use super::{Heads, Job, cases, limit, motions};
use crate::assembly::MemberId;
use crate::mechanics::answers::Unknown;
use crate::mechanics::engine::stage_tree::{OnTree, TreeSolution};
use crate::mechanics::frame::{Dof, LoadCase};
use crate::mechanics::stage_model::{Overturned, StageMechanics, Verdict};
use crate::mechanics::strength_model::Sway;
use std::collections::BTreeSet;

impl Job<'_> {
    /// The lateral cases: forces for the envelope, feet that lift, and what goes over. Gives the
    /// contact states in which feet have lifted.
    pub(super) fn lateral_cases(
        &self,
        tree: &mut OnTree<'_>,
        lateral: &Lateral<'_>,
        goes: limit::Ask<'_>,
        envelope: &mut Envelope,
        out: &mut StageMechanics,
    ) -> Result<BTreeSet<Vec<usize>>, Unknown> {
        let Self { assembly, frame, .. } = *self;
        let mut states = BTreeSet::new();
        for (which, (axis, heads)) in
            cases::axes(assembly).into_iter().zip(lateral.heads).enumerate()
        {
            for sense in [1.0, -1.0] {
                let direction = [axis[0] * sense, axis[1] * sense];
                let words =
                    format!("notional lateral and wind, {}", cases::direction_words(direction));
                let (push, case) = lateral.cases(which, sense);
                let settled = lateral.settle(tree, frame, which, sense, &case);
                if let Ok(Settled::Stands { axial, displacement, residual, lifted }) = settled {
                    out.sways.extend(largest_sway(heads, &displacement, &words, direction));
                    out.residual = out.residual.max(residual);
                    envelope.take(&axial);
                    for &foot in &lifted {
                        out.lifting_feet.push((frame.feet[foot].1, words.clone()));
                    }
                    if !lifted.is_empty() {
                        states.insert(lifted);
                    }
                    continue;
                }
                let (factor, motion) = match (settled, goes(&push)) {
                    (_, Ok(limit::Goes::At(share, motion))) if share < 1.0 => (share, motion),
                    // How far short it falls is not known: of nothing of the case it is certain.
                    (Ok(Settled::GoesOver { motion, .. }), _) => (0.0, motion),
                    (Err(unknown), _) => return Err(unknown),
                    (Ok(Settled::Stands { .. }), _) => continue,
                };
                let (members, motion) = motions::name_motion(assembly, self.stage, frame, &motion);
                out.overturned.push(Overturned { case: words, direction, factor, members, motion });
            }
        }
        out.lateral = if out.overturned.is_empty() { Verdict::Met } else { Verdict::NotMet };
        Ok(states)
    }
}

/// The head that goes furthest in a direction, and how far.
fn largest_sway(
    heads: &[(MemberId, usize, f64)],
    displacement: &[[f64; 6]],
    case: &str,
    direction: [f64; 2],
) -> Option<Sway> {
    let along =
        |node: usize| displacement[node][0] * direction[0] + displacement[node][1] * direction[1];
    let (post, sway) = heads
        .iter()
        .map(|&(post, node, _)| (post, along(node)))
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))?;
    Some(Sway { case: case.to_owned(), direction, post, first_order: sway, second_order: None })
}

/// The lateral cases, as sums of the weight and a push along an axis.
pub(super) struct Lateral<'a> {
    pub heads: &'a [Heads],
    /// Loads, and the answer with all feet down.
    pub weight: (&'a LoadCase, &'a TreeSolution),
    pub pushes: &'a [LoadCase],
    pub pushed: &'a [TreeSolution],
    pub pins: &'a [Dof],
}

impl Lateral<'_> {
    /// The push alone, and beside the weight.
    fn cases(&self, which: usize, sense: f64) -> (LoadCase, LoadCase) {
        let push = self.pushes[which].nodal.iter().map(|(node, f)| (*node, f.map(|f| f * sense)));
        let push = LoadCase { nodal: push.collect(), uniform: Vec::new() };
        let mut case = self.weight.0.clone();
        case.nodal.extend(push.nodal.iter().copied());
        (push, case)
    }

    /// The contact state of a case: with all feet down as a sum, and only where one pulls by
    /// releasing.
    fn settle(
        &self,
        tree: &mut OnTree<'_>,
        frame: &StageFrame,
        which: usize,
        sense: f64,
        case: &LoadCase,
    ) -> Result<Settled, Unknown> {
        let (rest, push) = (self.weight.1, &self.pushed[which]);
        let solution = rest.and(sense, push);
        let reactions = tree.foot_reactions(&solution, case);
        let residual = tree.imbalance(&solution, case);
        let largest = reactions.iter().map(|r| r.abs()).fold(0.0, f64::max);
        let TreeSolution { displacement, axial, .. } = solution;
        if reactions.iter().any(|&r| contact::lifts(r, largest)) {
            let down = contact::Rest { axial, displacement, residual, reactions };
            return contact::settle_on(tree, frame, self.pins, case, Some(down));
        }
        Ok(Settled::Stands { axial, displacement, residual, lifted: Vec::new() })
    }
}
