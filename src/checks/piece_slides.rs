//! The feet of a piece slide under the sideways loads.

use super::stage_unstable::cause;
use super::support::{self, measure};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::equilibrium::Way;
use crate::findings::{Dimension, Evidence, Group, Observation, RemedyKind, Severity};
use std::collections::{BTreeMap, BTreeSet};

crate::declare_hazard! {
    /// ## What it checks
    /// Whether each piece of what stands, or each line of posts of it, stays where it is under
    /// notional lateral and wind, each way along each axis, with friction at its feet alone:
    /// friction divided by the pack's required factor, or weights and wind with its partial factors,
    /// must still be enough. Only feet that weight
    /// presses down hold, and people, who may walk off, press nothing down.
    ///
    /// ## Why it is dangerous
    /// Before the deck and the concrete are on, the frame is light and the wind is not. Its braces
    /// hold it square, and it walks off its sills as it is.
    ///
    /// ## Example
    /// `tests/checks/piece_slides/fires.ron`: a low braced tower in a wind whose push is just more
    /// than two thirds of what friction holds.
    ///
    /// ## Limits
    /// Statics shares the friction between the feet as kindly as it can be shared; `foot-slips` says
    /// what the elastic forces say. One coefficient for every foot, from the pack. No anchors, no
    /// shoes: only ties to the permanent works count beside friction. Nothing is sheltered.
    ///
    /// ## Source
    /// Coulomb's law, any textbook of statics. The factor and the coefficient are the criteria
    /// pack's. O. Reg. 213/91, s. 87: no uplift, sliding, overturning or lateral displacement.
    pub static PIECE_SLIDES = {
        code: "SW405",
        name: "piece-slides",
        summary: "what stands slides on its feet under notional lateral or wind",
        severity: Severity::Stop,
        follows: ["SW101", "SW301", "SW302"],
        sources: [Source { title: "Ontario Regulation 213/91", locator: "s. 87", seen: Seen::Print }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    for ways in by_block(ctx, &ctx.equilibrium.sideways.slides) {
        let worst = ways[0];
        let mut seen = observe(
            ctx,
            &ways,
            format!(
                "Posts {} slide at {:.0} % of {}; {:.0} % is due",
                support::posts(ctx.assembly, &worst.posts),
                worst.factor * 100.0,
                worst.case,
                worst.required * 100.0
            ),
            "sideways load held by friction, over what acts",
        );
        seen.cure("tie it to the permanent works, or stop its feet", &[RemedyKind::Tie]);
        seen.cures.push("stay below this wind until weight is on".to_owned());
        seen.sources.extend(support::balance::sliding_rules(ctx));
        seen.sources.push(support::rule(ctx, &ctx.pack.friction));
        out.push(seen);
    }
}

/// Ways by the block of their posts, worst first in each.
pub(super) fn by_block<'a>(ctx: &StageContext<'_>, ways: &'a [Way]) -> Vec<Vec<&'a Way>> {
    let mut blocks: BTreeMap<Option<String>, Vec<&Way>> = BTreeMap::new();
    for way in ways {
        let block = way.posts.first().and_then(|&p| ctx.assembly.member(p).block.clone());
        blocks.entry(block).or_default().push(way);
    }
    blocks.into_values().collect()
}

/// What sliding and tipping pieces have in common.
pub(super) fn observe(
    ctx: &StageContext<'_>,
    ways: &[&Way],
    headline: String,
    what: &str,
) -> Observation {
    let assembly = ctx.assembly;
    let worst = ways[0];
    let posts: BTreeSet<MemberId> = ways.iter().flat_map(|w| w.posts.iter().copied()).collect();
    let severity = if worst.factor < 1.0 { Severity::Stop } else { Severity::FixFirst };
    let mut seen = Observation::new(
        severity,
        headline,
        posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
    );
    seen.others = worst
        .members
        .iter()
        .filter(|m| !posts.contains(m))
        .map(|&m| assembly.name(m).to_owned())
        .collect();
    seen.evidence = Evidence {
        measures: vec![measure(what, worst.factor, Some(worst.required), true, Dimension::Ratio)],
        motion: Some(worst.motion.clone()),
        notes: ways
            .iter()
            .map(|w| {
                format!(
                    "Posts {}: {} at {:.2} of it.",
                    support::posts(assembly, &w.posts),
                    w.case,
                    w.factor
                )
            })
            .collect(),
        ..Evidence::default()
    };
    seen.evidence.notes.extend(support::balance::partial_words(worst));
    seen.evidence.notes.extend(support::balance::edge_words(ctx));
    let moving: Vec<MemberId> = posts.iter().chain(&worst.members).copied().collect();
    seen.cause = cause(ctx, &moving);
    let block = worst.posts.first().and_then(|&p| assembly.member(p).block.clone());
    seen.group = Group::Widens(block.unwrap_or_default());
    seen.sample_data = assembly.library.sample;
    seen
}
