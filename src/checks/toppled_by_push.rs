//! Too small a push at a head topples something.

use super::stage_unstable::cause;
use super::support::{self, measure, units};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};
use crate::mechanics::stage_model::Push;
use std::collections::BTreeSet;

crate::declare_hazard! {
    /// ## What it checks
    /// The least horizontal push at any head, each way, that topples what stands, with feet that
    /// lift and slide. It is held against the required push: the greatest of notional lateral,
    /// wind, and one worker's push.
    ///
    /// ## Why it is dangerous
    /// Light things that stand by their own weight have large factors against buckling and go over
    /// at a bump. A braced pair of posts without a deck is as light as it ever gets.
    ///
    /// ## Example
    /// `tests/checks/toppled_by_push/fires.ron`: a narrow braced tower stands free; the same tower
    /// with wider bays does not fire.
    ///
    /// ## Limits
    /// One push at one head at a time. A *stop* where less than one worker's push does it, *fix
    /// first* where it takes more than that but less than what is required.
    ///
    /// ## Source
    /// The required push is the criteria pack's. ASCE 37-14, 4.4, for the horizontal force of
    /// persons and the share of vertical load.
    pub static TOPPLED_BY_PUSH = {
        code: "SW302",
        name: "toppled-by-push",
        summary: "less than the required push topples it",
        severity: Severity::Stop,
        follows: ["SW101", "SW301"],
        sources: [Source { title: "ASCE 37-14", locator: "section 4.4", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    for pushes in together(&ctx.mechanics.failing_pushes) {
        let assembly = ctx.assembly;
        let Some(least) = pushes
            .iter()
            .copied()
            .min_by(|a, b| a.force.total_cmp(&b.force).then_with(|| a.post.cmp(&b.post)))
        else {
            continue;
        };
        let posts: BTreeSet<MemberId> = pushes.iter().map(|p| p.post).collect();
        let over: BTreeSet<MemberId> =
            pushes.iter().flat_map(|p| p.members.iter().copied()).collect();
        let unit = units(ctx);
        let worker = ctx.pack.worker_push.value.si();
        let severity = if least.force < worker { Severity::Stop } else { Severity::FixFirst };
        let mut seen = Observation::new(
            severity,
            format!(
                "A push of {} at post {} topples it; {} must be stood",
                unit.force(least.force.max(0.0)),
                support::short(assembly, least.post),
                unit.force(ctx.mechanics.required_push),
            ),
            posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.others = over
            .iter()
            .filter(|m| !posts.contains(m))
            .map(|&m| assembly.name(m).to_owned())
            .collect();
        seen.evidence.measures.push(measure(
            if least.exact { "least push" } else { "least push, at least" },
            least.force,
            Some(ctx.mechanics.required_push),
            true,
            Dimension::Force,
        ));
        seen.evidence.motion = Some(least.motion.clone());
        let members: Vec<MemberId> = posts.union(&over).copied().collect();
        seen.cause = cause(ctx, &members);
        seen.group = Group::Joins("push".to_owned());
        seen.sample_data = assembly.library.sample;
        seen.cures.push("brace it or tie it to what stands already".to_owned());
        seen.cures.push("keep it in hand until then".to_owned());
        seen.sources.push(support::rule(ctx, &ctx.pack.worker_push));
        seen.sources.push(support::rule(ctx, &ctx.pack.lateral_share));
        out.push(seen);
    }
}

/// Pushes that bring down some of the same members belong together.
fn together(pushes: &[Push]) -> Vec<Vec<&Push>> {
    let mut groups: Vec<(BTreeSet<MemberId>, Vec<&Push>)> = Vec::new();
    for push in pushes {
        let mut members: BTreeSet<MemberId> = push.members.iter().copied().collect();
        members.insert(push.post);
        let mut joined = vec![push];
        let mut apart = Vec::new();
        for (set, others) in groups {
            if set.is_disjoint(&members) {
                apart.push((set, others));
            } else {
                members.extend(set);
                joined.extend(others);
            }
        }
        apart.push((members, joined));
        groups = apart;
    }
    groups.into_iter().map(|(_, pushes)| pushes).collect()
}
