//! From the movement of nodes to the movement of named members.

use super::idealise::{StageFrame, passes};
use crate::assembly::model::{Assembly, MemberId, Vector};
use crate::findings::{Motion, MovingMember};
use crate::mechanics::stage_model::Mechanism;
use crate::sequence::Stage;
use std::collections::BTreeMap;

/// A member counts as moving when an end moves by this share of the largest movement.
const MOVES: f64 = 0.02;

/// The displacement of each end of each member of the stage, metres, largest one 1.
///
/// Members of the frame move with their nodes. What merely lies on others moves with what carries
/// it: its ends follow the carriers at their stations, in the order sill, post, ledger, filler,
/// sheet.
#[must_use]
pub fn name_motion(
    assembly: &Assembly,
    stage: &Stage,
    frame: &StageFrame,
    nodes: &[[f64; 6]],
) -> (Vec<MemberId>, Motion) {
    let mut ends: BTreeMap<MemberId, [Vector; 2]> = BTreeMap::new();
    for (&post, chain) in frame.posts.iter() {
        let (Some(first), Some(last)) = (chain.first(), chain.last()) else { continue };
        ends.insert(post, [translation(nodes, first.1), translation(nodes, last.1)]);
    }
    for (k, &member) in frame.of.iter().enumerate() {
        if !frame.posts.contains_key(&member) {
            let bar = &frame.frame.members[k];
            follow_bar(assembly, frame, nodes, member, bar.i, bar.j, &mut ends);
        }
    }
    // Each pass reaches one layer further up: beams on posts, fillers on beams, sheets on those.
    for _ in 0..4 {
        let mut more: Vec<(MemberId, [Vector; 2])> = Vec::new();
        for member in &assembly.members {
            if ends.contains_key(&member.id) || !stage.stands(member.id) {
                continue;
            }
            if let Some(moved) = follow_carriers(assembly, stage, member.id, &ends) {
                more.push((member.id, moved));
            }
        }
        if more.is_empty() {
            break;
        }
        ends.extend(more);
    }
    let largest = ends.values().flatten().map(Vector::norm).fold(0.0, f64::max);
    if largest <= 0.0 {
        return (Vec::new(), Motion::default());
    }
    let moving: Vec<(MemberId, [Vector; 2])> = ends
        .into_iter()
        .filter(|(_, e)| e.iter().any(|v| v.norm() > MOVES * largest))
        .map(|(id, e)| (id, e.map(|v| v / largest)))
        .collect();
    let motion = Motion {
        members: moving
            .iter()
            .map(|(id, e)| MovingMember {
                name: assembly.name(*id).to_owned(),
                first_end: e[0].into(),
                second_end: e[1].into(),
            })
            .collect(),
    };
    (moving.into_iter().map(|(id, _)| id).collect(), motion)
}

/// A mechanism of the frame in the words of the assembly.
#[must_use]
pub fn name_mechanism(
    assembly: &Assembly,
    stage: &Stage,
    frame: &StageFrame,
    nodes: &[[f64; 6]],
) -> Mechanism {
    let (members, motion) = name_motion(assembly, stage, frame, nodes);
    let mut direction = [0.0, 0.0];
    let mut largest = 0.0;
    for node in nodes {
        let plan = node[0].hypot(node[1]);
        if plan > largest {
            largest = plan;
            direction = [node[0] / plan, node[1] / plan];
        }
    }
    // One of the two senses, always the same one.
    if direction[0] < -1e-9 || (direction[0].abs() <= 1e-9 && direction[1] < 0.0) {
        direction = [-direction[0], -direction[1]];
    }
    Mechanism { members, direction, motion }
}

fn translation(nodes: &[[f64; 6]], node: usize) -> Vector {
    Vector::new(nodes[node][0], nodes[node][1], nodes[node][2])
}

/// Ends of a bar's member: the member may run on past its nodes.
fn follow_bar(
    assembly: &Assembly,
    frame: &StageFrame,
    nodes: &[[f64; 6]],
    member: MemberId,
    i: usize,
    j: usize,
    ends: &mut BTreeMap<MemberId, [Vector; 2]>,
) {
    let data = assembly.member(member);
    let nearest = |end: usize| {
        let to = |n: usize| (frame.frame.nodes[n] - data.ends[end]).norm();
        if to(i) <= to(j) { (i, to(i)) } else { (j, to(j)) }
    };
    let entry = ends.entry(member);
    match entry {
        std::collections::btree_map::Entry::Vacant(slot) => {
            slot.insert([translation(nodes, nearest(0).0), translation(nodes, nearest(1).0)]);
        }
        std::collections::btree_map::Entry::Occupied(mut slot) => {
            // A further bar of the same member: it ends the member if it lies nearer to that end.
            let (far, distance) = nearest(1);
            if distance < data.length() * 0.25 {
                slot.get_mut()[1] = translation(nodes, far);
            }
        }
    }
}

/// Movement of a member that lies on others: the line through its first and last carriers.
fn follow_carriers(
    assembly: &Assembly,
    stage: &Stage,
    member: MemberId,
    ends: &BTreeMap<MemberId, [Vector; 2]>,
) -> Option<[Vector; 2]> {
    let mut on: Vec<(f64, Vector)> = assembly
        .joints_of(member)
        .iter()
        .copied()
        .filter_map(|j| {
            let joint = assembly.joint(j);
            let carrier = joint.carrier.filter(|_| joint.member == member)?;
            passes(assembly, stage, j)?;
            let moved = ends.get(&carrier)?;
            let length = assembly.member(carrier).length();
            let share = if length > 0.0 { joint.carrier_at / length } else { 0.0 };
            Some((joint.member_at, moved[0] * (1.0 - share) + moved[1] * share))
        })
        .collect();
    on.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (first, last) = (on.first()?, on.last()?);
    Some([first.1, last.1])
}
