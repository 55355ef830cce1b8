//! Posts that swing once their foot has lifted.
//!
//! A post with a lifted foot turns about its head, freely in every direction in which no bar meets
//! it below the head. That motion is known without asking the whole frame. It is written down with
//! a pin at the foot that stops it; if the frame with these pins is rigid, there are no others: as
//! many motions as pins, each of which strains nothing, and none left when they are stopped.

use super::idealise::StageFrame;
use crate::mechanics::frame::{Dof, LoadCase, MemberKind};
use std::collections::{BTreeMap, BTreeSet};

/// Directions closer than this are one; a bar strained less than this by a unit motion is not.
const SAME: f64 = 1e-9;
/// Work on a motion above this share of the largest load moves it.
const WORKS: f64 = 1e-6;

/// A free motion of one post, with what stops it.
pub(super) struct Swing {
    pub pin: Dof,
    motion: Vec<(usize, [f64; 6])>,
}

/// A case's forces by node, and the largest of them.
pub(super) struct Forces {
    by_node: Vec<[f64; 6]>,
    largest: f64,
}

impl Forces {
    pub(super) fn new(frame: &StageFrame, case: &LoadCase) -> Self {
        let mut by_node = vec![[0.0; 6]; frame.frame.nodes.len()];
        let mut largest = 0.0f64;
        for (node, force) in &case.nodal {
            for (sum, f) in by_node[*node].iter_mut().zip(force) {
                *sum += f;
                largest = largest.max(f.abs());
            }
        }
        Self { by_node, largest }
    }

    /// Whether they do work on a motion, given at the nodes that move.
    pub(super) fn move_it(&self, motion: &[(usize, [f64; 6])]) -> bool {
        let of = |(node, motion): &(usize, [f64; 6])| -> f64 {
            (0..6).map(|d| self.by_node[*node][d] * motion[d]).sum()
        };
        let work: f64 = motion.iter().map(of).sum();
        !(work.abs() <= WORKS * self.largest)
    }
}

impl Swing {
    /// Whether a case does work on it.
    pub(super) fn is_moved_by(&self, forces: &Forces) -> bool {
        forces.move_it(&self.motion)
    }
}

/// The swings of the posts whose feet have lifted. None where a post is not plainly of this kind.
pub(super) fn swings(frame: &StageFrame, lifted: &BTreeSet<usize>) -> Option<Vec<Swing>> {
    let whole = &frame.frame;
    // By node: the foot of the post that swings with it.
    let mut of: Vec<Option<usize>> = vec![None; whole.nodes.len()];
    for &foot in lifted {
        let chain = frame.posts.get(&frame.feet[foot].1)?;
        for &(_, node) in &chain[..chain.len().checked_sub(1)?] {
            if of[node].replace(foot).is_some() {
                return None;
            }
        }
    }
    let mut held: BTreeMap<usize, Vec<[f64; 2]>> = BTreeMap::new();
    for (k, member) in whole.members.iter().enumerate() {
        let (a, b) = (of[member.i], of[member.j]);
        if a.is_none() && b.is_none() {
            continue;
        }
        if member.kind != MemberKind::Bar {
            let own = |foot: usize| frame.of_post.get(&frame.feet[foot].1);
            if a.or(b).and_then(own).is_none_or(|pieces| !pieces.contains(&k)) {
                return None;
            }
            continue;
        }
        // Between two posts that swing it must hold neither.
        let run = whole.nodes[member.j] - whole.nodes[member.i];
        let run = run / run.norm();
        for foot in a.into_iter().chain(b) {
            held.entry(foot).or_default().push([run.x, run.y]);
        }
    }
    for support in &whole.supports {
        let Some(foot) = of[support.node] else { continue };
        let fixed = support.fixed;
        let is_foot = support.node == frame.feet[foot].0;
        if !is_foot && fixed[..5].iter().any(|f| *f) {
            return None;
        }
    }
    let mut out = Vec::new();
    for &foot in lifted {
        let free = match held.get(&foot).map(Vec::as_slice).unwrap_or_default() {
            [] => vec![[1.0, 0.0], [0.0, 1.0]],
            bars => {
                let size = |b: &[f64; 2]| b[0].hypot(b[1]);
                let first = bars.iter().max_by(|a, b| size(a).total_cmp(&size(b)))?;
                if size(first) < SAME {
                    // Nothing but along the post: not one of these.
                    return None;
                }
                let across = [-first[1] / size(first), first[0] / size(first)];
                let crossed =
                    bars.iter().any(|b| (b[0] * across[0] + b[1] * across[1]).abs() > SAME);
                if crossed { Vec::new() } else { vec![across] }
            }
        };
        for direction in free {
            out.push(swing(frame, foot, direction)?);
        }
    }
    Some(out)
}

fn swing(frame: &StageFrame, foot: usize, [vx, vy]: [f64; 2]) -> Option<Swing> {
    let (node, post) = frame.feet[foot];
    let chain = frame.posts.get(&post)?;
    let &(height, head) = chain.last()?;
    let run = frame.frame.nodes[head] - frame.frame.nodes[node];
    if !(run.x.hypot(run.y) <= SAME * run.z) {
        // Not upright.
        return None;
    }
    let motion = chain
        .iter()
        .map(|&(station, node)| {
            let share = (height - station) / height;
            (node, [vx * share, vy * share, 0.0, vy / height, -vx / height, 0.0])
        })
        .collect();
    let pin = (node, usize::from(vy.abs() > vx.abs()));
    Some(Swing { pin, motion })
}
