//! The load cases of a stage: what it weighs, and what pushes it sideways.
//!
//! - *Weight*: what the take-down brings to each head, half of a post's own weight there and half
//!   at its foot.
//! - *Lateral*, each way along each axis of each block: at every head at once the greater of the
//!   notional share and the wind. One worker's push acts at one head at a time and is the push
//!   test's affair, not added at all heads together.

use super::Heads;
use super::idealise::StageFrame;
use crate::assembly::model::{Assembly, JointKind, MemberId};
use crate::chunks::Chunks;
use crate::loads::LoadState;
use crate::mechanics::frame::LoadCase;

/// Plan directions the stage is pushed in: unit vectors, each with its opposite understood.
#[must_use]
pub fn axes(assembly: &Assembly) -> Vec<[f64; 2]> {
    let mut angles: Vec<f64> = assembly
        .scene
        .blocks
        .iter()
        .map(|b| b.turned.si().rem_euclid(std::f64::consts::FRAC_PI_2))
        .collect();
    if angles.is_empty() {
        angles.push(0.0);
    }
    angles.sort_by(f64::total_cmp);
    angles.dedup_by(|b, a| (*b - *a).abs() < 1e-6);
    angles.into_iter().flat_map(|a| [[a.cos(), a.sin()], [-a.sin(), a.cos()]]).collect()
}

/// Downward force at a post's head: what it carries, and half of its own weight. Newtons.
#[must_use]
pub fn head_weight(assembly: &Assembly, loads: &LoadState, post: MemberId) -> f64 {
    let tiers: f64 = assembly
        .joints_of(post)
        .iter()
        .map(|&j| assembly.joint(j))
        .filter(|j| j.kind == JointKind::Splice && j.carrier == Some(post))
        .map(|j| loads.passed[j.id.index()])
        .sum();
    loads.at_foot[post.index()] - tiers - 0.5 * assembly.member(post).weight
}

/// The weight of the stage: by post of the frame what acts at its head, and at its foot.
#[must_use]
pub fn weight(assembly: &Assembly, loads: &LoadState, frame: &StageFrame) -> LoadCase {
    let mut case = LoadCase::default();
    for (&post, chain) in frame.posts.iter() {
        let (Some(&(_, foot)), Some(&(_, head))) = (chain.first(), chain.last()) else { continue };
        let own = assembly.member(post).weight;
        case.nodal.push((head, down(head_weight(assembly, loads, post))));
        case.nodal.push((foot, down(0.5 * own)));
    }
    case
}

/// The same, told from the weight of a stage before with the same frame.
#[must_use]
pub(super) fn weight_like(
    assembly: &Assembly,
    loads: &LoadState,
    frame: &StageFrame,
    (before, borne): (&LoadCase, &Borne),
) -> LoadCase {
    let mut case = before.clone();
    let at_feet = loads.at_foot.differences(&borne.at_foot);
    let posts = at_feet.filter_map(|index| assembly.members.get(index)).map(|member| member.id);
    let passed = loads.passed.differences(&borne.passed).filter_map(|j| assembly.joints.get(j));
    let tiers = passed.filter(|j| j.kind == JointKind::Splice).filter_map(|j| j.carrier);
    for post in posts.chain(tiers) {
        // Two of each post, as in [`weight`].
        let head = frame.posts.place(post).and_then(|place| case.nodal.get_mut(2 * place));
        if let Some((_, force)) = head {
            *force = down(head_weight(assembly, loads, post));
        }
    }
    case
}

/// What of the loads the weight is made of.
#[derive(Clone, Debug)]
pub(super) struct Borne {
    at_foot: Chunks<f64>,
    passed: Chunks<f64>,
}

impl Borne {
    pub(super) fn of(loads: &LoadState) -> Self {
        Self { at_foot: loads.at_foot.clone(), passed: loads.passed.clone() }
    }
}

fn down(force: f64) -> [f64; 6] {
    [0.0, 0.0, -force, 0.0, 0.0, 0.0]
}

/// A horizontal force at a node.
#[must_use]
pub fn sideways(node: usize, direction: [f64; 2], force: f64) -> (usize, [f64; 6]) {
    (node, [direction[0] * force, direction[1] * force, 0.0, 0.0, 0.0, 0.0])
}

/// By axis: all heads pushed along it.
#[must_use]
pub(super) fn pushes(assembly: &Assembly, heads: &[Heads]) -> Vec<LoadCase> {
    let push = |(axis, heads): ([f64; 2], &Heads)| LoadCase {
        nodal: heads.iter().map(|&(_, node, force)| sideways(node, axis, force)).collect(),
        uniform: Vec::new(),
    };
    axes(assembly).into_iter().zip(heads).map(push).collect()
}

/// Words for a direction: `+x`, `-y`, or its bearing from x.
#[must_use]
pub fn direction_words(direction: [f64; 2]) -> String {
    const AXES: [([f64; 2], &str); 4] =
        [([1.0, 0.0], "+x"), ([-1.0, 0.0], "-x"), ([0.0, 1.0], "+y"), ([0.0, -1.0], "-y")];
    AXES.iter()
        .find(|(axis, _)| (axis[0] - direction[0]).hypot(axis[1] - direction[1]) < 1e-6)
        .map_or_else(
            || format!("{:.0}° from x", direction[1].atan2(direction[0]).to_degrees()),
            |(_, words)| (*words).to_owned(),
        )
}
