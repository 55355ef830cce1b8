//! The bars of a stage as the oracles read them, by a code of their own.

use standwell::assembly::{Assembly, JointKind, MemberId, Role};
use standwell::sequence::{JointState, MemberState, Stage};
use std::collections::BTreeMap;

/// Station along the bar, the post there (by its number) with the station on it, and the place; no
/// post where the bar is tied to something fixed.
pub type End = (f64, Option<(usize, f64)>, nalgebra::Point3<f64>);

/// Whether a member stands and is whole.
pub fn standing(assembly: &Assembly, stage: &Stage, m: MemberId) -> bool {
    stage.members[m.index()] == MemberState::Standing && !assembly.member(m).damaged
}

/// Numbers of the posts that stand.
pub fn posts(assembly: &Assembly, stage: &Stage) -> BTreeMap<MemberId, usize> {
    let is_post = |m: &&standwell::assembly::Member| matches!(m.role, Role::Post | Role::Prop);
    let all = assembly.members.iter().filter(is_post);
    let up = all.filter(|m| standing(assembly, stage, m.id));
    up.enumerate().map(|(k, m)| (m.id, k)).collect()
}

/// The ends, in their order along it, of every bar that passes a push and a pull.
pub fn bars(
    assembly: &Assembly,
    stage: &Stage,
    posts: &BTreeMap<MemberId, usize>,
) -> Vec<Vec<End>> {
    let mut out = Vec::new();
    for member in assembly.members.iter().filter(|m| standing(assembly, stage, m.id)) {
        let bar = matches!(
            member.role,
            Role::Ledger
                | Role::Joist
                | Role::DropBeam
                | Role::PlanBrace
                | Role::Brace
                | Role::TieIn
        );
        if !bar || member.tension_only {
            continue;
        }
        let mut ends: Vec<End> = Vec::new();
        for joint in assembly.joints.iter().filter(|j| j.member == member.id) {
            let passes = match stage.joints[joint.id.index()] {
                JointState::Open => continue,
                JointState::Hung => joint.hung,
                JointState::Locked => joint.locked,
                JointState::Lowered => joint.lowered,
            };
            if !passes.along {
                continue;
            }
            match (joint.kind, joint.carrier) {
                (JointKind::Tie, _) => ends.push((joint.member_at, None, joint.at)),
                (JointKind::Head | JointKind::Coupler, Some(post)) => {
                    let Some(&k) = posts.get(&post) else { continue };
                    let at = assembly.member(post).at(joint.carrier_at);
                    ends.push((joint.member_at, Some((k, joint.carrier_at)), at));
                }
                _ => {}
            }
        }
        ends.sort_by(|a, b| a.0.total_cmp(&b.0));
        out.push(ends);
    }
    out
}
