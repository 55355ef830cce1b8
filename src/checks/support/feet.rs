//! Feet on the floor, for the checks of what lies under and beside them.

use super::super::StageContext;
use super::plan::Plan;
use crate::assembly::Member;
use crate::mechanics::stage::idealise::stands_on_ground;

/// A foot this far above a level still stands on it, metres: the thickest sill.
pub const ON_LEVEL: f64 = 0.35;

/// A post that stands on a floor.
#[derive(Clone, Copy)]
pub struct Foot<'a> {
    pub post: &'a Member,
    pub at: Plan,
    pub level: f64,
    /// Half of what it bears on: the sill's shorter side, or the plate; metres.
    pub half: f64,
}

/// All feet on floors, hands off or not, by name.
pub fn on_floors<'a>(ctx: &'a StageContext<'_>) -> impl Iterator<Item = Foot<'a>> {
    let (assembly, stage) = (ctx.assembly, ctx.stage);
    assembly
        .members
        .iter()
        .filter(move |m| {
            m.is_post() && stage.state(m.id).is_there() && stands_on_ground(assembly, stage, m.id)
        })
        .map(move |post| {
            let plate = assembly.library.posts.get(&post.part).map_or(0.0, |p| p.base_plate.si());
            let sill = assembly
                .joints_of(post.id)
                .iter()
                .filter_map(|&j| {
                    let joint = assembly.joint(j);
                    joint.carrier.filter(|_| joint.member == post.id)
                })
                .find_map(|sill| assembly.library.sills.get(&assembly.member(sill).part))
                .map(|s| s.size.0.si().min(s.size.1.si()));
            let foot = post.ends[0];
            Foot { post, at: [foot.x, foot.y], level: foot.z, half: 0.5 * sill.unwrap_or(plate) }
        })
}
