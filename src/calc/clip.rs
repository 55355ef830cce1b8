//! Hold-down clips: the pull that is asked of them against what they hold.

use super::{At, no_part};
use crate::assembly::{Joint, JointKind, Member, MemberId};
use crate::capacity::allowed::{Stated, allowed};
use crate::capacity::{Kind, Missing, Use, Work, used};
use crate::sequence::JointState;

/// A clip in use.
#[derive(Clone, Debug)]
pub struct ClipUse {
    pub clip: MemberId,
    pub usage: Use,
    /// The beam it holds down, and the post it holds it to.
    pub beam: MemberId,
    pub post: MemberId,
}

/// The pull of the loads that are there on a clip that is home; none where nothing pulls.
///
/// # Errors
/// Where the part is not known or does not say what its number means.
pub fn clip(w: &mut Work, at: &At<'_>, member: &Member) -> Result<Option<ClipUse>, Missing> {
    match at.assembly.joints.iter().find(|j| j.clip == Some(member.id)) {
        Some(joint) => clip_joint(w, at, joint),
        None => Ok(None),
    }
}

/// The same from the joint that the clip makes.
///
/// # Errors
/// As [`clip`].
pub fn clip_joint(w: &mut Work, at: &At<'_>, joint: &Joint) -> Result<Option<ClipUse>, Missing> {
    let Some(clip) = joint.clip.filter(|_| joint.kind == JointKind::Clip) else { return Ok(None) };
    let member = at.assembly.member(clip);
    let (beam, Some(post)) = (joint.member, joint.carrier) else { return Ok(None) };
    if at.stage.joint(joint.id) != JointState::Locked {
        return Ok(None);
    }
    let pull = at
        .assembly
        .joints_of(beam)
        .iter()
        .map(|&j| at.assembly.joint(j))
        .filter(|j| j.kind == JointKind::Head && j.member == beam && j.carrier == Some(post))
        .map(|j| (-at.loads.passed[j.id.index()]).max(0.0))
        .fold(0.0, f64::max);
    if pull == 0.0 {
        return Ok(None);
    }
    let part = at.assembly.library.clips.get(&member.part).ok_or_else(|| no_part(&member.part))?;
    w.section(|| format!("{}: pull", member.name));
    let source = "loads of the stage, by the lever of the overhang";
    let demand = w.given("T", "pull of the beam", pull, Kind::Force, source);
    let stated = Stated {
        part: &member.part,
        symbol: "U_d",
        meaning: "what the clip holds down",
        si: part.uplift.si(),
        kind: Kind::Force,
    };
    let capacity = allowed(w, at.pack, part.basis, stated, "U_a")?;
    Ok(Some(ClipUse { clip, usage: used(w, &demand, &capacity), beam, post }))
}
