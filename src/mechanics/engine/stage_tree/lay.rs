//! A stage laid on the tree: its unknowns, the strands they fall apart into, and the shapes of those.

use super::super::strands::{Part, Plan, SECOND, SLOTS, Undivided};
use super::source::Laid;
use super::{Engine, Owner, Parts};
use crate::mechanics::answers::Unknown;
use crate::mechanics::frame::{Dof, Support};
use crate::mechanics::numbering::{NONE, Numbering};
use crate::mechanics::stage::idealise::StageFrame;
use std::sync::Arc;

impl Engine {
    /// Gives every unknown and every member its place. `like`: the same stage on other supports.
    pub(super) fn lay(
        &mut self,
        frame: &StageFrame,
        supports: &[Support],
        parts: &Arc<Parts>,
        pins: &[Dof],
        like: Option<&Laid>,
    ) -> Laid {
        let numbering = Numbering::on(&frame.frame, supports, &parts.elements, pins);
        let mut lasting = vec![[u32::MAX; 6]; frame.frame.nodes.len()];
        for (node, owner) in parts.owner.iter().enumerate() {
            let Some(Owner { number, .. }) = *owner else { continue };
            for (dof, name) in (0..).zip(&mut lasting[node]) {
                if numbering.equation[node][dof as usize] != NONE {
                    *name = number * SLOTS + dof;
                }
            }
        }
        let plan = Arc::clone(parts.lines.get_or_init(|| Arc::new(self.plan(parts, false))));
        self.shape(parts, plan, lasting, like)
    }

    /// The same unknowns, with all that a member touches in one strand.
    pub(super) fn whole(&mut self, laid: &Laid) -> Laid {
        let parts = &laid.parts;
        let plan = Arc::clone(parts.whole.get_or_init(|| Arc::new(self.plan(parts, true))));
        self.shape(parts, plan, laid.lasting.clone(), None)
    }

    /// Finds the shapes of a plan's strands.
    pub(super) fn shape(
        &mut self,
        parts: &Arc<Parts>,
        plan: Arc<Plan>,
        lasting: Vec<[u32; 6]>,
        like: Option<&Laid>,
    ) -> Laid {
        let there = |unknown: u32| {
            let (node, dof) = parts.node_and_dof(unknown);
            lasting[node][dof] != u32::MAX
        };
        let words = |part: Part| parts.words(&lasting, part, &plan);
        // Strands in which another unknown is there than in the one it is like.
        let changed: Option<Vec<bool>> = like.map(|like| {
            let mut changed = vec![false; plan.strands.len()];
            for (node, (now, then)) in lasting.iter().zip(&like.lasting).enumerate() {
                if now == then {
                    continue;
                }
                let Some(owner) = parts.owner[node] else { continue };
                for unknown in owner.number * SLOTS..(owner.number + 1) * SLOTS {
                    if let Some(strand) = changed.get_mut(plan.strand_of[unknown as usize] as usize)
                    {
                        *strand = true;
                    }
                }
            }
            changed
        });
        let mut shapes = Vec::with_capacity(plan.strands.len());
        for (k, strand) in plan.strands.iter().enumerate() {
            shapes.push(match (&changed, like) {
                (Some(changed), Some(like)) if !changed[k] => Arc::clone(&like.shapes[k]),
                _ => self.shapes.of(&self.tree, &plan, strand, there, words),
            });
        }
        Laid::new(Arc::clone(parts), plan, lasting, shapes)
    }

    /// Divides a stage into strands.
    fn plan(&self, parts: &Parts, whole: bool) -> Plan {
        let mut all = Undivided::default();
        for owner in parts.owner.iter().flatten() {
            self.unknowns_of(owner, false, &mut all);
        }
        for (piece, groups) in (0..).zip(&parts.groups) {
            let groups = if whole { &groups.whole() } else { &**groups };
            for group in 0..groups.count {
                let part = Part { piece, group, second: false };
                all.part(part, parts.touched(part, groups, &[]));
            }
        }
        Plan { whole, ..Plan::new(&self.tree, SLOTS as usize * self.most_nodes, &all) }
    }

    /// Adds a node's unknowns, with a second way down where it has one.
    pub(super) fn unknowns_of(&self, owner: &Owner, split: bool, all: &mut Undivided) {
        let own = self.tree.private[owner.post];
        let shared = if owner.shared { self.tree.shared[owner.post] } else { own };
        for dof in 0..if split { SLOTS } else { SECOND } {
            let node = if dof < 3 || dof == SECOND { shared } else { own };
            all.unknowns
                .push((owner.number * SLOTS + dof, u32::try_from(node).unwrap_or(u32::MAX)));
        }
    }
}

/// The node of each lasting number of a node.
///
/// # Errors
/// Where two nodes of a post would be one.
pub(super) fn nodes_of(most: usize, owners: &[Option<Owner>]) -> Result<Vec<u32>, Unknown> {
    let mut out = vec![u32::MAX; most];
    for (node, owner) in (0..).zip(owners) {
        if let Some(owner) = owner
            && std::mem::replace(&mut out[owner.number as usize], node) != u32::MAX
        {
            return Err(Unknown::IllConditioned("two nodes of a post at one station".into()));
        }
    }
    Ok(out)
}
