//! The members of a stage as the tree takes them in: described in a few words, made when they change.

use super::super::answers::{Load, Moved};
use super::super::factor::{Factor, Piece, Pieces};
use super::super::groups::Groups;
use super::super::shapes::Shape;
use super::super::strands::{Part, Plan, SECOND, SLOTS};
use super::entries::Entries;
use super::{Loose, Parts, TreeSolution};
use crate::mechanics::element::Element;
use crate::mechanics::stage::bands::power_of_two;
use std::sync::{Arc, OnceLock, Weak};

impl Parts {
    /// All that a part is made of but its axial force: the member's number among the elements met so
    /// far, which unknowns of its nodes are there, its group (or that it is the whole, or half), and the
    /// numbers of its nodes.
    pub(super) fn words(&self, lasting: &[[u32; 6]], part: Part, plan: &Plan) -> [u64; 2] {
        let whole = plan.whole;
        let piece = part.piece as usize;
        let nodes = self.elements[piece].nodes;
        let mut there = 0;
        let mut numbers = [0; 2];
        for end in 0..2 {
            for (dof, &n) in lasting[nodes[end]].iter().enumerate() {
                there |= u64::from(n != u32::MAX) << (6 * end + dof);
            }
            numbers[end] = self.owner[nodes[end]].map_or(0, |owner| 1 + u64::from(owner.number));
        }
        let mask: u64 = self.groups(part.piece).places(part.group).map(|place| 1 << place).sum();
        let there = if whole { there } else { there & mask };
        let known = u64::from(self.known[piece]);
        let half = self.is_halved(part, self.groups(part.piece), &plan.split);
        // Of a node that does not go down it says nothing that there are two ways.
        let second = [0, 1].map(|end| {
            let number = self.owner[nodes[end]].map(|owner| owner.number as usize);
            let goes_down = there >> (6 * end + 2) & 1 == 1;
            let split = number.is_some_and(|number| plan.split.get(number) == Some(&true));
            part.second && goes_down && split
        });
        let mut group = u64::from(part.group);
        for (bit, is) in [whole, half, second[0], second[1]].into_iter().enumerate() {
            group |= u64::from(is) << (4 + bit);
        }
        [known | there << 32 | group << 44, numbers[0] << 32 | numbers[1]]
    }

    /// The node and the degree of freedom of a lasting number.
    pub(super) fn node_and_dof(&self, unknown: u32) -> (usize, usize) {
        let (number, slot) = ((unknown / SLOTS) as usize, unknown % SLOTS);
        (self.node_of[number] as usize, if slot == SECOND { 2 } else { slot as usize })
    }

    /// Lasting numbers of the unknowns that a part touches.
    pub(super) fn touched<'a>(
        &'a self,
        part: Part,
        groups: &'a Groups,
        split: &'a [bool],
    ) -> impl Iterator<Item = u32> + 'a {
        groups.places(part.group).filter_map(move |place| {
            let owner = self.owner[self.elements[part.piece as usize].nodes[place / 6]]?;
            let unknown = owner.number * SLOTS + u32::try_from(place % 6).ok()?;
            Some(slot(unknown, part, split))
        })
    }

    /// Whether it is half of what presses a post that has two ways down.
    pub(super) fn is_halved(&self, part: Part, groups: &Groups, split: &[bool]) -> bool {
        !split.is_empty()
            && groups.is_stiff(part.group)
            && groups.places(part.group).all(|place| place % 6 == 2)
            && self.touched(part, groups, &[]).any(|unknown| split[(unknown / SLOTS) as usize])
    }
}

/// The lasting number at which a part finds an unknown.
fn slot(unknown: u32, part: Part, split: &[bool]) -> u32 {
    let down = part.second && unknown % SLOTS == 2;
    let second = down && split.get((unknown / SLOTS) as usize) == Some(&true);
    if second { unknown + SECOND - 2 } else { unknown }
}

/// A stage's members with the places of their unknowns.
#[derive(Debug)]
pub(super) struct Laid {
    pub parts: Arc<Parts>,
    pub plan: Arc<Plan>,
    /// Lasting number of each node's unknowns.
    pub lasting: Vec<[u32; 6]>,
    /// By strand of the plan.
    pub shapes: Vec<Arc<Shape>>,
    /// By lasting number: place of the unknown in its strand.
    place: Vec<u32>,
    /// What has been asked of it: the factor that says whether it is rigid, and that of first order.
    pub strain: OnceLock<Arc<Factor>>,
    pub first: OnceLock<Arc<Factor>>,
    /// The same taken apart into upright planes, where that can be.
    pub apart: OnceLock<Option<Arc<Laid>>>,
    /// What it was made like: the same frame on other supports, or that of the stage before.
    before: Weak<Self>,
    /// Motions that strain nothing, once they were asked for and if they could be told.
    pub loose: OnceLock<Option<Vec<Loose>>>,
}

impl Laid {
    pub(super) fn new(
        parts: Arc<Parts>,
        plan: Arc<Plan>,
        lasting: Vec<[u32; 6]>,
        shapes: Vec<Arc<Shape>>,
        before: Weak<Self>,
    ) -> Self {
        let mut place = vec![u32::MAX; plan.strand_of.len()];
        for shape in &shapes {
            for (k, &unknown) in (0..).zip(&shape.own) {
                place[unknown as usize] = k;
            }
        }
        Self {
            parts,
            plan,
            lasting,
            shapes,
            place,
            strain: OnceLock::new(),
            first: OnceLock::new(),
            apart: OnceLock::new(),
            before,
            loose: OnceLock::new(),
        }
    }

    /// The same, with nothing asked of it yet.
    pub(super) fn unasked(&self) -> Self {
        let (parts, plan) = (Arc::clone(&self.parts), Arc::clone(&self.plan));
        let (lasting, shapes) = (self.lasting.clone(), self.shapes.clone());
        let out = Self::new(parts, plan, lasting, shapes, Weak::new());
        if let Some(apart) = self.apart.get() {
            out.apart.get_or_init(|| apart.as_ref().map(|apart| Arc::new(apart.unasked())));
        }
        out
    }

    /// What it was made like, while that is kept.
    pub(super) fn before(&self) -> Option<Arc<Self>> {
        self.before.upgrade()
    }

    /// Nodal loads by the unknowns they act on, of the strands that are asked; what acts on none is
    /// held.
    pub(super) fn loads(
        &self,
        case: &[(usize, [f64; 6])],
        asked: impl Fn(u32) -> bool,
    ) -> Vec<Load> {
        let mut out = Vec::new();
        let mut put = |unknown: u32, value: f64| {
            let at = unknown as usize;
            let strand = self.plan.strand_of[at];
            if asked(strand) {
                out.push((strand, self.place[at], value));
            }
        };
        for (node, force) in case {
            let forces = self.lasting[*node].iter().zip(force);
            for (&unknown, &value) in forces.filter(|(_, value)| **value != 0.0) {
                if unknown == u32::MAX {
                    continue;
                }
                if unknown % SLOTS == 2 && self.is_split(unknown) {
                    put(unknown, 0.5 * value);
                    put(unknown + SECOND - 2, 0.5 * value);
                } else {
                    put(unknown, value);
                }
            }
        }
        out
    }

    /// The strands in which a node has unknowns, some of them several times.
    pub(super) fn strands_at(&self, node: usize) -> impl Iterator<Item = u32> {
        let there = self.lasting[node].into_iter().filter(|unknown| *unknown != u32::MAX);
        there.flat_map(|unknown| {
            let second = (unknown % SLOTS == 2 && self.is_split(unknown))
                .then(|| self.plan.strand_of[(unknown + SECOND - 2) as usize]);
            second.into_iter().chain([self.plan.strand_of[unknown as usize]])
        })
    }

    fn is_split(&self, unknown: u32) -> bool {
        self.plan.split.get((unknown / SLOTS) as usize) == Some(&true)
    }

    /// All at rest.
    pub(super) fn at_rest(&self) -> TreeSolution {
        let count = self.lasting.len();
        let second = if self.plan.split.is_empty() { 0 } else { count };
        TreeSolution {
            displacement: vec![[0.0; 6]; count],
            second: vec![0.0; second],
            axial: vec![0.0; self.parts.elements.len()],
        }
    }

    /// Puts the unknowns of some strands at rest.
    pub(super) fn rest(&self, strands: &[bool], moved: &mut TreeSolution) {
        for (shape, _) in self.shapes.iter().zip(strands).filter(|(_, asked)| **asked) {
            shape.own.iter().for_each(|&unknown| put(self.at(unknown), 0.0, moved));
        }
    }

    /// What is held at some nodes stays where it is, though it may be free in another state.
    pub(super) fn hold(&self, nodes: &[bool], moved: &mut TreeSolution) {
        for (node, lasting) in self.lasting.iter().enumerate().filter(|(node, _)| nodes[*node]) {
            for (dof, _) in lasting.iter().enumerate().filter(|(_, unknown)| **unknown == u32::MAX)
            {
                moved.displacement[node][dof] = 0.0;
                if let (2, Some(second)) = (dof, moved.second.get_mut(node)) {
                    *second = 0.0;
                }
            }
        }
    }

    /// Takes what the unknowns of a strand come to into displacements, by case.
    pub(super) fn take(&self, moved: Moved<'_>, into: &mut [TreeSolution]) {
        for (unknown, values) in moved.by_unknown() {
            let at = self.at(unknown);
            for &(case, of) in moved.cases {
                put(at, values[of], &mut into[case]);
            }
        }
    }

    fn at(&self, unknown: u32) -> At {
        let (node, dof) = self.parts.node_and_dof(unknown);
        At {
            node,
            dof,
            second: unknown % SLOTS == SECOND,
            both: dof == 2 && !self.is_split(unknown),
        }
    }

    /// The element matrices under axial forces, the diagonal times `keep`: below one takes a share
    /// of it away.
    pub(super) fn source<'a>(
        &'a self,
        made: &'a Entries,
        axial: Option<&'a [f64]>,
        keep: f64,
    ) -> Source<'a> {
        Source { laid: self, made, axial, keep }
    }
}

/// Where an unknown is in displacements.
#[derive(Clone, Copy)]
struct At {
    node: usize,
    dof: usize,
    /// A second way down.
    second: bool,
    /// The only way down, which is both.
    both: bool,
}

fn put(At { node, dof, second, both }: At, value: f64, moved: &mut TreeSolution) {
    if second {
        moved.second[node] = value;
        return;
    }
    moved.displacement[node][dof] = value;
    if both && let Some(second) = moved.second.get_mut(node) {
        *second = value;
    }
}

/// Bands of what a pressed bar takes off another line's stiffness: powers of two from a least one in
/// newtons.
const LEAST_ASIDE: f64 = 512.0;

/// Element matrices, made where their description has changed.
///
/// What a member joins between its groups, a pressed bar that pulls its ends sideways against one another,
/// is bounded: with 2·a·b ≥ −(a² + b²) an entry between two unknowns is taken off both diagonals. The
/// matrix is then nowhere stiffer than it is, so that what is proven of it is proven.
pub(super) struct Source<'a> {
    laid: &'a Laid,
    made: &'a Entries,
    axial: Option<&'a [f64]>,
    keep: f64,
}

impl Source<'_> {
    /// Axial force of a member as a part of it takes it. Where a bar is pressed it pulls its ends aside, which
    /// is little, and acts on lines that cross its own: rounded up far, so that they are left alone by
    /// what is laid on it.
    fn axial(&self, part: Part) -> f64 {
        let axial = self.axial.map_or(0.0, |a| a[part.piece as usize]);
        let groups = self.laid.parts.groups(part.piece);
        if self.laid.plan.whole {
            axial
        } else if !groups.is_changed(part.group) {
            0.0
        } else if axial < 0.0 && !groups.is_stiff(part.group) {
            -power_of_two(-axial, LEAST_ASIDE)
        } else {
            axial
        }
    }
}

impl Pieces for Source<'_> {
    fn describe(&self, part: Part) -> u64 {
        self.axial.map_or(0, |_| self.axial(part).to_bits())
    }

    fn make(&self, part: Part) -> Piece {
        let (parts, piece) = (&self.laid.parts, part.piece as usize);
        let element: &Element = &parts.elements[piece];
        let axial = self.axial(part);
        let whole;
        let groups = if self.laid.plan.whole {
            whole = parts.groups(part.piece).whole();
            &whole
        } else {
            parts.groups(part.piece)
        };
        if axial == 0.0 && !groups.is_stiff(part.group) {
            return Piece::default();
        }
        // By unknown of the member: whether it is in the group, and its place in the piece.
        let mut place = [u8::MAX; 12];
        let mut dofs = Vec::with_capacity(12);
        let mut group = [false; 12];
        for k in groups.places(part.group) {
            group[k] = true;
            let unknown = self.laid.lasting[element.nodes[k / 6]][k % 6];
            if unknown != u32::MAX {
                place[k] = u8::try_from(dofs.len()).unwrap_or(u8::MAX);
                dofs.push(slot(unknown, part, &self.laid.plan.split));
            }
        }
        let n = dofs.len();
        let mut values = vec![0.0; n * n];
        let keep = self.keep;
        let mut add = |row: usize, column: usize, value: f64| {
            if place[row] == u8::MAX {
                return;
            }
            let row = usize::from(place[row]);
            if !group[column] {
                // Whether the other is there or held makes no difference, so that it need not be known.
                values[row * n + row] -= value.abs();
            } else if place[column] != u8::MAX {
                let column = usize::from(place[column]);
                values[row * n + column] += if row == column { keep * value } else { value };
            }
        };
        // Each bending plane of a beam is in one group; a bar has nothing to condense.
        let planes = groups.planes(part.group);
        let made = self.made.of(parts.known[piece], element, axial, planes);
        let half = parts.is_halved(part, groups, &self.laid.plan.split);
        let share = if half { 0.5 } else { 1.0 };
        for &(row, column, value) in &made.entries {
            add(usize::from(row), usize::from(column), share * value);
        }
        Piece { dofs, values, condensed_negative: made.negative }
    }
}
