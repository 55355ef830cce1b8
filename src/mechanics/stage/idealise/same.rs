//! Whether two stages are one frame, told from what differs between them.
//!
//! Sheets, fillers and clips are not in a frame but through the bays of deck that keep their shape; what
//! is held by hand is not in it at all, nor is a joint to what does not stand, nor a ledger or
//! a brace until two posts that carry it stand. Where anything else
//! differs the frame may be another, and is to be made.
//!
//! Holds if: of every two stages in a row of the shipped scenes and of random sequences that are said
//! to be one frame, the frames are equal (`tests/review/kept.rs`).

use crate::assembly::model::{Assembly, JointKind, MemberId, Role};
use crate::restraint::diaphragm;
use crate::sequence::Stage;
use crate::sequence::changed::{Marks, above, touched};

/// Whether the frames of two stages of an assembly are the same for certain.
#[must_use]
pub fn is_same_frame(assembly: &Assembly, before: &Stage, now: &Stage) -> bool {
    let stands = |id: MemberId| before.stands(id) || now.stands(id);
    let beside = |role: Role| matches!(role, Role::Sheet | Role::Filler | Role::Clip);
    let spans = |id: MemberId| spans(assembly, id, stands);
    let members = now.members.differences(&before.members).all(|index| {
        let member = &assembly.members[index];
        let id = member.id;
        match member.role {
            // It bears the posts on it, once they stand.
            Role::Sill => !feet_on(assembly, id).any(stands),
            role if is_bar(role) => before.stands(id) == now.stands(id) || !spans(id),
            role => beside(role) || before.stands(id) == now.stands(id),
        }
    });
    let joints = now.joints.differences(&before.joints).all(|index| {
        let joint = &assembly.joints[index];
        // A sill bears the posts on it, once they stand.
        let counts = |id: MemberId| match assembly.member(id).role {
            Role::Sill => feet_on(assembly, id).any(stands),
            _ => stands(id),
        };
        let Some(carrier) = joint.carrier else { return !counts(joint.member) };
        // A head at the top of its post makes no node there.
        let makes_node = || {
            joint.kind == JointKind::Head && joint.carrier_at < assembly.member(carrier).length()
        };
        let is_bar = is_bar(assembly.member(joint.member).role);
        matches!(joint.kind, JointKind::Rest | JointKind::Clip)
            || !counts(carrier)
            || is_bar && !makes_node() && !spans(joint.member)
    });
    members
        && joints
        && before.strip.secured == now.strip.secured
        && same_bays(assembly, before, now)
}

/// Members that act between posts, and not at all where fewer than two that carry them stand.
fn is_bar(role: Role) -> bool {
    matches!(role, Role::Ledger | Role::Joist | Role::DropBeam | Role::PlanBrace | Role::Brace)
}

/// Whether two of those that carry a member stand.
fn spans(assembly: &Assembly, id: MemberId, stands: impl Fn(MemberId) -> bool) -> bool {
    let joints = assembly.joints_of(id).iter().map(|&joint| assembly.joint(joint));
    let fixed =
        joints.filter(|j| j.member == id && matches!(j.kind, JointKind::Head | JointKind::Coupler));
    fixed.filter(|j| j.carrier.is_some_and(&stands)).nth(1).is_some()
}

/// Members whose feet are on a sill.
fn feet_on(assembly: &Assembly, sill: MemberId) -> impl Iterator<Item = MemberId> + '_ {
    let joints = assembly.joints_of(sill).iter().map(|&joint| assembly.joint(joint));
    let feet = joints.filter(move |j| j.kind == JointKind::Foot && j.carrier == Some(sill));
    feet.map(|joint| joint.member)
}

/// Whether the same bays of deck keep their shape.
fn same_bays(assembly: &Assembly, before: &Stage, now: &Stage) -> bool {
    let mut near = Marks::none(assembly.members.len());
    for id in touched(assembly, before, now) {
        near.add(id);
    }
    near.spread(|id| above(assembly, id));
    assembly
        .deck_bays
        .iter()
        .filter(|bay| bay.sheets.iter().any(|&sheet| near.has(sheet)))
        .all(|bay| diaphragm::keeps(assembly, before, bay) == diaphragm::keeps(assembly, now, bay))
}
