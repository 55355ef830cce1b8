//! A strand eliminated: its fronts, each with all that it was made of, and where their unknowns lie.

use super::answers::Answers;
use super::factor::Piece;
use super::front::{Front, Pivots};
use super::packed::Packed;
use super::passes::Passes;
use super::shapes::Shape;
use super::strands::kinds_first;
use std::sync::{Arc, Mutex};

/// One eliminated front with all that it was made of.
#[derive(Debug)]
pub(super) struct Made {
    /// A number of its own.
    pub version: u64,
    pub content: Vec<u64>,
    /// Own unknowns, then those of the boundary.
    pub dofs: Vec<u32>,
    pub front: Packed,
    pub pivots: Pivots,
}

/// A strand's factor.
#[derive(Debug)]
pub(super) struct Eliminated {
    pub shape: Arc<Shape>,
    /// Descriptions of its parts.
    pub described: Vec<u64>,
    /// By node of the shape.
    pub fronts: Vec<Arc<Made>>,
    /// Places of the fronts' unknowns in the strand, front by front, and where each begins.
    pub at: Vec<u32>,
    pub starts: Vec<usize>,
    pub pivots: Pivots,
    pub answers: Mutex<Answers>,
    pub passes: Mutex<Passes>,
}

/// Places of the unknowns of fronts, and where each front begins; one more is the end.
pub(super) fn places(fronts: &[Arc<Made>], place: impl Fn(u32) -> u32) -> (Vec<u32>, Vec<usize>) {
    let (mut at, mut starts) = (Vec::new(), vec![0]);
    for made in fronts {
        at.extend(made.dofs.iter().map(|&unknown| place(unknown)));
        starts.push(at.len());
    }
    (at, starts)
}

impl Eliminated {
    /// By front of a strand that was of this shape before: which of these it is.
    pub(super) fn was(&self, shape: &Shape, fronts: &[Arc<Made>]) -> Vec<Option<usize>> {
        let was = fronts.iter().enumerate().map(|(k, made)| {
            shape.place_in(&self.shape, k).filter(|at| Arc::ptr_eq(&self.fronts[*at], made))
        });
        was.collect()
    }

    /// As [`places`], where fronts were these.
    pub(super) fn places(
        &self,
        was: &[Option<usize>],
        fronts: &[Arc<Made>],
        place: impl Fn(u32) -> u32,
    ) -> (Vec<u32>, Vec<usize>) {
        let moved: Vec<u32> = self.shape.own.iter().map(|unknown| place(*unknown)).collect();
        let mut at = Vec::with_capacity(self.at.len() + self.at.len() / 16);
        let mut starts = Vec::with_capacity(fronts.len() + 1);
        starts.push(0);
        for (was, made) in was.iter().zip(fronts) {
            match *was {
                Some(was) => {
                    let known = &self.at[self.starts[was]..self.starts[was + 1]];
                    at.extend(known.iter().map(|at| moved[*at as usize]));
                }
                None => at.extend(made.dofs.iter().map(|&unknown| place(unknown))),
            }
            starts.push(at.len());
        }
        (at, starts)
    }
}

/// All that a front is made of: how many unknowns it has of its own, the versions of its children, its
/// unknowns, and its parts.
pub(super) fn content(
    shape: &Shape,
    k: usize,
    described: &[u64],
    fronts: &[Arc<Made>],
) -> Vec<u64> {
    let node = &shape.nodes[k];
    let children = shape.children(k);
    let count = 1 + children.len() + node.own.len() + 3 * node.parts.len();
    let mut content = Vec::with_capacity(count);
    content.push((node.own.len() as u64) << 32 | children.len() as u64);
    content.extend(children.iter().map(|&c| fronts[c as usize].version));
    content.extend(shape.own[node.own.clone()].iter().map(|&d| u64::from(d)));
    for part in node.parts.clone() {
        content.extend(shape.words[part]);
        content.push(described[part]);
    }
    content
}

impl Made {
    pub(super) fn new(
        version: u64,
        content: Vec<u64>,
        own: &[u32],
        pieces: Vec<Piece>,
        children: &[&Self],
        room: &mut Vec<f64>,
    ) -> Self {
        let place_of = |dof: u32| own.binary_search_by_key(&kinds_first(dof), |d| kinds_first(*d));
        let mut boundary: Vec<u32> = Vec::new();
        for piece in &pieces {
            boundary.extend(piece.dofs.iter().filter(|d| place_of(**d).is_err()));
        }
        for child in children {
            boundary
                .extend(child.dofs[child.front.own..].iter().filter(|d| place_of(**d).is_err()));
        }
        boundary.sort_unstable_by_key(|dof| kinds_first(*dof));
        boundary.dedup();
        let after = |dof: u32| boundary.partition_point(|b| kinds_first(*b) < kinds_first(dof));
        let place = |dof: u32| place_of(dof).unwrap_or_else(|_| own.len() + after(dof));
        let n = own.len() + boundary.len();
        let mut front = Front::in_room(n, own.len(), std::mem::take(room));
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
        for child in children {
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
        let mut dofs = own.to_vec();
        dofs.extend(boundary);
        let packed = Packed::new(&front);
        *room = front.values;
        Self { version, content, dofs, front: packed, pivots }
    }
}
