//! What each post carries, and the connected pieces of what stands.

use crate::assembly::{Assembly, JointKind, Member, MemberId, Role};
use crate::chunks::Chunks;
use crate::loads::passes;
use crate::sequence::{JointState, Stage};
use petgraph::unionfind::UnionFind;
use std::sync::Arc;

/// Members from the deck down to each of these posts, itself, and on to the ground, in their order.
pub(super) fn carries(
    assembly: &Assembly,
    stage: &Stage,
    posts: impl Iterator<Item = MemberId>,
) -> Vec<(MemberId, Arc<[MemberId]>)> {
    let mut mark = vec![u32::MAX; assembly.members.len()];
    let mut out = Vec::new();
    for (round, post) in posts.enumerate() {
        let round = round as u32;
        let mut members = vec![post];
        mark[post.index()] = round;
        walk(assembly, stage, &mut members, &mut mark, round, true);
        let mut below = vec![post];
        walk(assembly, stage, &mut below, &mut mark, round, false);
        members.extend(&below[1..]);
        let height = |m: &MemberId| {
            let ends = &assembly.member(*m).ends;
            ends[0].z.max(ends[1].z)
        };
        let level = |m: &MemberId| match assembly.member(*m).role {
            Role::Sheet => 0,
            Role::Filler => 1,
            Role::Joist => 2,
            Role::Ledger | Role::DropBeam => 3,
            Role::Post | Role::Prop => 4,
            _ => 5,
        };
        members.sort_by(|a, b| {
            level(a).cmp(&level(b)).then(height(b).total_cmp(&height(a))).then(a.cmp(b))
        });
        out.push((post, members.into()));
    }
    out
}

/// Follows bearing joints up (what rests on it) or down (what it rests on).
fn walk(
    assembly: &Assembly,
    stage: &Stage,
    members: &mut Vec<MemberId>,
    mark: &mut [u32],
    round: u32,
    up: bool,
) {
    let mut next = members.len() - 1;
    while let Some(&here) = members.get(next) {
        next += 1;
        for &j in assembly.joints_of(here) {
            let joint = assembly.joint(j);
            let weight = matches!(
                joint.kind,
                JointKind::Head | JointKind::Rest | JointKind::Foot | JointKind::Splice
            );
            let other = if up {
                (joint.carrier == Some(here)).then_some(joint.member)
            } else {
                joint.carrier.filter(|_| joint.member == here)
            };
            let Some(other) = other.filter(|_| weight) else { continue };
            if mark[other.index()] != round && passes(assembly, stage, j).is_some_and(|p| p.bearing)
            {
                mark[other.index()] = round;
                members.push(other);
            }
        }
    }
}

/// By member that is there: the first of those that joints put together with it.
pub(super) fn pieces(assembly: &Assembly, stage: &Stage) -> Chunks<Option<MemberId>> {
    let mut joined = UnionFind::<u32>::new(assembly.members.len());
    let there: Vec<bool> = stage.members.iter().map(|state| state.is_there()).collect();
    for (joint, state) in assembly.joints.iter().zip(&stage.joints) {
        if let Some(carrier) = joint.carrier
            && *state != JointState::Open
            && there[joint.member.index()]
            && there[carrier.index()]
        {
            joined.union(joint.member.0, carrier.0);
        }
    }
    let mut first = vec![None; assembly.members.len()];
    let piece = |member: &Member| {
        there[member.id.index()]
            .then(|| *first[joined.find(member.id.0) as usize].get_or_insert(member.id))
    };
    assembly.members.iter().map(piece).collect()
}
