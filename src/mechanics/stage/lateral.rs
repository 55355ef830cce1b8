//! The lateral cases of a stage: forces, feet that lift, and what goes over.

use super::contact::{self, Settled};
use super::envelope::Envelope;
use super::{Heads, Job, cases, limit, motions};
use crate::assembly::MemberId;
use crate::mechanics::answers::Unknown;
use crate::mechanics::engine::stage_tree::{OnTree, Resting, TreeSolution};
use crate::mechanics::frame::{Dof, LoadCase};
use crate::mechanics::stage_model::{Overturned, StageMechanics, Verdict};
use crate::mechanics::strength_model::Sway;
use std::cmp::Ordering;
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
            let both = lateral.down(which);
            let stand = both.each_ref().map(Down::stands);
            let all_stand = stand == [true; 2];
            if all_stand {
                envelope.take_both(&both[0].rest.axial, &both[0].push.axial);
            }
            for ((down, stands), sense) in both.into_iter().zip(stand).zip([1.0, -1.0]) {
                let direction = [axis[0] * sense, axis[1] * sense];
                let words =
                    format!("notional lateral and wind, {}", cases::direction_words(direction));
                if stands {
                    let moved = |node: usize| down.moved(node);
                    out.sways.extend(largest_sway(heads, &moved, &words, direction));
                    out.residual = out.residual.max(down.residual);
                    if !all_stand {
                        envelope.take_sum(&down.rest.axial, sense, &down.push.axial);
                    }
                    continue;
                }
                let (push, case) = lateral.cases(which, sense);
                let down = Some(down.at_rest());
                let settled = contact::settle_on(tree, frame, lateral.pins, &case, down);
                if let Ok(Settled::Stands { axial, displacement, residual, lifted }) = settled {
                    let moved = |node: usize| [displacement[node][0], displacement[node][1]];
                    out.sways.extend(largest_sway(heads, &moved, &words, direction));
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
    moved: &impl Fn(usize) -> [f64; 2],
    case: &str,
    direction: [f64; 2],
) -> Option<Sway> {
    let along = |node: usize| {
        let moved = moved(node);
        moved[0] * direction[0] + moved[1] * direction[1]
    };
    // Of those that go as far it is the first.
    let mut heads = heads.iter().map(|&(post, node, _)| (post, along(node)));
    let first = heads.next()?;
    let (post, sway) = heads.fold(first, |most, head| match head.1.total_cmp(&most.1) {
        Ordering::Greater => head,
        _ => most,
    });
    Some(Sway { case: case.to_owned(), direction, post, first_order: sway, second_order: None })
}

/// The lateral cases, as sums of the weight and a push along an axis.
pub(super) struct Lateral<'a> {
    pub heads: &'a [Heads],
    pub weight: &'a LoadCase,
    pub pushes: &'a [LoadCase],
    /// The answers with all feet down: of the weight, and of the pushes.
    pub resting: &'a Resting,
    pub pins: &'a [Dof],
}

/// A case with all feet down: the weight, and so many times a push.
struct Down<'a> {
    rest: &'a TreeSolution,
    times: f64,
    push: &'a TreeSolution,
    residual: f64,
    /// By which the ground pushes up on each foot.
    reactions: Vec<f64>,
}

impl Down<'_> {
    /// Whether no foot pulls.
    fn stands(&self) -> bool {
        let largest = self.reactions.iter().map(|r| r.abs()).fold(0.0, f64::max);
        !self.reactions.iter().any(|&r| contact::lifts(r, largest))
    }

    /// Sideways movement of a node.
    fn moved(&self, node: usize) -> [f64; 2] {
        let (rest, push) = (&self.rest.displacement[node], &self.push.displacement[node]);
        [0, 1].map(|d| rest[d] + self.times * push[d])
    }

    fn at_rest(self) -> contact::Rest {
        let TreeSolution { displacement, axial, .. } = self.rest.and(self.times, self.push);
        contact::Rest { axial, displacement, residual: self.residual, reactions: self.reactions }
    }
}

impl Lateral<'_> {
    /// The push alone, and beside the weight.
    fn cases(&self, which: usize, sense: f64) -> (LoadCase, LoadCase) {
        let push = self.pushes[which].nodal.iter().map(|(node, f)| (*node, f.map(|f| f * sense)));
        let push = LoadCase { nodal: push.collect(), uniform: Vec::new() };
        let mut case = self.weight.clone();
        case.nodal.extend(push.nodal.iter().copied());
        (push, case)
    }

    /// The cases of a push along an axis, and against it, with all feet down.
    fn down(&self, which: usize) -> [Down<'_>; 2] {
        let (resting, pushed) = (self.resting, which + 1);
        let [rest, push] = [0, pushed].map(|case| &resting.solutions()[case]);
        let [on, off] = resting.reactions(0, pushed);
        let residuals = resting.imbalance(0, pushed);
        [(1.0, residuals[0], on), (-1.0, residuals[1], off)]
            .map(|(times, residual, reactions)| Down { rest, times, push, residual, reactions })
    }
}
