//! A post that carries more than its table allows.

use super::support::{self, below, measure, standing_posts, units};
use super::tall_single_leg::{Use, use_of};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// The load at each post's foot, the greatest over the stage's load cases, against its capacity
    /// at its height: the row for this height or the next taller one, divided by the pack's factor
    /// on the basis of the table.
    ///
    /// ## Why it is dangerous
    /// A post gives way without warning, and its neighbours get its load at once.
    ///
    /// ## Example
    /// `tests/checks/post_overloaded/fires.ron`: a bundle set down over one post, a little heavier
    /// than that post may carry.
    ///
    /// ## Limits
    /// Axial load alone: eccentric heads and lean are not in it. Whatever margin the table holds is
    /// not ours to spend, so anything above it is a *stop*; above the pack's share of it, a *watch*.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(1). WAC 296-155-687(9)(a) for the factor of 3 on tested single posts.
    pub static POST_OVERLOADED = {
        code: "SW202",
        name: "post-overloaded",
        summary: "a post carries more than its capacity at its height",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory },
            Source { title: "Washington Administrative Code", locator: "WAC 296-155-687(9)(a)", seen: Seen::Print },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let unit = units(ctx);
    let mut groups: BTreeMap<(bool, &str), Vec<(MemberId, Use)>> = BTreeMap::new();
    for post in standing_posts(assembly, ctx.stage) {
        let Some(usage) = use_of(ctx, post) else { continue };
        let share = usage.load / usage.capacity;
        if below(ctx.pack.use_of_capacity.value, share) {
            let over = below(1.0 + 1e-9, share);
            groups.entry((over, &post.part)).or_default().push((post.id, usage));
        }
    }
    for ((over, part), posts) in groups {
        let ids: Vec<MemberId> = posts.iter().map(|(id, _)| *id).collect();
        let Some((worst, usage)) = posts
            .iter()
            .max_by(|a, b| (a.1.load / a.1.capacity).total_cmp(&(b.1.load / b.1.capacity)))
        else {
            continue;
        };
        let who = support::short(assembly, *worst);
        let more = if ids.len() > 1 { format!(" ({} posts)", ids.len()) } else { String::new() };
        let mut seen = Observation::new(
            if over { Severity::Stop } else { Severity::Watch },
            format!(
                "Post {who} carries {}, {} its {}{more}",
                unit.force(usage.load),
                if over { "more than" } else { "close to" },
                unit.force(usage.capacity),
            ),
            ids.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.group = Group::Widens(format!("{part}:{over}"));
        seen.sample_data = assembly.library.sample;
        seen.evidence.measures.push(measure(
            format!("load at the foot of {who}"),
            usage.load,
            Some(usage.capacity),
            false,
            Dimension::Force,
        ));
        seen.evidence
            .notes
            .push(format!("The row for {} of {part} counts.", unit.length(usage.row)));
        if assembly.library.sample {
            seen.evidence.notes.push("Sample data: use your supplier's table.".to_owned());
        }
        if let Some((_, carries)) = ctx.restraint.carries.iter().find(|(post, _)| post == worst) {
            seen.evidence.path = carries.iter().map(|&m| assembly.name(m).to_owned()).collect();
        }
        seen.cures.push("take load off, or set a post beside it".to_owned());
        seen.cures.push("use a stronger post, or one drawn out less".to_owned());
        seen.sources.push(support::rule(ctx, &ctx.pack.use_of_capacity));
        out.push(seen);
    }
}
