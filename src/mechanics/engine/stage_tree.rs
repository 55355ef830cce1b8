//! A stage's frame on the lasting tree of its assembly.
//!
//! Unknowns keep their number over the whole sequence: a node is known by its post and its
//! station on it. What is shared between posts are the displacements of the nodes at which
//! something may ever be fixed; rotations, and nodes where only the tube changes, are the post's
//! own and are condensed in its leaf, with the inertia of what is condensed counted.

use super::dissection::Dissection;
use super::front::{LANES, Lanes, Pivots};
use super::known::Known;
use super::tree::{Piece, Pieces, System, TreeFactor};
use crate::assembly::model::{Assembly, MemberId};
use crate::mechanics::answers::Unknown;
use crate::mechanics::element::{Element, MOST};
use crate::mechanics::frame::{Dof, ElementForm, FrameError, LoadCase, Support};
use crate::mechanics::numbering::{NONE, Numbering};
use crate::mechanics::stage::idealise::StageFrame;
use std::collections::BTreeMap;
use std::rc::Rc;

/// A joint this near a node makes it a shared one, metres.
const AT_JOINT: f64 = 0.006;
/// Scaled eigenvalues below this count as motions that strain nothing. Far above round-off
/// (about 1e-13 here), far below the softest real post (above 1e-6 of its stiffest direction).
const STRAINLESS: f64 = 1e-9;
/// Pivots below this share of what they started from leave the count in doubt.
const DOUBTFUL: f64 = 1e-11;

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
    room: Vec<Lanes>,
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
            room: Vec::new(),
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

    /// Takes up a stage's frame with some degrees of freedom held.
    ///
    /// # Errors
    /// What the frame's own check says, or a node that no post owns.
    pub fn take<'e>(
        &'e mut self,
        frame: &'e StageFrame,
        pins: &[Dof],
    ) -> Result<OnTree<'e>, Unknown> {
        for factor in
            [&mut self.first_order, &mut self.strain, &mut self.proof, &mut self.second_order]
        {
            factor.count_anew();
        }
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
            own.sort_unstable();
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
        let words = words(&parts, &lasting);
        OnTree {
            engine: self,
            frame,
            parts,
            system,
            lasting,
            words,
            factored: None,
            stiffened: None,
        }
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
    parts: Rc<Parts>,
    system: System,
    /// Lasting number of each node's unknowns.
    lasting: Vec<[u32; 6]>,
    /// By member: what it is and which unknowns it touches, in two words.
    words: Vec<[u64; 2]>,
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
        Ok(self.engine.lay(self.frame, supports, Rc::clone(&self.parts), pins))
    }

    /// Whether no motion leaves every member unstrained: all eigenvalues of the scaled stiffness
    /// lie above a shift. False: some may lie below, to be looked at one by one.
    pub fn is_rigid(&mut self) -> bool {
        let source = Source {
            parts: &self.parts,
            lasting: &self.lasting,
            words: &self.words,
            axial: None,
            keep: 1.0 - STRAINLESS,
        };
        let pivots = self.engine.strain.update(&self.engine.tree, &self.system, &source);
        pivots.negative == 0 && pivots.smallest > DOUBTFUL
    }

    /// Factorises the first-order stiffness.
    ///
    /// # Errors
    /// [`Unknown::IllConditioned`] where a pivot vanishes: a mechanism was not pinned.
    pub fn factor(&mut self) -> Result<(), Unknown> {
        let source = Source {
            parts: &self.parts,
            lasting: &self.lasting,
            words: &self.words,
            axial: None,
            keep: 1.0,
        };
        let pivots = self.engine.first_order.update(&self.engine.tree, &self.system, &source);
        if pivots.negative > 0 || pivots.smallest < DOUBTFUL {
            return Err(Unknown::IllConditioned(format!(
                "smallest relative pivot {:.1e}",
                pivots.smallest
            )));
        }
        self.factored = Some(self.engine.first_order.updates);
        Ok(())
    }

    /// Solves a case of nodal loads.
    ///
    /// # Errors
    /// Before [`OnTree::factor`].
    pub fn solve(&self, case: &LoadCase) -> Result<TreeSolution, Unknown> {
        if self.factored != Some(self.engine.first_order.updates) {
            return Err(Unknown::NotConverged("not factorised".into()));
        }
        let displacement = self.solve_one(&self.engine.first_order, &case.nodal);
        let axial = self.axial(&displacement);
        Ok(TreeSolution { displacement, axial })
    }

    fn solve_one(&self, factor: &TreeFactor, case: &[(usize, [f64; 6])]) -> Vec<[f64; 6]> {
        let mut x = vec![0.0; 6 * self.engine.most_nodes];
        for (at, f) in self.unknowns(case) {
            x[at] += f;
        }
        factor.solve(&self.engine.tree, &mut x);
        self.by_node(|n| x[n])
    }

    /// Nodal loads by the unknowns they act on.
    fn unknowns<'c>(
        &'c self,
        case: &'c [(usize, [f64; 6])],
    ) -> impl Iterator<Item = (usize, f64)> + 'c {
        case.iter().flat_map(|(node, force)| {
            let numbers = self.lasting[*node].into_iter().zip(*force);
            numbers.filter(|(n, _)| *n != u32::MAX).map(|(n, f)| (n as usize, f))
        })
    }

    fn by_node(&self, x: impl Fn(usize) -> f64) -> Vec<[f64; 6]> {
        let of = |n: u32| if n == u32::MAX { 0.0 } else { x(n as usize) };
        self.lasting.iter().map(|numbers| numbers.map(of)).collect()
    }

    /// Factorises K + Kg for the given axial forces. False: a factor at or below one is critical,
    /// or may be; [`OnTree::solve_all`] is not to be asked then.
    pub fn stiffen(&mut self, axial: &[f64]) -> bool {
        let source = Source {
            parts: &self.parts,
            lasting: &self.lasting,
            words: &self.words,
            axial: Some(axial),
            keep: 1.0,
        };
        let pivots = self.engine.second_order.update(&self.engine.tree, &self.system, &source);
        self.stiffened = Some(self.engine.second_order.updates);
        pivots.negative == 0 && pivots.smallest > DOUBTFUL
    }

    /// Displacements under several cases of nodal loads at once.
    ///
    /// # Errors
    /// Before [`OnTree::factor`] or [`OnTree::stiffen`].
    pub fn solve_all(
        &mut self,
        order: Order,
        cases: &[Vec<(usize, [f64; 6])>],
    ) -> Result<Vec<Vec<[f64; 6]>>, Unknown> {
        let (updates, made) = match order {
            Order::First => (self.engine.first_order.updates, self.factored),
            Order::Second => (self.engine.second_order.updates, self.stiffened),
        };
        if made != Some(updates) {
            return Err(Unknown::NotConverged("not factorised".into()));
        }
        let mut out = Vec::with_capacity(cases.len());
        let mut x = std::mem::take(&mut self.engine.room);
        let factor = match order {
            Order::First => &self.engine.first_order,
            Order::Second => &self.engine.second_order,
        };
        for some in cases.chunks(LANES) {
            if let [case] = some {
                out.push(self.solve_one(factor, case));
                continue;
            }
            x.clear();
            x.resize(6 * self.engine.most_nodes, [0.0; LANES]);
            for (lane, case) in some.iter().enumerate() {
                for (at, f) in self.unknowns(case) {
                    x[at][lane] += f;
                }
            }
            factor.solve_lanes(&self.engine.tree, &mut x);
            out.extend((0..some.len()).map(|lane| self.by_node(|n| x[n][lane])));
        }
        self.engine.room = x;
        Ok(out)
    }

    /// Axial force of each frame member under displacements, tension positive.
    #[must_use]
    pub fn axial(&self, displacement: &[[f64; 6]]) -> Vec<f64> {
        self.parts.elements.iter().map(|e| stretch(e, displacement) * e.axial).collect()
    }

    /// The members of the frame.
    #[must_use]
    pub(in crate::mechanics) fn elements(&self) -> Rc<Vec<Element>> {
        Rc::clone(&self.parts.elements)
    }

    /// Force by which the ground pushes up on each foot under a case.
    #[must_use]
    pub fn foot_reactions(&self, solution: &TreeSolution, case: &LoadCase) -> Vec<f64> {
        self.reactions(&solution.axial, &case.nodal)
    }

    /// The same from axial forces and nodal loads.
    #[must_use]
    pub fn reactions(&self, axial: &[f64], nodal: &[(usize, [f64; 6])]) -> Vec<f64> {
        let mut foot_at = vec![usize::MAX; self.lasting.len()];
        for (k, &(node, _)) in self.frame.feet.iter().enumerate() {
            foot_at[node] = k;
        }
        let mut up = vec![0.0; self.frame.feet.len()];
        for (element, axial) in self.parts.elements.iter().zip(axial) {
            for (node, sign) in element.nodes.into_iter().zip([-1.0, 1.0]) {
                if let Some(force) = up.get_mut(foot_at[node]) {
                    *force += sign * element.axes[(0, 2)] * axial;
                }
            }
        }
        for (node, force) in nodal {
            if let Some(up) = up.get_mut(foot_at[*node]) {
                *up -= force[2];
            }
        }
        up
    }

    /// Force by which the ground holds each foot under a case, global axes, newtons.
    ///
    /// # Errors
    /// Where the end forces of a member at a foot could not be worked out.
    pub fn foot_forces(
        &self,
        solution: &TreeSolution,
        case: &LoadCase,
    ) -> Result<Vec<[f64; 3]>, Unknown> {
        let mut foot_at = vec![usize::MAX; self.lasting.len()];
        for (k, &(node, _)) in self.frame.feet.iter().enumerate() {
            foot_at[node] = k;
        }
        let mut held = vec![[0.0; 3]; self.frame.feet.len()];
        for element in self.parts.elements.iter() {
            if element.nodes.iter().all(|&n| foot_at[n] == usize::MAX) {
                continue;
            }
            let mut displaced = [0.0; MOST];
            for (end, &node) in element.nodes.iter().enumerate() {
                displaced[6 * end..6 * end + 6].copy_from_slice(&solution.displacement[node]);
            }
            let forces = element
                .end_forces(ElementForm::Exact, 0.0, [0.0; 3], &displaced)
                .ok_or_else(|| Unknown::IllConditioned("forces at a foot".into()))?;
            for (end, &node) in element.nodes.iter().enumerate() {
                let Some(held) = held.get_mut(foot_at[node]) else { continue };
                let local = nalgebra::Vector3::new(forces[end][0], forces[end][1], forces[end][2]);
                let global = element.axes.transpose() * local;
                held.iter_mut().zip(global.iter()).for_each(|(h, f)| *h += f);
            }
        }
        for (node, force) in &case.nodal {
            if let Some(held) = held.get_mut(foot_at[*node]) {
                held.iter_mut().zip(force).for_each(|(h, f)| *h -= f);
            }
        }
        Ok(held)
    }

    /// Largest vertical force out of balance at a node over the largest load: what the members
    /// bring to each node, summed one by one, against what is put on it.
    #[must_use]
    pub fn imbalance(&self, solution: &TreeSolution, case: &LoadCase) -> f64 {
        let mut rest = vec![0.0; self.lasting.len()];
        let mut largest = f64::MIN_POSITIVE;
        for (node, force) in &case.nodal {
            rest[*node] += force[2];
            largest = largest.max(force[2].abs());
        }
        for (element, axial) in self.parts.elements.iter().zip(&solution.axial) {
            let up = element.axes[(0, 2)] * axial;
            rest[element.nodes[0]] += up;
            rest[element.nodes[1]] -= up;
        }
        let free = rest.iter().zip(&self.lasting).filter(|(_, numbers)| numbers[2] != u32::MAX);
        free.map(|(rest, _)| rest.abs()).fold(0.0, f64::max) / largest
    }

    /// Pivots of K + factor·Kg for the given axial forces; no negative one is the proof that no
    /// critical factor lies between zero and `factor`.
    pub fn prove(&mut self, axial: &[f64], factor: f64) -> Pivots {
        let loaded: Vec<f64> = axial.iter().map(|n| n * factor).collect();
        let source = Source {
            parts: &self.parts,
            lasting: &self.lasting,
            words: &self.words,
            axial: Some(&loaded),
            keep: 1.0,
        };
        self.engine.proof.update(&self.engine.tree, &self.system, &source)
    }
}

fn stretch(element: &Element, displacement: &[[f64; 6]]) -> f64 {
    let [i, j] = element.nodes;
    (0..3).map(|d| element.axes[(0, d)] * (displacement[j][d] - displacement[i][d])).sum()
}

/// Each member's number among the elements met so far, which unknowns of its nodes are there, and
/// the numbers of its nodes.
fn words(parts: &Parts, lasting: &[[u32; 6]]) -> Vec<[u64; 2]> {
    // A node's unknowns are six in a row from its own first, each there or not.
    let nodes: Vec<(u64, u64)> = lasting
        .iter()
        .map(|numbers| {
            let (mut there, mut node) = (0, 0);
            for (dof, &n) in numbers.iter().enumerate() {
                if n != u32::MAX {
                    there |= 1 << dof;
                    node = 1 + u64::from(n / 6);
                }
            }
            (there, node)
        })
        .collect();
    (parts.elements.iter().zip(&parts.known))
        .map(|(element, &known)| {
            let [(there, i), (there_too, j)] = element.nodes.map(|node| nodes[node]);
            [u64::from(known) | there << 32 | there_too << 38, i << 32 | j]
        })
        .collect()
}

/// Element matrices, made where their description has changed.
struct Source<'a> {
    parts: &'a Parts,
    lasting: &'a [[u32; 6]],
    words: &'a [[u64; 2]],
    axial: Option<&'a [f64]>,
    /// Factor on the diagonal: below one takes a share of it away.
    keep: f64,
}

impl Source<'_> {
    fn width(&self, element: &Element) -> usize {
        if element.bending[0] > 0.0 { 6 } else { 3 }
    }
}

impl Pieces for Source<'_> {
    fn describe(&self, piece: usize, words: &mut Vec<u64>) {
        words.extend_from_slice(&self.words[piece]);
        words.push(self.axial.map_or(0, |a| a[piece].to_bits()));
    }

    fn make(&self, piece: usize) -> Piece {
        let element = &self.parts.elements[piece];
        let axial = self.axial.map_or(0.0, |a| a[piece]);
        let width = self.width(element);
        let (mut dofs, mut from) = (Vec::with_capacity(12), Vec::with_capacity(12));
        for (end, &node) in element.nodes.iter().enumerate() {
            for dof in 0..width {
                if self.lasting[node][dof] != u32::MAX {
                    dofs.push(self.lasting[node][dof]);
                    from.push(6 * end + dof);
                }
            }
        }
        let n = dofs.len();
        let mut values = vec![0.0; n * n];
        let Some(assembled) = element.assemble(ElementForm::Exact, axial) else {
            // Beyond counting: one negative eigenvalue is certain, and no proof is given.
            return Piece { dofs, values, condensed_negative: 1 };
        };
        for (r, &row) in from.iter().enumerate() {
            for (c, &column) in from.iter().enumerate() {
                let keep = if r == c { self.keep } else { 1.0 };
                values[r * n + c] = keep * assembled.matrix[(row, column)];
            }
        }
        Piece { dofs, values, condensed_negative: assembled.negative }
    }
}
