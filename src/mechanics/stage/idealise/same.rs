//! Whether two stages are one frame, told from what differs between them.
//!
//! Sheets, fillers and clips are not in a frame but through the bays of deck that keep their shape; what
//! is held by hand, and a joint of which no member stands, is not in it at all. Where anything else
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
    let members = now.members.differences(&before.members).all(|index| {
        let id = assembly.members[index].id;
        let role = assembly.member(id).role;
        beside(role) || (role != Role::Sill && before.stands(id) == now.stands(id))
    });
    let joints = now.joints.differences(&before.joints).all(|index| {
        let joint = &assembly.joints[index];
        // A sill bears its post while it is held, too.
        let counts = |id: MemberId| stands(id) || assembly.member(id).role == Role::Sill;
        matches!(joint.kind, JointKind::Rest | JointKind::Clip)
            || !(counts(joint.member) || joint.carrier.is_some_and(counts))
    });
    members
        && joints
        && before.strip.secured == now.strip.secured
        && same_bays(assembly, before, now)
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
