//! What several checks share: words for members, and the loose groups of a stage.

pub mod anew;
pub mod balance;
pub mod feet;
pub mod levels;
pub mod loose;
pub mod overhang;
pub mod placing;
pub mod plan;
pub mod pour_order;
pub mod usage;
pub mod words;

pub use loose::{LooseGroup, loose_groups};
pub use words::{bay, beam, list, posts, rule, seen, short};

use super::StageContext;
use crate::assembly::model::Member;
use crate::assembly::{Assembly, Joint, JointId, JointKind, MemberId, Role};
use crate::equipment::model::Passes;
use crate::findings::{Dimension, Measure};
use crate::sequence::{JointState, Stage};
use crate::units::UnitSystem;

/// The unit system of the scene.
#[must_use]
pub fn units(ctx: &StageContext<'_>) -> UnitSystem {
    ctx.assembly.scene.units
}

/// What a joint passes in its present state; nothing while open.
#[must_use]
pub fn passes(joint: &Joint, state: JointState) -> Option<&Passes> {
    match state {
        JointState::Open => None,
        JointState::Hung => Some(&joint.hung),
        JointState::Locked => Some(&joint.locked),
        JointState::Lowered => Some(&joint.lowered),
    }
}

/// Posts that are there with their hands off.
pub fn standing_posts<'a>(
    assembly: &'a Assembly,
    stage: &'a Stage,
) -> impl Iterator<Item = &'a Member> {
    assembly.members.iter().filter(|m| m.is_post() && stage.stands(m.id))
}

/// Joints of one kind in which the member takes part as the carried one.
pub fn carried_by(
    assembly: &Assembly,
    member: MemberId,
    kind: JointKind,
) -> impl Iterator<Item = &Joint> {
    assembly
        .joints_of(member)
        .iter()
        .map(|&j| assembly.joint(j))
        .filter(move |j| j.member == member && j.kind == kind)
}

/// Spanning members that run head to head and so may hold posts along themselves.
#[must_use]
pub fn runs_head_to_head(role: Role) -> bool {
    matches!(role, Role::Ledger | Role::Joist | Role::DropBeam)
}

/// Posts that a head-to-head member meets, by station, with the joint.
#[must_use]
pub fn heads_met(assembly: &Assembly, member: MemberId) -> Vec<(MemberId, JointId)> {
    carried_by(assembly, member, JointKind::Head)
        .filter_map(|j| j.carrier.map(|post| (post, j.id)))
        .collect()
}

/// A measure held against its limit.
#[must_use]
pub fn measure(
    what: impl Into<String>,
    measured: f64,
    limit: Option<f64>,
    at_least: bool,
    dimension: Dimension,
) -> Measure {
    Measure { what: what.into(), measured, limit, at_least, dimension }
}

/// Whether a value is less than its limit, or cannot be compared with it: what is not a number is
/// never good enough.
#[must_use]
pub fn below(value: f64, limit: f64) -> bool {
    value.partial_cmp(&limit).is_none_or(std::cmp::Ordering::is_lt)
}

/// Plan direction of a member; none if it stands upright or has no length.
#[must_use]
pub fn plan_direction(member: &Member) -> Option<[f64; 2]> {
    let d = member.ends[1] - member.ends[0];
    let length = d.x.hypot(d.y);
    (length > 1e-9 && length > 1e-3 * d.z.abs()).then(|| [d.x / length, d.y / length])
}

/// Whether two plan directions are nearly parallel, either way round.
#[must_use]
pub fn parallel(a: [f64; 2], b: [f64; 2]) -> bool {
    (a[0] * b[0] + a[1] * b[1]).abs() > 0.985
}
