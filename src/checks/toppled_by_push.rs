//! Too small a push at a head topples something.

use super::stage_unstable::cause;
use super::support::{self, measure, units};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, RemedyKind, Severity};
use crate::mechanics::stage_model::Push;
use std::collections::BTreeSet;

crate::declare_hazard! {
    /// ## What it checks
    /// The least horizontal push at any head, each way, that topples what stands, with feet that
    /// lift. It is held against the required push. And whether the stage stays in equilibrium under
    /// notional lateral and wind, each way.
    ///
    /// ## Why it is dangerous
    /// Light things that stand by their own weight have large factors against buckling and go over
    /// at a bump. A braced pair of posts without a deck is as light as it ever gets.
    ///
    /// ## Example
    /// `tests/checks/toppled_by_push/fires.ron`: a tall tower on a narrow base, in a wind that it
    /// just does not stand.
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
    overturned(ctx, out);
    let assembly = ctx.assembly;
    let all = &ctx.mechanics.failing_pushes;
    let members =
        |i: usize| all[i].members.iter().copied().chain([all[i].post]).collect::<BTreeSet<_>>();
    for set in together(all.len(), members) {
        let pushes: Vec<&Push> = set.iter().map(|&i| &all[i]).collect();
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
        seen.cure(
            "brace it or tie it to what stands already",
            &[RemedyKind::Brace, RemedyKind::Tie],
        );
        seen.cure("keep it in hand until then", &[RemedyKind::Hold]);
        seen.sources.push(support::rule(ctx, &ctx.pack.worker_push));
        seen.sources.push(support::rule(ctx, &ctx.pack.lateral_share));
        out.push(seen);
    }
}

/// What goes over under notional lateral and wind, by sets of members that go together.
fn overturned(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let cases = &ctx.mechanics.overturned;
    for set in together(cases.len(), |i| cases[i].members.iter().copied().collect()) {
        let Some(case) =
            set.iter().map(|&i| &cases[i]).min_by(|a, b| a.factor.total_cmp(&b.factor))
        else {
            continue;
        };
        let over: BTreeSet<MemberId> =
            set.iter().flat_map(|&i| cases[i].members.iter().copied()).collect();
        let posts: Vec<MemberId> =
            over.iter().copied().filter(|&m| assembly.member(m).is_post()).collect();
        let who = if posts.is_empty() {
            "the stage".to_owned()
        } else {
            format!("posts {}", support::posts(assembly, &posts))
        };
        let mut seen = Observation::new(
            Severity::Stop,
            format!("{:.0} % of {} topples {who}", case.factor * 100.0, case.case),
            posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.others = over
            .iter()
            .filter(|m| !posts.contains(m))
            .map(|&m| assembly.name(m).to_owned())
            .collect();
        seen.evidence.measures.push(measure(
            format!("share of {} that is stood", case.case),
            case.factor,
            Some(1.0),
            true,
            Dimension::Ratio,
        ));
        seen.evidence.motion = Some(case.motion.clone());
        seen.evidence.notes.extend(support::balance::edge_words(ctx));
        seen.cause = cause(ctx, &case.members);
        seen.group = Group::Joins("lateral".to_owned());
        seen.sample_data = assembly.library.sample;
        seen.cure(
            "brace it or tie it to what stands already",
            &[RemedyKind::Brace, RemedyKind::Tie],
        );
        seen.sources.push(support::rule(ctx, &ctx.pack.lateral_share));
        seen.sources.push(support::rule(ctx, &ctx.pack.working_wind));
        out.push(seen);
    }
}

/// Cases that bring down some of the same members belong together.
fn together(count: usize, members: impl Fn(usize) -> BTreeSet<MemberId>) -> Vec<Vec<usize>> {
    let mut groups: Vec<(BTreeSet<MemberId>, Vec<usize>)> = Vec::new();
    for index in 0..count {
        let mut members = members(index);
        let mut joined = Vec::new();
        let mut apart = Vec::new();
        for (set, others) in groups {
            if set.is_disjoint(&members) {
                apart.push((set, others));
            } else {
                members.extend(set);
                joined.extend(others);
            }
        }
        joined.push(index);
        apart.push((members, joined));
        groups = apart;
    }
    groups.into_iter().map(|(_, cases)| cases).collect()
}
