//! A stage's frame on the lasting tree of its assembly.
//!
//! Unknowns keep their number over the whole sequence: a node is known by its post and its
//! station on it. What is shared between posts are the displacements of the nodes at which
//! something may ever be fixed; rotations, and nodes where only the tube changes, are the post's
//! own and are condensed in its leaf, with the inertia of what is condensed counted.

mod feet;
mod solve;
mod source;

use super::dissection::Dissection;
use super::known::Known;
use super::packed::Lanes;
use super::tree::{System, TreeFactor, kinds_first};
use crate::assembly::model::{Assembly, MemberId};
use crate::mechanics::answers::Unknown;
use crate::mechanics::element::Element;
use crate::mechanics::frame::{Dof, FrameError, Support};
use crate::mechanics::numbering::{NONE, Numbering};
use crate::mechanics::stage::idealise::StageFrame;
use source::Laid;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Right-hand sides solved together, and where there are fewer.
const MOST: usize = 8;
const FEW: usize = 4;

/// A joint this near a node makes it a shared one, metres.
const AT_JOINT: f64 = 0.006;

/// The lasting part: tree, numbers, and the fronts of the stage before.
#[derive(Clone, Debug)]
pub struct Engine {
    tree: Dissection,
    post_of: BTreeMap<MemberId, usize>,
    /// By post: stations at which something may be fixed.
    shared_stations: Vec<Vec<f64>>,
    /// By post: every station at which a node may ever lie, ascending, and its first number.
    stations: Vec<(Vec<f64>, u32)>,
    /// How many nodes there may ever be.
    most_nodes: usize,
    known: Known,
    /// Unknowns and pieces by node of stages before, and right-hand sides: kept for their room.
    spare: Vec<System>,
    room: (Vec<Lanes<MOST>>, Vec<Lanes<FEW>>),
    first_order: TreeFactor,
    strain: TreeFactor,
    proof: TreeFactor,
    second_order: TreeFactor,
}

impl Engine {
    #[must_use]
    pub fn new(assembly: &Assembly) -> Self {
        let posts: Vec<MemberId> =
            assembly.members.iter().filter(|m| m.is_post()).map(|m| m.id).collect();
        let post_of: BTreeMap<MemberId, usize> =
            posts.iter().enumerate().map(|(k, &id)| (id, k)).collect();
        let plan: Vec<[f64; 2]> = posts
            .iter()
            .map(|&p| [assembly.member(p).ends[0].x, assembly.member(p).ends[0].y])
            .collect();
        let mut shared_stations: Vec<Vec<f64>> =
            posts.iter().map(|&p| vec![assembly.member(p).length()]).collect();
        let mut joined = Vec::new();
        for member in &assembly.members {
            let mut on: Vec<usize> = Vec::new();
            for &j in assembly.joints_of(member.id) {
                let joint = assembly.joint(j);
                if joint.member != member.id {
                    continue;
                }
                if let Some(&post) = joint.carrier.and_then(|c| post_of.get(&c)) {
                    shared_stations[post].push(joint.carrier_at);
                    on.push(post);
                }
            }
            if let Some(&own) = post_of.get(&member.id) {
                // A post standing on another shares its foot.
                shared_stations[own].push(0.0);
                on.push(own);
            }
            for a in 0..on.len() {
                for b in a + 1..on.len() {
                    joined.push((on[a], on[b]));
                }
            }
        }
        for bay in &assembly.deck_bays {
            let [a, b] = bay.corners.map(|post| post_of.get(&post));
            joined.extend(a.zip(b).map(|(&a, &b)| (a, b)));
        }
        let mut stations = Vec::with_capacity(posts.len());
        let mut most_nodes = 0;
        for (&post, shared) in posts.iter().zip(&shared_stations) {
            let member = assembly.member(post);
            let jack = member.jack.as_ref().map_or(0.0, |(_, extension)| *extension);
            let outer =
                assembly.library.posts.get(&member.part).map_or(0.0, |p| p.outer_length.si());
            let mut all = vec![0.0, jack, jack + outer];
            all.extend(crate::mechanics::stage::sections::overlap_from(assembly, member));
            all.extend(shared);
            all.sort_by(f64::total_cmp);
            all.dedup();
            let first = u32::try_from(most_nodes).unwrap_or(u32::MAX);
            most_nodes += all.len();
            stations.push((all, first));
        }
        Self {
            tree: Dissection::new(&plan, &joined),
            post_of,
            shared_stations,
            stations,
            most_nodes,
            known: Known::default(),
            spare: Vec::new(),
            room: (Vec::new(), Vec::new()),
            first_order: TreeFactor::default(),
            strain: TreeFactor::default(),
            proof: TreeFactor::default(),
            second_order: TreeFactor::default(),
        }
    }

    /// Forgets every front, but not the tree: the next stage is factorised from nothing.
    pub fn forget(&mut self) {
        self.first_order = TreeFactor::default();
        self.strain = TreeFactor::default();
        self.proof = TreeFactor::default();
        self.second_order = TreeFactor::default();
    }

    /// Fronts made anew at the last stage: first order, strain, proof, second order; and how many
    /// there are.
    #[must_use]
    pub fn renewed(&self) -> ([usize; 4], usize) {
        let made = [&self.first_order, &self.strain, &self.proof, &self.second_order];
        (made.map(|factor| factor.anew), self.tree.nodes.len())
    }

    /// Numbers kept in the factor of first order, and multiplications to make all of it.
    #[must_use]
    pub fn fill(&self) -> (usize, usize) {
        self.first_order.fill()
    }

    /// Begins a stage: what the one before the last had a use for and the last had not is given up.
    pub fn begin_stage(&mut self) {
        for factor in
            [&mut self.first_order, &mut self.strain, &mut self.proof, &mut self.second_order]
        {
            factor.begin_stage();
        }
    }

    /// Takes up a stage's frame with some degrees of freedom held.
    ///
    /// # Errors
    /// What the frame's own check says, or a node that no post owns.
    pub fn take<'e>(
        &'e mut self,
        frame: &'e StageFrame,
        pins: &[Dof],
    ) -> Result<OnTree<'e>, Unknown> {
        frame.frame.check()?;
        let count = frame.frame.members.len();
        let mut elements = Vec::with_capacity(count);
        let mut known = Vec::with_capacity(count);
        for member in 0..count {
            let (element, number) = self.known.element(&frame.frame, member);
            elements.push(element);
            known.push(number);
        }
        let mut owner: Vec<Option<Owner>> = vec![None; frame.frame.nodes.len()];
        for (&post, chain) in &frame.posts {
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
        let parts = Parts { elements: Rc::new(elements), known, owner };
        Ok(self.lay(frame, &frame.frame.supports, Rc::new(parts), pins))
    }

    /// Gives every unknown and every member its place in the tree.
    fn lay<'e>(
        &'e mut self,
        frame: &'e StageFrame,
        supports: &[Support],
        parts: Rc<Parts>,
        pins: &[Dof],
    ) -> OnTree<'e> {
        let (laid, system) = self.places(frame, supports, parts, pins);
        OnTree { engine: self, frame, laid, system, factored: None, stiffened: None }
    }

    fn places(
        &mut self,
        frame: &StageFrame,
        supports: &[Support],
        parts: Rc<Parts>,
        pins: &[Dof],
    ) -> (Laid, System) {
        let numbering = Numbering::on(&frame.frame, supports, &parts.elements, pins);
        let mut system = self.spare.pop().unwrap_or_default();
        system.clear(&self.tree);
        let mut lasting = vec![[u32::MAX; 6]; frame.frame.nodes.len()];
        let mut place = vec![[usize::MAX; 2]; frame.frame.nodes.len()];
        for (node, owner) in parts.owner.iter().enumerate() {
            let Some(Owner { post, number, shared }) = *owner else { continue };
            let own = self.tree.private[post];
            place[node] = [if shared { self.tree.shared[post] } else { own }, own];
            for dof in 0..6 {
                if numbering.equation[node][dof] != NONE {
                    #[expect(clippy::cast_possible_truncation, reason = "dof is below six")]
                    let name = number * 6 + dof as u32;
                    lasting[node][dof] = name;
                    system.own[place[node][usize::from(dof >= 3)]].push(name);
                }
            }
        }
        for own in &mut system.own {
            own.sort_unstable_by_key(|dof| kinds_first(*dof));
            own.dedup();
        }
        for (k, element) in parts.elements.iter().enumerate() {
            let mut deepest: Option<usize> = None;
            for &node in &element.nodes {
                for dof in 0..6 {
                    if lasting[node][dof] != u32::MAX && (element.bending[0] > 0.0 || dof < 3) {
                        let at = place[node][usize::from(dof >= 3)];
                        deepest = Some(deepest.map_or(at, |d| self.tree.deeper(d, at)));
                    }
                }
            }
            if let Some(node) = deepest {
                system.pieces[node].push(k);
            }
        }
        (Laid::new(parts, lasting), system)
    }
}

/// Where a node's unknowns belong.
#[derive(Clone, Copy, Debug)]
struct Owner {
    post: usize,
    /// Lasting number of the node.
    number: u32,
    shared: bool,
}

/// What of a stage does not depend on its supports.
struct Parts {
    elements: Rc<Vec<Element>>,
    /// Each member's number among the elements met so far.
    known: Vec<u32>,
    /// By node.
    owner: Vec<Option<Owner>>,
}

/// A stage on the tree.
pub struct OnTree<'e> {
    engine: &'e mut Engine,
    frame: &'e StageFrame,
    laid: Laid,
    system: System,
    /// The update by which the engine's factor became that of this stiffness.
    factored: Option<u64>,
    stiffened: Option<u64>,
}

impl Drop for OnTree<'_> {
    fn drop(&mut self) {
        self.engine.spare.push(std::mem::take(&mut self.system));
    }
}

/// Whether axial forces act on the sway.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    First,
    Second,
}

/// First-order answer to a case.
#[derive(Clone, Debug)]
pub struct TreeSolution {
    pub displacement: Vec<[f64; 6]>,
    /// Tension positive, by frame member.
    pub axial: Vec<f64>,
}

impl OnTree<'_> {
    /// Holds these degrees of freedom and no others. Nothing is factorised then.
    pub fn hold(&mut self, pins: &[Dof]) {
        let parts = Rc::clone(&self.laid.parts);
        let (laid, system) =
            self.engine.places(self.frame, &self.frame.frame.supports, parts, pins);
        self.engine.spare.push(std::mem::replace(&mut self.system, system));
        self.laid = laid;
        (self.factored, self.stiffened) = (None, None);
    }

    /// The same members on other supports, as with feet that have lifted, on the same tree. What is
    /// factorised here is no longer so once the other has been.
    ///
    /// # Errors
    /// What the frame's own check says.
    pub fn on_supports(
        &mut self,
        supports: &[Support],
        pins: &[Dof],
    ) -> Result<OnTree<'_>, Unknown> {
        if !supports.iter().any(|s| s.fixed.iter().any(|f| *f)) {
            return Err(FrameError::NoSupport.into());
        }
        Ok(self.engine.lay(self.frame, supports, Rc::clone(&self.laid.parts), pins))
    }
}
