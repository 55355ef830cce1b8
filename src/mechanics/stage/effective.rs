//! Critical compression and effective length of a post, from its holds and their stiffness.
//!
//! Two ways to give way are put together: bowing between its holds, all of them taken as rigid
//! (the exact lowest factor of its own pieces), and going over sideways with what holds it, from
//! the drift when every post leans alike. That drift angle θ under a lean φ gives the factor φ/θ:
//! for posts that lean on a storey this is the factor of EN 1993-1-1 5.2.1, (H/V)·(h/δ) (from
//! memory), and since a push never moves a head against itself the largest drift of a connected
//! piece bounds the sway factor of all of it from below (Collatz and Wielandt, from memory).
//! Their critical loads add up as 1/N = 1/N₁ + 1/N₂ (Föppl and Papkovich, from memory), which is
//! never more than either. Held against the exact lowest factor of whole stages in the tests.

use super::idealise::StageFrame;
use crate::assembly::MemberId;
use crate::assembly::model::{Point, Vector};
use crate::mechanics::frame::{ElementForm, Frame, FrameMember, MemberKind, Section, Support};
use crate::mechanics::memo::Memo;
use crate::mechanics::model::Model;
use std::collections::BTreeMap;

/// A bar holds sideways where this share of its run lies along the direction.
const ALONG: f64 = 0.1;
/// A bar no steeper than this is level.
const LEVEL: f64 = 0.1;

/// Length of the uniform pin-ended column of this stiffness that buckles at this load.
///
/// `ei` in N·m², `critical` in newtons; metres. Zero critical load: infinite.
#[must_use]
pub fn effective_length(ei: f64, critical: f64) -> f64 {
    std::f64::consts::PI * (ei / critical).sqrt()
}

/// Critical loads of posts between rigid holds, kept by what they depend on.
#[derive(Clone, Debug, Default)]
pub struct Columns(Memo<Vec<u64>, Option<f64>, MOST>);

/// Kept at most.
const MOST: usize = 20_000;

impl Columns {
    /// Compression at which a column of `(length, EI)` pieces from its foot, pinned there and held
    /// sideways at the upper ends marked, buckles. `None`: nothing holds it, or it could not be
    /// found.
    pub fn critical(&mut self, pieces: &[(f64, f64)], held: &[bool]) -> Option<f64> {
        if !held.contains(&true) || held.len() != pieces.len() {
            return None;
        }
        let mut key = Vec::with_capacity(3 * pieces.len());
        for ((length, ei), held) in pieces.iter().zip(held) {
            key.extend([length.to_bits(), ei.to_bits(), u64::from(*held)]);
        }
        self.0.of(key, || column(pieces, held))
    }
}

fn column(pieces: &[(f64, f64)], held: &[bool]) -> Option<f64> {
    let mut frame = Frame::default();
    let mut height = 0.0;
    frame.nodes.push(Point::origin());
    frame.supports.push(Support { node: 0, fixed: [true, true, true, true, false, true] });
    for (k, ((length, ei), held)) in pieces.iter().zip(held).enumerate() {
        height += length;
        frame.nodes.push(Point::new(0.0, 0.0, height));
        let fixed = [*held, true, false, true, false, true];
        frame.supports.push(Support { node: k + 1, fixed });
        // Axial stiffness takes no part: any will do.
        let a = ei / (length * length);
        frame.sections.push(Section { e: 1.0, g: 1.0, a, iy: *ei, iz: *ei, j: *ei });
        frame.members.push(FrameMember::beam(k, k + 1, k, Vector::x()));
    }
    let model = Model::new(&frame, ElementForm::Exact, &[]).ok()?;
    let axial = vec![-1.0; pieces.len()];
    let lowest = model.lowest(&axial, 1).ok()?;
    lowest.first().map(|mode| mode.factor)
}

/// By node: whether it is held in a direction, by a level bar, and by any bar. What is fixed sideways above
/// its foot, a head secured to a slab, is held in every direction.
pub(super) fn held_nodes(frame: &StageFrame, axis: [f64; 2]) -> [Vec<bool>; 2] {
    let count = frame.frame.nodes.len();
    let mut head = vec![false; count];
    for chain in frame.posts.values() {
        chain.last().into_iter().for_each(|n| head[n.1] = true);
    }
    let mut out = [vec![false; count], vec![false; count]];
    for support in &frame.frame.supports {
        if support.fixed[0] && support.fixed[1] && !support.fixed[2] && head[support.node] {
            out.iter_mut().for_each(|held| held[support.node] = true);
        }
    }
    for bar in frame.frame.members.iter().filter(|m| m.kind == MemberKind::Bar) {
        let run = frame.frame.nodes[bar.j] - frame.frame.nodes[bar.i];
        let length = run.norm();
        if (run.x * axis[0] + run.y * axis[1]).abs() > ALONG * length {
            let level = run.z.abs() <= LEVEL * length;
            for node in [bar.i, bar.j] {
                out[0][node] |= level;
                out[1][node] = true;
            }
        }
    }
    out
}

/// Critical compression of each post between its holds taken as rigid; posts that nothing holds in
/// this direction are left out.
pub(super) fn between_holds(
    frame: &StageFrame,
    columns: &mut Columns,
    axis: [f64; 2],
) -> BTreeMap<MemberId, f64> {
    let [level, any] = held_nodes(frame, axis);
    let mut out = BTreeMap::new();
    for (&post, chain) in frame.posts.iter() {
        let Some(members) = frame.of_post.get(&post) else { continue };
        let holds = if chain.last().is_some_and(|n| level[n.1]) { &level } else { &any };
        let held: Vec<bool> = chain.iter().skip(1).map(|(_, node)| holds[*node]).collect();
        let pieces: Vec<(f64, f64)> = members
            .clone()
            .map(|k| {
                let section = &frame.frame.sections[frame.frame.members[k].section];
                (frame.frame.length(k), section.e * section.iy.min(section.iz))
            })
            .collect();
        if let Some(critical) = columns.critical(&pieces, &held) {
            out.insert(post, critical);
        }
    }
    out
}

/// By node: a number of the connected piece that it is in.
pub(super) fn connected(frame: &StageFrame) -> Vec<usize> {
    let mut sets = petgraph::unionfind::UnionFind::new(frame.frame.nodes.len());
    for member in &frame.frame.members {
        sets.union(member.i, member.j);
    }
    sets.into_labeling()
}

/// Largest drift angle of the connected piece of each post, when all posts lean alike.
pub(super) fn drift(
    frame: &StageFrame,
    label: &[usize],
    moved: &[[f64; 6]],
    axis: [f64; 2],
    left_out: &dyn Fn(MemberId) -> bool,
) -> BTreeMap<MemberId, f64> {
    let mut largest: BTreeMap<usize, f64> = BTreeMap::new();
    for (&post, chain) in frame.posts.iter() {
        let (Some(foot), Some(head)) = (chain.first(), chain.last()) else { continue };
        if left_out(post) {
            continue;
        }
        let along = |node: usize| moved[node][0] * axis[0] + moved[node][1] * axis[1];
        let angle = (along(head.1) - along(foot.1)).abs() / (head.0 - foot.0);
        let own = largest.entry(label[head.1]).or_default();
        // `max` would pass over what is not a number.
        if !(angle <= *own) {
            *own = angle;
        }
    }
    frame
        .posts
        .iter()
        .filter_map(|(&post, chain)| Some((post, *largest.get(&label[chain.last()?.1])?)))
        .collect()
}

/// What a post stands in compression, from both ways to give way. Zero where it is not held.
pub(super) fn critical(between: Option<f64>, compression: f64, lean: f64, drift: f64) -> f64 {
    let Some(between) = between else { return 0.0 };
    // Drift per lean is the compression over the sideways critical one.
    let critical = 1.0 / (1.0 / between + drift / (lean * compression));
    if critical.is_finite() { critical } else { 0.0 }
}
