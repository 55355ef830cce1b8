//! A stage laid on the tree: its unknowns, the strands they fall apart into, and the shapes of those.

use super::super::strands::{Part, Plan, SECOND, SLOTS, Shape, Undivided};
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
        self.shape(parts, plan, lasting, like.map(|like| Like { laid: like, anew: Vec::new() }))
    }

    /// The same unknowns, with all that a member touches in one strand.
    pub(super) fn whole(&mut self, laid: &Laid) -> Laid {
        let parts = &laid.parts;
        let plan = Arc::clone(parts.whole.get_or_init(|| Arc::new(self.plan(parts, true))));
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
        // Strands in which another unknown is there than in the one it is like.
        let changed: Option<Vec<bool>> = like.as_ref().map(|like| {
            let mut changed = vec![false; plan.strands.len()];
            for (node, (now, then)) in lasting.iter().zip(&like.laid.lasting).enumerate() {
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
            let same = match (&changed, &like) {
                (Some(changed), Some(like)) if !changed[k] => like.shape(k, strand.key),
                _ => None,
            };
            shapes.push(match same {
                Some(same) => Arc::clone(same),
                None => self.shapes.of(&self.tree, &plan, strand, there, words),
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
        for dof in 0..if split { SLOTS } else { SECOND } {
            let node = self.tree_node(owner, dof < 3 || dof == SECOND);
            all.unknowns.push((owner.number * SLOTS + dof, node));
        }
    }

    /// The tree node of a node's displacements, or of its rotations.
    pub(super) fn tree_node(&self, owner: &Owner, moves: bool) -> u32 {
        let of = if owner.shared && moves { &self.tree.shared } else { &self.tree.private };
        u32::try_from(of[owner.post]).unwrap_or(u32::MAX)
    }
}

/// What a stage on other supports is like: its division is the same, or was made of that one's.
pub(super) struct Like<'a> {
    pub laid: &'a Laid,
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
