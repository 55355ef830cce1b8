//! The factor of a stage as a tree of fronts, of which only what changed is made anew.
//!
//! Each node keeps the exact content it was made of: the unknowns eliminated in it, the words of
//! its elements, and the versions of its children. A node whose content is the same, bit for
//! bit, as at the stage before is not touched. The result is therefore the same, bit for bit, as
//! making every node anew.

use super::dissection::Dissection;
use super::front::{Front, Pivots};
use super::packed::{Lanes, Packed};
use crate::mechanics::linalg::{Work, widely};

/// A piece of the matrix: a small dense symmetric matrix on a few unknowns.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Unknowns by their lasting number.
    pub dofs: Vec<u32>,
    /// Row-major, `dofs.len()` square.
    pub values: Vec<f64>,
    /// Negative eigenvalues of what was condensed out of it beforehand.
    pub condensed_negative: usize,
}

/// All that a piece is made of, its unknowns included.
pub type Words = [u64; 3];

/// Where pieces come from. A piece is made only where its description has changed.
pub trait Pieces {
    /// Words that say all that the piece is made of.
    fn describe(&self, piece: usize) -> Words;
    fn make(&self, piece: usize) -> Piece;
}

/// A stage's matrix: unknowns and pieces by the tree node they belong to.
#[derive(Clone, Debug, Default)]
pub struct System {
    /// By tree node: unknowns eliminated there, in the order of [`kinds_first`].
    pub own: Vec<Vec<u32>>,
    /// By tree node: pieces that touch its unknowns and none further down.
    pub pieces: Vec<Vec<usize>>,
}

/// The order in which a node's unknowns are eliminated: alike ones of all its nodes together. Of an
/// upright post the bending planes, twist and axial force then lie side by side, and what one has to do
/// with another is nothing.
#[must_use]
pub fn kinds_first(dof: u32) -> (u32, u32) {
    (dof % 6, dof / 6)
}

impl System {
    /// Empties it for the next stage.
    pub fn clear(&mut self, tree: &Dissection) {
        self.own.iter_mut().for_each(Vec::clear);
        self.pieces.iter_mut().for_each(Vec::clear);
        self.own.resize_with(tree.nodes.len(), Vec::new);
        self.pieces.resize_with(tree.nodes.len(), Vec::new);
    }

    #[must_use]
    pub fn new(tree: &Dissection) -> Self {
        Self { own: vec![Vec::new(); tree.nodes.len()], pieces: vec![Vec::new(); tree.nodes.len()] }
    }
}

/// One front with all that it was made of.
#[derive(Clone, Debug)]
struct Made {
    /// A number of its own.
    version: u64,
    /// When it was last part of the factor.
    used: u64,
    content: Vec<u64>,
    /// Own unknowns, then those of the boundary.
    dofs: Vec<u32>,
    front: Packed,
    pivots: Pivots,
}

/// The fronts kept for one node of the tree.
#[derive(Clone, Debug, Default)]
struct Slot {
    made: Vec<Made>,
    /// The one that is part of the factor now.
    now: usize,
}

impl Slot {
    fn version(&self) -> u64 {
        self.made[self.now].version
    }
}

/// What a front is made of: the unknowns eliminated in it, its pieces, and the versions of its
/// children.
struct Content<'a, P> {
    system: &'a System,
    source: &'a P,
    node: usize,
    children: &'a [usize],
}

impl<P: Pieces> Content<'_, P> {
    fn words(&self, slots: &[Slot]) -> Vec<u64> {
        let (own, pieces) = (&self.system.own[self.node], &self.system.pieces[self.node]);
        let mut out = Vec::with_capacity(1 + own.len() + 3 * pieces.len() + self.children.len());
        out.push(own.len() as u64);
        out.extend(self.children.iter().map(|&child| slots[child].version()));
        out.extend(own.iter().map(|&d| u64::from(d)));
        for &piece in pieces {
            out.extend(self.source.describe(piece));
        }
        out
    }

    /// Whether these are its words, told without writing them down.
    fn is(&self, words: &[u64], slots: &[Slot]) -> bool {
        let (own, pieces) = (&self.system.own[self.node], &self.system.pieces[self.node]);
        let count = 1 + own.len() + 3 * pieces.len() + self.children.len();
        if words.len() != count || words[0] != own.len() as u64 {
            return false;
        }
        let (children, rest) = words[1..].split_at(self.children.len());
        let (owned, described) = rest.split_at(own.len());
        children.iter().zip(self.children).all(|(w, &c)| *w == slots[c].version())
            && owned.iter().zip(own).all(|(w, &d)| *w == u64::from(d))
            && described.chunks_exact(3).zip(pieces).all(|(w, &p)| *w == self.source.describe(p))
    }
}

/// Fronts kept for each node at most: a stage is asked with all feet down, and again in the few
/// contact states in which feet have lifted, each way it is pushed.
const KEPT: usize = 8;

/// The fronts of the last stage.
#[derive(Clone, Debug, Default)]
pub struct TreeFactor {
    slots: Vec<Slot>,
    stamp: u64,
    /// Counts the updates: tells whose matrix the factor is of.
    pub updates: u64,
    /// Fronts made anew at the last update.
    pub renewed: usize,
    /// And since [`TreeFactor::begin_stage`].
    pub anew: usize,
    /// Updates there had been when this stage began, and the one before.
    begun: [u64; 2],
    /// Where fronts are made.
    room: Vec<f64>,
}

impl TreeFactor {
    /// Brings the factor up to a stage's matrix. Negative pivots include what was condensed.
    pub fn update<P: Pieces>(&mut self, tree: &Dissection, system: &System, source: &P) -> Pivots {
        self.slots.resize_with(tree.nodes.len(), Slot::default);
        self.updates += 1;
        self.renewed = 0;
        let mut all = Pivots::NONE;
        // Private leaves come first, then separators bottom-up: children before parents.
        for node in 0..tree.nodes.len() {
            let slot = &self.slots[node];
            let content = Content { system, source, node, children: &tree.nodes[node].children };
            let same =
                |k: &usize| slot.made.get(*k).is_some_and(|m| content.is(&m.content, &self.slots));
            let known = Some(slot.now)
                .filter(same)
                .or_else(|| (0..slot.made.len()).filter(|k| *k != slot.now).find(same));
            if let Some(known) = known {
                self.slots[node].now = known;
            } else {
                let words = content.words(&self.slots);
                self.renew(tree, system, source, node, words);
            }
            let slot = &mut self.slots[node];
            let made = &mut slot.made[slot.now];
            made.used = self.updates;
            all.join(made.pivots);
        }
        all
    }

    /// Numbers kept in the factor below its pivots, and multiplications to make all of it.
    #[must_use]
    pub fn fill(&self) -> (usize, usize) {
        let fronts = self.slots.iter().filter_map(|s| s.made.get(s.now)).map(|m| &m.front);
        fronts.fold((0, 0), |(fill, work), front| (fill + front.fill(), work + front.work()))
    }

    /// Begins to count anew, and gives up fronts that neither this stage nor the one before it had
    /// a use for.
    pub fn begin_stage(&mut self) {
        self.anew = 0;
        let [before, last] = [self.begun[1], self.updates];
        self.begun = [before, last];
        for slot in &mut self.slots {
            let Some(now) = slot.made.get(slot.now).map(|made| made.version) else { continue };
            slot.made.retain(|made| made.used > before || made.version == now);
            slot.now = slot.made.iter().position(|made| made.version == now).unwrap_or(0);
        }
    }

    fn now(&self, node: usize) -> &Made {
        &self.slots[node].made[self.slots[node].now]
    }

    fn renew<P: Pieces>(
        &mut self,
        tree: &Dissection,
        system: &System,
        source: &P,
        node: usize,
        content: Vec<u64>,
    ) {
        let own = &system.own[node];
        let place_of = |dof: u32| own.binary_search_by_key(&kinds_first(dof), |d| kinds_first(*d));
        let pieces: Vec<Piece> = system.pieces[node].iter().map(|&p| source.make(p)).collect();
        let mut boundary: Vec<u32> = Vec::new();
        for piece in &pieces {
            boundary.extend(piece.dofs.iter().filter(|d| place_of(**d).is_err()));
        }
        for &child in &tree.nodes[node].children {
            let child = self.now(child);
            boundary
                .extend(child.dofs[child.front.own..].iter().filter(|d| place_of(**d).is_err()));
        }
        boundary.sort_unstable_by_key(|dof| kinds_first(*dof));
        boundary.dedup();
        let after = |dof: u32| boundary.partition_point(|b| kinds_first(*b) < kinds_first(dof));
        let place = |dof: u32| place_of(dof).unwrap_or_else(|_| own.len() + after(dof));
        let n = own.len() + boundary.len();
        let mut front = Front::in_room(n, own.len(), std::mem::take(&mut self.room));
        let mut condensed = 0;
        let mut at: Vec<usize> = Vec::new();
        for piece in &pieces {
            condensed += piece.condensed_negative;
            at.clear();
            at.extend(piece.dofs.iter().map(|&d| place(d)));
            for (r, &row) in at.iter().enumerate() {
                for (c, &column) in at.iter().enumerate().take(r + 1) {
                    front.add(row, column, piece.values[r * at.len() + c]);
                }
            }
        }
        for &child in &tree.nodes[node].children {
            let child = self.now(child);
            at.clear();
            at.extend(child.dofs[child.front.own..].iter().map(|&d| place(d)));
            for (c, &column) in at.iter().enumerate() {
                for (&row, &value) in at[c..].iter().zip(child.front.rest(c)) {
                    front.add(row, column, value);
                }
            }
        }
        let mut pivots = front.eliminate();
        pivots.negative += condensed;
        let mut dofs = own.clone();
        dofs.extend(boundary);
        self.stamp += 1;
        self.renewed += 1;
        self.anew += 1;
        let version = self.stamp;
        let packed = Packed::new(&front);
        self.room = front.values;
        let made = Made { version, used: self.updates, content, dofs, front: packed, pivots };
        let slot = &mut self.slots[node];
        // In the place of the one that was used longest ago.
        let oldest = (0..slot.made.len()).min_by_key(|k| slot.made[*k].used);
        let at = oldest.filter(|_| slot.made.len() >= KEPT).unwrap_or(slot.made.len());
        if at < slot.made.len() {
            slot.made[at] = made;
        } else {
            slot.made.push(made);
        }
        slot.now = at;
    }

    /// Solves several right-hand sides at once, in place: each front is read once for all. `x` is
    /// indexed by lasting number of the unknown.
    pub fn solve<const L: usize>(&self, tree: &Dissection, x: &mut [Lanes<L>]) {
        widely(Together { factor: self, tree, x });
    }

    #[inline(always)]
    fn solve_in<const L: usize>(&self, tree: &Dissection, x: &mut [Lanes<L>]) {
        let mut local: Vec<Lanes<L>> = Vec::new();
        // Children before parents: nodes are numbered so by construction.
        for node in 0..tree.nodes.len() {
            let slot = self.now(node);
            let own = slot.front.own;
            local.clear();
            local.extend(slot.dofs[..own].iter().map(|&d| x[d as usize]));
            local.resize(slot.dofs.len(), [0.0; L]);
            slot.front.forward(&mut local);
            for (&dof, local) in slot.dofs[..own].iter().zip(&local) {
                x[dof as usize] = *local;
            }
            for (&dof, local) in slot.dofs[own..].iter().zip(&local[own..]) {
                for (x, l) in x[dof as usize].iter_mut().zip(local) {
                    *x += l;
                }
            }
        }
        for node in (0..tree.nodes.len()).rev() {
            let slot = self.now(node);
            local.clear();
            local.extend(slot.dofs.iter().map(|&d| x[d as usize]));
            slot.front.backward(&mut local);
            for (&dof, local) in slot.dofs[..slot.front.own].iter().zip(&local) {
                x[dof as usize] = *local;
            }
        }
    }
}

/// A solve of several right-hand sides.
struct Together<'a, const L: usize> {
    factor: &'a TreeFactor,
    tree: &'a Dissection,
    x: &'a mut [Lanes<L>],
}

impl<const L: usize> Work for Together<'_, L> {
    type Answer = ();
    #[inline(always)]
    fn work(self) {
        self.factor.solve_in(self.tree, self.x);
    }
}
