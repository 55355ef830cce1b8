//! The factor of a stage as a tree of fronts, of which only what changed is made anew.
//!
//! Each node keeps the exact content it was made of: the unknowns eliminated in it, the words of
//! its elements, and the versions of its children. A node whose content is the same, bit for
//! bit, as at the stage before is not touched. The result is therefore the same, bit for bit, as
//! making every node anew.

use super::dissection::Dissection;
use super::front::{Front, LANES, Lanes, Pivots};
use crate::mechanics::linalg::widely;

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

/// Where pieces come from. A piece is made only where its description has changed.
pub trait Pieces {
    /// Words that say all that the piece is made of, its unknowns included.
    fn describe(&self, piece: usize, words: &mut Vec<u64>);
    fn make(&self, piece: usize) -> Piece;
}

/// A stage's matrix: unknowns and pieces by the tree node they belong to.
#[derive(Clone, Debug, Default)]
pub struct System {
    /// By tree node: unknowns eliminated there, ascending.
    pub own: Vec<Vec<u32>>,
    /// By tree node: pieces that touch its unknowns and none further down.
    pub pieces: Vec<Vec<usize>>,
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
    front: Front,
    pivots: Pivots,
}

/// The fronts kept for one node of the tree.
#[derive(Clone, Debug, Default)]
struct Slot {
    made: Vec<Made>,
    /// The one that is part of the factor now.
    now: usize,
}

/// Fronts kept for each node: a stage is asked with all feet down, and again in the few contact
/// states in which feet have lifted, each way it is pushed.
const KEPT: usize = 6;

/// The fronts of the last stage.
#[derive(Clone, Debug, Default)]
pub struct TreeFactor {
    slots: Vec<Slot>,
    stamp: u64,
    /// Counts the updates: tells whose matrix the factor is of.
    pub updates: u64,
    /// Fronts made anew at the last update.
    pub renewed: usize,
    /// And since [`TreeFactor::count_anew`].
    pub anew: usize,
}

impl TreeFactor {
    /// Brings the factor up to a stage's matrix. Negative pivots include what was condensed.
    pub fn update(&mut self, tree: &Dissection, system: &System, source: &dyn Pieces) -> Pivots {
        self.slots.resize_with(tree.nodes.len(), Slot::default);
        self.updates += 1;
        self.renewed = 0;
        let mut all = Pivots::NONE;
        let mut content: Vec<u64> = Vec::new();
        // Private leaves come first, then separators bottom-up: children before parents.
        for node in 0..tree.nodes.len() {
            content.clear();
            content.push(system.own[node].len() as u64);
            content.extend(system.own[node].iter().map(|&d| u64::from(d)));
            for &piece in &system.pieces[node] {
                source.describe(piece, &mut content);
            }
            for &child in &tree.nodes[node].children {
                content.push(self.slots[child].made[self.slots[child].now].version);
            }
            let slot = &mut self.slots[node];
            let same = |k: &usize| slot.made.get(*k).is_some_and(|m| m.content == content);
            let known = Some(slot.now).filter(same).or_else(|| (0..slot.made.len()).find(same));
            if let Some(known) = known {
                slot.now = known;
            } else {
                self.renew(tree, system, source, node, &content);
            }
            let slot = &mut self.slots[node];
            let made = &mut slot.made[slot.now];
            made.used = self.updates;
            all.join(made.pivots);
        }
        all
    }

    /// Begins to count anew.
    pub fn count_anew(&mut self) {
        self.anew = 0;
    }

    fn now(&self, node: usize) -> &Made {
        &self.slots[node].made[self.slots[node].now]
    }

    fn renew(
        &mut self,
        tree: &Dissection,
        system: &System,
        source: &dyn Pieces,
        node: usize,
        content: &[u64],
    ) {
        let own = &system.own[node];
        let pieces: Vec<Piece> = system.pieces[node].iter().map(|&p| source.make(p)).collect();
        let mut boundary: Vec<u32> = Vec::new();
        for piece in &pieces {
            boundary.extend(piece.dofs.iter().filter(|d| own.binary_search(d).is_err()));
        }
        for &child in &tree.nodes[node].children {
            let child = self.now(child);
            boundary.extend(
                child.dofs[child.front.own..].iter().filter(|d| own.binary_search(d).is_err()),
            );
        }
        boundary.sort_unstable();
        boundary.dedup();
        let place = |dof: u32| -> usize {
            own.binary_search(&dof)
                .unwrap_or_else(|_| own.len() + boundary.partition_point(|&b| b < dof))
        };
        let n = own.len() + boundary.len();
        // The room of the one that was used longest ago.
        let slot = &mut self.slots[node];
        let oldest = (0..slot.made.len()).min_by_key(|k| slot.made[*k].used);
        let at = oldest.filter(|_| slot.made.len() >= KEPT).unwrap_or(slot.made.len());
        let (mut values, mut words) = slot.made.get_mut(at).map_or_else(Default::default, |made| {
            (std::mem::take(&mut made.front.values), std::mem::take(&mut made.content))
        });
        values.clear();
        values.resize(n * n, 0.0);
        words.clear();
        words.extend_from_slice(content);
        let mut front = Front { n, own: own.len(), values };
        let mut condensed = 0;
        for piece in &pieces {
            condensed += piece.condensed_negative;
            let at: Vec<usize> = piece.dofs.iter().map(|&d| place(d)).collect();
            for (r, &row) in at.iter().enumerate() {
                for (c, &column) in at.iter().enumerate().take(r + 1) {
                    front.add(row, column, piece.values[r * at.len() + c]);
                }
            }
        }
        for &child in &tree.nodes[node].children {
            let child = self.now(child);
            let first = child.front.own;
            let at: Vec<usize> = child.dofs[first..].iter().map(|&d| place(d)).collect();
            for (c, &column) in at.iter().enumerate() {
                for (r, &row) in at.iter().enumerate().skip(c) {
                    front.add(row, column, child.front.at(first + r, first + c));
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
        let made = Made { version, used: self.updates, content: words, dofs, front, pivots };
        let slot = &mut self.slots[node];
        if at < slot.made.len() {
            slot.made[at] = made;
        } else {
            slot.made.push(made);
        }
        slot.now = at;
    }

    /// [`TreeFactor::solve`] on several right-hand sides at once: each front is read once for all.
    pub fn solve_lanes(&self, tree: &Dissection, x: &mut [Lanes]) {
        widely(|| self.solve_lanes_in(tree, x));
    }

    #[inline(always)]
    fn solve_lanes_in(&self, tree: &Dissection, x: &mut [Lanes]) {
        let nodes = order(tree);
        let mut local: Vec<Lanes> = Vec::new();
        for &node in &nodes {
            let slot = self.now(node);
            local.clear();
            local.extend(slot.dofs[..slot.front.own].iter().map(|&d| x[d as usize]));
            local.resize(slot.front.n, [0.0; LANES]);
            slot.front.forward_lanes(&mut local);
            for (k, &dof) in slot.dofs.iter().enumerate() {
                if k < slot.front.own {
                    x[dof as usize] = local[k];
                } else {
                    for (x, l) in x[dof as usize].iter_mut().zip(&local[k]) {
                        *x += l;
                    }
                }
            }
        }
        for &node in nodes.iter().rev() {
            let slot = self.now(node);
            local.clear();
            local.extend(slot.dofs.iter().map(|&d| x[d as usize]));
            slot.front.backward_lanes(&mut local);
            for (k, &dof) in slot.dofs[..slot.front.own].iter().enumerate() {
                x[dof as usize] = local[k];
            }
        }
    }

    /// Solves in place; `x` is indexed by lasting number of the unknown.
    pub fn solve(&self, tree: &Dissection, x: &mut [f64]) {
        widely(|| self.solve_in(tree, x));
    }

    #[inline(always)]
    fn solve_in(&self, tree: &Dissection, x: &mut [f64]) {
        let nodes = order(tree);
        let mut local: Vec<f64> = Vec::new();
        for &node in &nodes {
            let slot = self.now(node);
            local.clear();
            local.extend(slot.dofs[..slot.front.own].iter().map(|&d| x[d as usize]));
            local.resize(slot.front.n, 0.0);
            slot.front.forward(&mut local);
            for (k, &dof) in slot.dofs.iter().enumerate() {
                if k < slot.front.own {
                    x[dof as usize] = local[k];
                } else {
                    x[dof as usize] += local[k];
                }
            }
        }
        for &node in nodes.iter().rev() {
            let slot = self.now(node);
            local.clear();
            local.extend(slot.dofs.iter().map(|&d| x[d as usize]));
            slot.front.backward(&mut local);
            for (k, &dof) in slot.dofs[..slot.front.own].iter().enumerate() {
                x[dof as usize] = local[k];
            }
        }
    }
}

/// Children before parents: nodes are numbered so by construction.
fn order(tree: &Dissection) -> Vec<usize> {
    (0..tree.nodes.len()).collect()
}
