//! A stage laid on the tree: its unknowns, the strands they fall apart into, and the shapes of those.

use super::super::shapes::Shape;
use super::super::strands::{Part, Plan, SLOTS};
use super::source::Laid;
use super::{Engine, Owner, Parts};
use crate::mechanics::frame::{Dof, Support};
use crate::mechanics::numbering::Held;
use crate::mechanics::stage::idealise::StageFrame;
use std::sync::{Arc, Weak};

impl Engine {
    /// Gives every unknown and every member its place. `like`: the same frame on other supports, or that
    /// of the stage before.
    pub(super) fn lay(
        &mut self,
        frame: &StageFrame,
        supports: &[Support],
        parts: &Arc<Parts>,
        pins: &[Dof],
        like: Option<&Arc<Laid>>,
    ) -> Laid {
        let held = Held::on(&frame.frame, supports, &parts.elements, pins).held;
        let mut lasting = vec![[u32::MAX; 6]; frame.frame.nodes.len()];
        for (node, owner) in parts.owner.iter().enumerate() {
            let Some(Owner { number, .. }) = *owner else { continue };
            for (dof, name) in (0..).zip(&mut lasting[node]) {
                if !held[node][dof as usize] {
                    *name = number * SLOTS + dof;
                }
            }
        }
        let before = like.map(|like| (&*like.plan, &like.parts));
        let (plan, anew) = self.lines(parts, before);
        self.shape(parts, plan, lasting, like.map(|laid| Like { laid, anew }))
    }

    /// The same unknowns, with all that a member touches in one strand.
    pub(super) fn whole(&mut self, laid: &Laid) -> Laid {
        let parts = &laid.parts;
        let plan = Arc::clone(parts.whole.get_or_init(|| Arc::new(self.plan_whole(parts))));
        self.shape(parts, plan, laid.lasting.clone(), None)
    }

    /// Finds the shapes of a plan's strands. `like`: the same stage on other supports.
    pub(super) fn shape(
        &mut self,
        parts: &Arc<Parts>,
        plan: Arc<Plan>,
        lasting: Vec<[u32; 6]>,
        like: Option<Like<'_>>,
    ) -> Laid {
        let there = |unknown: u32| {
            let (node, dof) = parts.node_and_dof(unknown);
            lasting[node][dof] != u32::MAX
        };
        let words = |part: Part| parts.words(&lasting, part, &plan);
        let changed = like.as_ref().map(|like| like.changed(parts, &plan, &lasting));
        let mut shapes = Vec::with_capacity(plan.strands.len());
        for (k, strand) in plan.strands.iter().enumerate() {
            let same = match (&changed, &like) {
                (Some(changed), Some(like)) if !changed[k] => like.shape(k, strand.key),
                _ => None,
            };
            shapes.push(match same {
                Some(same) => Arc::clone(same),
                None => self.shapes.of(&self.tree, &plan, strand, there, words),
            });
        }
        let before = like.map_or_else(Weak::new, |like| Arc::downgrade(like.laid));
        Laid::new(Arc::clone(parts), plan, lasting, shapes, before)
    }
}

/// What a stage is like: its division is the same, or was made of that one's.
pub(super) struct Like<'a> {
    pub laid: &'a Arc<Laid>,
    /// By strand of that division: whether it was divided anew. Empty: the division is the same.
    pub anew: Vec<bool>,
}

impl Like<'_> {
    /// The shape of a strand that was not divided anew.
    fn shape(&self, place: usize, key: u32) -> Option<&Arc<Shape>> {
        if self.anew.is_empty() {
            return self.laid.shapes.get(place);
        }
        let at = self.laid.plan.strands.binary_search_by_key(&key, |strand| strand.key).ok()?;
        self.laid.shapes.get(at).filter(|_| !self.anew[at])
    }

    /// By strand: whether another unknown is there than was.
    fn changed(&self, parts: &Parts, plan: &Plan, lasting: &[[u32; 6]]) -> Vec<bool> {
        let mut changed = vec![false; plan.strands.len()];
        let mut mark = |number: u32| {
            for unknown in number * SLOTS..(number + 1) * SLOTS {
                if let Some(strand) = changed.get_mut(plan.strand_of[unknown as usize] as usize) {
                    *strand = true;
                }
            }
        };
        let of = &self.laid.parts;
        for (number, (then, now)) in (0..).zip(of.node_of.iter().zip(&parts.node_of)) {
            // Of a node that was not there, or is no more, all strands are divided anew.
            let then = self.laid.lasting.get(*then as usize);
            let now = lasting.get(*now as usize);
            if then.zip(now).is_some_and(|(then, now)| then != now) {
                mark(number);
            }
        }
        changed
    }
}
