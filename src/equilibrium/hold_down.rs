//! What a support behind holds down, and what keeps its post on the ground.

use super::Context;
use crate::assembly::{Joint, JointId, MemberId};
use crate::loads::{clip_at, hold_down};

/// A support behind the one a member turns about.
#[derive(Clone, Debug)]
pub(super) struct Holder {
    pub lever: f64,
    pub clip: Option<JointId>,
    /// What the joint or clip passes by itself.
    pub strength: f64,
    pub post: Option<MemberId>,
    /// What keeps the post down.
    pub kept_down: f64,
    pub joined: bool,
    /// Weight that bears on its head from other members, and from which.
    pub bearing: f64,
    pub from: Vec<(MemberId, f64)>,
    /// Its own weight, where that hangs on it.
    pub own: f64,
}

impl Holder {
    /// The pull it really passes.
    pub fn holds(&self) -> f64 {
        self.strength.min(self.kept_down).max(0.0)
    }

    /// What keeps the post down apart from these members.
    pub fn kept_without(&self, members: &std::collections::BTreeSet<MemberId>) -> f64 {
        let others = self.from.iter().filter(|(by, _)| !members.contains(by));
        others.map(|(_, force)| force).sum::<f64>().max(0.0) + self.own
    }
}

/// Reads what a support holds.
pub(super) fn holder(ctx: &Context<'_>, joint: &Joint, lever: f64) -> Holder {
    let clip = clip_at(ctx.assembly, ctx.stage, joint.id).map(|(j, _)| j);
    let strength = hold_down(ctx.assembly, ctx.stage, joint.id);
    let post = joint.carrier.filter(|&c| ctx.assembly.member(c).is_post());
    let Some(post) = post else {
        // On a beam: what rests on it besides is not followed any further.
        let (kept_down, joined, bearing, own) = (0.0, false, 0.0, 0.0);
        let from = Vec::new();
        return Holder { lever, clip, strength, post: None, kept_down, joined, bearing, from, own };
    };
    let from: Vec<(MemberId, f64)> = ctx.lasting.on[post.index()]
        .iter()
        .filter(|l| l.centre >= 0.5 * ctx.assembly.member(post).length())
        .filter_map(|l| Some((l.by.filter(|&by| by != joint.member)?, l.force)))
        .collect();
    let bearing = from.iter().map(|(_, force)| force).sum::<f64>().max(0.0);
    let joined = joined_in_tension(ctx, post);
    let own = ctx.assembly.member(post).weight;
    let own = if joined && own.is_finite() && !ctx.stage.state(post).is_held() { own } else { 0.0 };
    let kept_down = bearing + own;
    Holder { lever, clip, strength, post: Some(post), kept_down, joined, bearing, from, own }
}

/// Whether a pull at the head reaches the foot: the post's tubes and its jack stay together. False
/// where the equipment does not say.
fn joined_in_tension(ctx: &Context<'_>, post: MemberId) -> bool {
    let member = ctx.assembly.member(post);
    let library = &ctx.assembly.library;
    let tubes = library.posts.get(&member.part).is_some_and(|p| p.joined_in_tension);
    let jack = member
        .jack
        .as_ref()
        .is_none_or(|(part, _)| library.jacks.get(part).is_some_and(|j| j.joined_in_tension));
    tubes && jack
}
