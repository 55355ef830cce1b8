//! Parts that act one way: braces that only pull, struts that only push, feet that only bear.
//!
//! A frame with such parts is split: what acts both ways may move as its null motions say
//! ([`super::mechanisms`]); on those few motions the one-way parts act as rays of force, each of
//! which may grow but not turn round. Equilibrium of the whole is then a small linear program.

use super::answers::Unknown;
use super::frame::{Frame, FrameError, LoadCase};
use super::mechanisms;
use crate::assembly::model::Vector;

/// A part that acts one way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OneWay {
    /// The member pulls and never pushes; bending, if it has any, counts as none.
    Pulls { member: usize },
    /// The member pushes and never pulls.
    Pushes { member: usize },
    /// The node's vertical support bears upward and never pulls; its horizontal supports hold up
    /// to `friction` times what it bears. Rotations stay as the support says.
    Bears { node: usize, friction: f64 },
}

/// Sides of the polygon drawn inside the circle of friction: 2 % on the safe side.
pub(super) const SIDES: usize = 16;

/// Forces on nodes that a part can exert: these, times anything not negative.
pub(super) type Ray = Vec<(usize, [f64; 3])>;

/// The two-way part of a frame, by its free motions, and the rays of the rest.
#[derive(Clone, Debug)]
pub(super) struct Split {
    /// Per free motion, per node.
    pub motions: Vec<Vec<[f64; 6]>>,
    pub rays: Vec<Ray>,
}

/// Says whether the one-way parts fit the frame. One that pulls or pushes off its nodes' axis is
/// refused: a node that it alone keeps from turning would count as held.
pub(super) fn check(frame: &Frame, parts: &[OneWay]) -> Result<(), FrameError> {
    for part in parts {
        match *part {
            OneWay::Pulls { member } | OneWay::Pushes { member } => {
                let count = frame.members.len();
                if member >= count {
                    return Err(FrameError::LoadIndex { what: "member", index: member, count });
                }
                if frame.members[member].arms.is_some() {
                    return Err(FrameError::ArmOneWay { member });
                }
            }
            OneWay::Bears { node, friction } => {
                let count = frame.nodes.len();
                if node >= count {
                    return Err(FrameError::LoadIndex { what: "node", index: node, count });
                }
                if !(friction.is_finite() && friction >= 0.0) {
                    return Err(FrameError::LoadNotFinite {
                        what: "friction at node",
                        index: node,
                    });
                }
            }
        }
    }
    Ok(())
}

/// Splits a frame.
pub(super) fn split(frame: &Frame, parts: &[OneWay]) -> Result<Split, Unknown> {
    frame.check()?;
    check(frame, parts)?;
    let mut two_way = frame.clone();
    let mut taken = vec![false; frame.members.len()];
    let mut rays: Vec<Ray> = Vec::new();
    for part in parts {
        let own: Vec<Ray> = match *part {
            OneWay::Pulls { member } => {
                taken[member] = true;
                vec![pull(frame, member, 1.0)]
            }
            OneWay::Pushes { member } => {
                taken[member] = true;
                vec![pull(frame, member, -1.0)]
            }
            OneWay::Bears { node, friction } => {
                for support in two_way.supports.iter_mut().filter(|s| s.node == node) {
                    support.fixed[..3].fill(false);
                }
                bearing(node, friction)
            }
        };
        rays.extend(own);
    }
    let mut kept = taken.iter().map(|t| !t);
    two_way.members.retain(|_| kept.next().unwrap_or(true));
    let found = mechanisms::find_in(&two_way);
    found.count?;
    let mut motions = found.motions;
    add_lone_nodes(frame, &two_way, &mut motions);
    Ok(Split { motions, rays })
}

/// Nodes that only one-way members are joined to move freely.
fn add_lone_nodes(frame: &Frame, two_way: &Frame, motions: &mut Vec<Vec<[f64; 6]>>) {
    let mut used = vec![false; frame.nodes.len()];
    let mut joined = vec![false; frame.nodes.len()];
    for member in &two_way.members {
        (used[member.i], used[member.j]) = (true, true);
    }
    for member in &frame.members {
        (joined[member.i], joined[member.j]) = (true, true);
    }
    for spring in &two_way.springs {
        used[spring.node] |= spring.k.iter().any(|k| *k > 0.0);
    }
    for node in (0..used.len()).filter(|n| joined[*n] && !used[*n]) {
        for axis in 0..3 {
            if two_way.supports.iter().any(|s| s.node == node && s.fixed[axis]) {
                continue;
            }
            let mut motion = vec![[0.0; 6]; frame.nodes.len()];
            motion[node][axis] = 1.0;
            motions.push(motion);
        }
    }
}

fn pull(frame: &Frame, member: usize, sign: f64) -> Ray {
    let m = &frame.members[member];
    let along = frame.run(member).normalize() * sign;
    vec![(m.i, along.into()), (m.j, (-along).into())]
}

fn bearing(node: usize, friction: f64) -> Vec<Ray> {
    if friction == 0.0 {
        return vec![vec![(node, [0.0, 0.0, 1.0])]];
    }
    (0..SIDES)
        .map(|side| {
            let turn = std::f64::consts::TAU * side as f64 / SIDES as f64;
            vec![(node, [friction * turn.cos(), friction * turn.sin(), 1.0])]
        })
        .collect()
}

/// Work of a ray on a motion.
pub(super) fn ray_work(ray: &Ray, motion: &[[f64; 6]]) -> f64 {
    ray.iter().map(|(node, f)| (0..3).map(|a| f[a] * motion[*node][a]).sum::<f64>()).sum()
}

/// Work of a load case on a motion; uniform loads as on a member that stays straight.
pub(super) fn load_work(frame: &Frame, case: &LoadCase, motion: &[[f64; 6]]) -> f64 {
    let mut work = 0.0;
    for (node, load) in &case.nodal {
        work += load.iter().zip(&motion[*node]).map(|(f, u)| f * u).sum::<f64>();
    }
    for (member, load) in &case.uniform {
        let half = frame.length(*member) / 2.0;
        let moved = frame.end_moved(*member, 0, motion) + frame.end_moved(*member, 1, motion);
        work += half * moved.dot(&Vector::from(*load));
    }
    work
}
