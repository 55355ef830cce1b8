//! A post whose foot stands on nothing, or half off its sill.

use super::support::{self, measure};
use super::{Source, StageContext};
use crate::assembly::model::Member;
use crate::assembly::{JointKind, Role};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Observation, Severity};
use crate::sequence::JointState;

crate::declare_hazard! {
    /// ## What it checks
    /// Whether each post that is there stands on something that is there too: a floor, a sill, or
    /// another post; and how much of its plate lies beside its sill.
    ///
    /// ## Why it is dangerous
    /// The load path ends in the air, and the level above drops when the joint slips. A plate half
    /// off its sill loads the post off its axis and splits the sill's edge.
    ///
    /// ## Example
    /// `tests/checks/post_on_nothing/fires.ron`: a foot so far off the middle of its sill that more
    /// of its plate overhangs than the pack allows.
    ///
    /// ## Limits
    /// Neither the ground nor the strength of the sill is judged. A post in hand is not asked.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(6): base plates in firm contact with the foundation; (b)(5): sound, rigid
    /// sills. The share is the criteria pack's.
    pub static POST_ON_NOTHING = {
        code: "SW501",
        name: "post-on-nothing",
        summary: "a post stands on nothing, or partly beside its sill",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(6)", seen: Seen::Memory },
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(5)", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for post in support::standing_posts(assembly, ctx.stage) {
        let name = || vec![post.name.clone()];
        let who = || support::short(assembly, post.id);
        let mut below =
            assembly.joints_of(post.id).iter().map(|&j| assembly.joint(j)).filter(|j| {
                j.member == post.id
                    && matches!(j.kind, JointKind::Foot | JointKind::Ground | JointKind::Splice)
            });
        let stands = below.any(|j| {
            ctx.stage.joint(j.id) != JointState::Open
                && j.carrier.is_none_or(|c| ctx.stage.state(c).is_there())
        });
        if !stands {
            let mut seen = Observation::new(
                Severity::Stop,
                format!("Post {} stands on nothing", who()),
                name(),
            );
            seen.cause = Some(format!("foot:{}", post.name));
            seen.cures.push("set it on a floor, a sill or a post before letting go".to_owned());
            out.push(seen);
        } else if let Some((share, sill)) = beside(ctx, post) {
            let limit = ctx.pack.plate_off_sill.value;
            if share <= limit + 1e-9 {
                continue;
            }
            let mut seen = Observation::new(
                if share >= 0.5 { Severity::Stop } else { Severity::FixFirst },
                format!("Foot of post {} stands {:.0} % beside its sill", who(), share * 100.0),
                name(),
            );
            seen.others.push(sill.name.clone());
            seen.evidence.measures.push(measure(
                "share of the plate beside the sill",
                share,
                Some(limit),
                false,
                Dimension::Ratio,
            ));
            seen.sample_data = assembly.library.sample;
            seen.cures.push("set the foot in the middle of its sill".to_owned());
            seen.sources.push(support::rule(ctx, &ctx.pack.plate_off_sill));
            out.push(seen);
        }
    }
}

/// Share of the plate's width beside the sill, in the worse direction, and the sill.
fn beside<'a>(ctx: &'a StageContext<'_>, post: &Member) -> Option<(f64, &'a Member)> {
    let assembly = ctx.assembly;
    let sill = support::carried_by(assembly, post.id, JointKind::Foot)
        .filter_map(|j| j.carrier)
        .map(|id| assembly.member(id))
        .find(|m| m.role == Role::Sill)?;
    let size = assembly.library.sills.get(&sill.part)?.size;
    let jack = post.jack.as_ref().and_then(|(name, _)| assembly.library.jacks.get(name));
    let plate = match jack {
        Some(jack) => jack.plate.si(),
        None => assembly.library.posts.get(&post.part)?.base_plate.si(),
    };
    let over =
        |off: f64, side: f64| ((off.abs() + 0.5 * plate - 0.5 * side).max(0.0) / plate).min(1.0);
    Some((over(post.off_sill[0], size.0.si()).max(over(post.off_sill[1], size.1.si())), sill))
}
