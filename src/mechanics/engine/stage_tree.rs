//! A stage's frame on the lasting tree of its assembly.
//!
//! Unknowns keep their number over the whole sequence: a node is known by its post and its
//! station on it. What is shared between posts are the displacements of the nodes at which
//! something may ever be fixed; rotations, and nodes where only the tube changes, are the post's
//! own and are condensed in its leaf, with the inertia of what is condensed counted.

use super::dissection::Dissection;
use super::front::{LANES, Pivots};
use super::tree::{Piece, Pieces, System, TreeFactor};
use crate::assembly::model::{Assembly, MemberId};
use crate::mechanics::answers::Unknown;
use crate::mechanics::element::{Element, MOST};
use crate::mechanics::frame::{Dof, ElementForm, LoadCase};
use crate::mechanics::numbering::{NONE, Numbering};
use crate::mechanics::stage::idealise::StageFrame;
use std::collections::BTreeMap;

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
            first_order: TreeFactor::default(),
            strain: TreeFactor::default(),
            proof: TreeFactor::default(),
            second_order: TreeFactor::default(),
        }
    }

    /// Fronts made anew at the last stage: first order, strain, proof; and how many there are.
    #[must_use]
    pub fn renewed(&self) -> ([usize; 3], usize) {
        ([self.first_order.renewed, self.strain.renewed, self.proof.renewed], self.tree.nodes.len())
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
        let elements: Vec<Element> =
            (0..frame.frame.members.len()).map(|m| Element::new(&frame.frame, m)).collect();
        let numbering = Numbering::new(&frame.frame, &elements, pins);
        let mut owner: Vec<Option<(usize, u32, bool)>> = vec![None; frame.frame.nodes.len()];
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
                owner[node] = Some((index, number, shared));
            }
        }
        let mut system = System::new(&self.tree);
        let mut lasting = vec![[u32::MAX; 6]; frame.frame.nodes.len()];
        let mut place = vec![[usize::MAX; 2]; frame.frame.nodes.len()];
        for (node, owner) in owner.iter().enumerate() {
            let Some((post, number, shared)) = *owner else { continue };
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
        for (k, element) in elements.iter().enumerate() {
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
        Ok(OnTree { engine: self, frame, elements, lasting, system, factored: false })
    }
}

/// A stage on the tree.
pub struct OnTree<'e> {
    engine: &'e mut Engine,
    frame: &'e StageFrame,
    elements: Vec<Element>,
    /// Lasting number of each node's unknowns.
    lasting: Vec<[u32; 6]>,
    system: System,
    factored: bool,
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
    /// Whether no motion leaves every member unstrained: all eigenvalues of the scaled stiffness
    /// lie above a shift. False: some may lie below, to be looked at one by one.
    pub fn is_rigid(&mut self) -> bool {
        let source = Source {
            on: &self.elements,
            lasting: &self.lasting,
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
        let source = Source { on: &self.elements, lasting: &self.lasting, axial: None, keep: 1.0 };
        let pivots = self.engine.first_order.update(&self.engine.tree, &self.system, &source);
        if pivots.negative > 0 || pivots.smallest < DOUBTFUL {
            return Err(Unknown::IllConditioned(format!(
                "smallest relative pivot {:.1e}",
                pivots.smallest
            )));
        }
        self.factored = true;
        Ok(())
    }

    /// Solves a case of nodal loads.
    ///
    /// # Errors
    /// Before [`OnTree::factor`].
    pub fn solve(&self, case: &LoadCase) -> Result<TreeSolution, Unknown> {
        if !self.factored {
            return Err(Unknown::NotConverged("not factorised".into()));
        }
        let mut x = vec![0.0; 6 * self.engine.most_nodes];
        for (node, force) in &case.nodal {
            for (dof, f) in force.iter().enumerate() {
                let at = self.lasting[*node][dof];
                if at != u32::MAX {
                    x[at as usize] += f;
                }
            }
        }
        self.engine.first_order.solve(&self.engine.tree, &mut x);
        let displacement: Vec<[f64; 6]> = self
            .lasting
            .iter()
            .map(|numbers| numbers.map(|n| if n == u32::MAX { 0.0 } else { x[n as usize] }))
            .collect();
        let axial = self.elements.iter().map(|e| stretch(e, &displacement) * e.axial).collect();
        Ok(TreeSolution { displacement, axial })
    }

    /// Factorises K + Kg for the given axial forces. False: a factor at or below one is critical,
    /// or may be; [`OnTree::solve_all`] is not to be asked then.
    pub fn stiffen(&mut self, axial: &[f64]) -> bool {
        let source =
            Source { on: &self.elements, lasting: &self.lasting, axial: Some(axial), keep: 1.0 };
        let pivots = self.engine.second_order.update(&self.engine.tree, &self.system, &source);
        pivots.negative == 0 && pivots.smallest > DOUBTFUL
    }

    /// Displacements under several cases of nodal loads at once.
    #[must_use]
    pub fn solve_all(&self, order: Order, cases: &[Vec<(usize, [f64; 6])>]) -> Vec<Vec<[f64; 6]>> {
        let factor = match order {
            Order::First => &self.engine.first_order,
            Order::Second => &self.engine.second_order,
        };
        let mut out = Vec::with_capacity(cases.len());
        for some in cases.chunks(LANES) {
            let mut x = vec![[0.0; LANES]; 6 * self.engine.most_nodes];
            for (lane, case) in some.iter().enumerate() {
                for (node, force) in case {
                    for (dof, f) in force.iter().enumerate() {
                        let at = self.lasting[*node][dof];
                        if at != u32::MAX {
                            x[at as usize][lane] += f;
                        }
                    }
                }
            }
            factor.solve_lanes(&self.engine.tree, &mut x);
            #[allow(clippy::needless_range_loop, reason = "a lane runs across all of x")]
            for lane in 0..some.len() {
                let of = |n: u32| if n == u32::MAX { 0.0 } else { x[n as usize][lane] };
                out.push(self.lasting.iter().map(|numbers| numbers.map(of)).collect());
            }
        }
        out
    }

    /// Axial force of each frame member under displacements, tension positive.
    #[must_use]
    pub fn axial(&self, displacement: &[[f64; 6]]) -> Vec<f64> {
        self.elements.iter().map(|e| stretch(e, displacement) * e.axial).collect()
    }

    /// The members of the frame.
    #[must_use]
    pub(in crate::mechanics) fn elements(&self) -> &[Element] {
        &self.elements
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
        for (element, axial) in self.elements.iter().zip(axial) {
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
        for element in &self.elements {
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
        for (element, axial) in self.elements.iter().zip(&solution.axial) {
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
        let source =
            Source { on: &self.elements, lasting: &self.lasting, axial: Some(&loaded), keep: 1.0 };
        self.engine.proof.update(&self.engine.tree, &self.system, &source)
    }
}

fn stretch(element: &Element, displacement: &[[f64; 6]]) -> f64 {
    let [i, j] = element.nodes;
    (0..3).map(|d| element.axes[(0, d)] * (displacement[j][d] - displacement[i][d])).sum()
}

/// Element matrices, made where their description has changed.
struct Source<'a> {
    on: &'a [Element],
    lasting: &'a [[u32; 6]],
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
        let element = &self.on[piece];
        for &node in &element.nodes {
            words.extend(self.lasting[node].iter().map(|&n| u64::from(n)));
        }
        words.push(element.length.to_bits());
        words.push(element.axial.to_bits());
        words.push(element.torsion.to_bits());
        words.extend(element.bending.iter().map(|v| v.to_bits()));
        words.extend(element.axes.iter().map(|v| v.to_bits()));
        for plane in &element.ends {
            words.extend(plane.iter().map(|e| e.map_or(u64::MAX, f64::to_bits)));
        }
        words.push(self.axial.map_or(0, |a| a[piece].to_bits()));
    }

    fn make(&self, piece: usize) -> Piece {
        let element = &self.on[piece];
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
