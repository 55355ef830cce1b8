//! What of a stage's frame does not depend on its supports: its members as elements, and whose its nodes are.

use super::super::groups::Groups;
use super::carried::Carried;
use super::feet::Feet;
use super::planes::Columns;
use super::source::Laid;
use super::{AT_JOINT, Engine, Taken};
use crate::mechanics::answers::Unknown;
use crate::mechanics::element::Element;
use crate::mechanics::engine::strands::Plan;
use crate::mechanics::stage::idealise::StageFrame;
use std::sync::{Arc, OnceLock, Weak};

/// Where a node's unknowns belong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Owner {
    pub post: usize,
    /// Lasting number of the node.
    pub number: u32,
    pub shared: bool,
}

/// What of a stage does not depend on its supports.
#[derive(Debug)]
pub(super) struct Parts {
    pub elements: Arc<Vec<Element>>,
    /// Each member's number among the elements met so far, and by number what has to do with what.
    pub known: Vec<u32>,
    groups: Arc<Vec<Groups>>,
    /// By node.
    pub owner: Vec<Option<Owner>>,
    /// The node of each lasting number of a node.
    pub node_of: Vec<u32>,
    /// Which members are as in the frame before, and the parts of that one.
    carried: Option<(Weak<Self>, Carried)>,
    /// Divided into strands, and with all that a member touches in one strand.
    pub lines: OnceLock<Arc<Plan>>,
    /// Diagonal of the stiffness by lasting number, of all that may be free.
    pub diagonal: OnceLock<Vec<f64>>,
    pub whole: OnceLock<Arc<Plan>>,
    /// What goes down together, where the stage can be taken apart into upright planes.
    pub columns: OnceLock<Option<Columns>>,
    pub feet: OnceLock<Feet>,
}

impl Parts {
    pub(super) fn pieces(&self) -> std::ops::Range<u32> {
        0..u32::try_from(self.known.len()).unwrap_or(u32::MAX)
    }

    /// Which members are as in other parts, if this was made of those.
    pub(super) fn carried_from(&self, before: &Arc<Self>) -> Option<&Carried> {
        let (of, carried) = self.carried.as_ref()?;
        std::ptr::eq(of.as_ptr(), Arc::as_ptr(before)).then_some(carried)
    }

    /// Whose a node is, by its lasting number.
    pub(super) fn owner_of(&self, number: u32) -> Option<&Owner> {
        self.owner.get(self.node_of[number as usize] as usize)?.as_ref()
    }

    /// A node by its lasting number.
    pub(super) fn node(&self, number: u32) -> Option<usize> {
        let node = self.node_of[number as usize];
        (node != u32::MAX).then_some(node as usize)
    }

    /// What of a member has to do with what.
    pub(super) fn groups(&self, piece: u32) -> &Groups {
        &self.groups[self.known[piece as usize] as usize]
    }
}

impl Engine {
    /// Makes them, from those of the frame before as far as they are the same; gives with them that frame
    /// as it was laid out, if they have anything to do with it.
    ///
    /// # Errors
    /// Where two nodes of a post would be one.
    pub(super) fn parts(
        &mut self,
        frame: &StageFrame,
        before: Option<Taken>,
    ) -> Result<(Parts, Option<Arc<Laid>>), Unknown> {
        let mut owner: Vec<Option<Owner>> = vec![None; frame.frame.nodes.len()];
        for (&post, chain) in frame.posts.iter() {
            let index = self.post_of[&post];
            for &(station, node) in chain {
                if owner[node].is_some() {
                    continue;
                }
                // The same number whatever was judged before.
                let (all, first) = &self.stations[index];
                let above = all.partition_point(|s| *s < station);
                let nearest = match (above.checked_sub(1), all.get(above)) {
                    (Some(below), Some(next)) if station - all[below] < next - station => below,
                    (Some(below), None) => below,
                    _ => above,
                };
                let number = first + u32::try_from(nearest).unwrap_or(u32::MAX);
                let shared =
                    self.shared_stations[index].iter().any(|s| (s - station).abs() < AT_JOINT);
                owner[node] = Some(Owner { post: index, number, shared });
            }
        }
        let node_of = nodes_of(self.most_nodes, &owner)?;
        let before = before.and_then(|taken| {
            let then = (&*taken.frame, &taken.laid.parts.owner[..]);
            Some((Carried::find(then, (frame, &owner))?, taken.laid))
        });
        let (carried, before) = before.unzip();
        let count = frame.frame.members.len();
        let mut elements = Vec::with_capacity(count);
        let mut known = Vec::with_capacity(count);
        for (member, data) in frame.frame.members.iter().enumerate() {
            let then = carried.as_ref().and_then(|carried| carried.then(member));
            let (element, number) = match (then, &before) {
                (Some(then), Some(before)) => {
                    let Parts { elements, known, .. } = &*before.parts;
                    (elements[then].between([data.i, data.j]), known[then])
                }
                _ => self.known.element(&frame.frame, member),
            };
            elements.push(element);
            known.push(number);
        }
        let parts = Parts {
            elements: Arc::new(elements),
            known,
            groups: self.known.groups(),
            owner,
            node_of,
            carried: carried
                .zip(before.as_ref())
                .map(|(carried, before)| (Arc::downgrade(&before.parts), carried)),
            lines: OnceLock::new(),
            diagonal: OnceLock::new(),
            whole: OnceLock::new(),
            columns: OnceLock::new(),
            feet: OnceLock::new(),
        };
        Ok((parts, before))
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
