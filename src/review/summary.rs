//! The one line of a stage: its worst, its least reserve, what stands at it.

use super::merge::worst;
use super::reserves::PostUses;
use super::{Reserves, StageSummary};
use crate::assembly::{Assembly, MemberId};
use crate::checks::support::words;
use crate::checks::{Seeing, StageContext};
use crate::findings::Finding;
use crate::mechanics::Verdict;

/// Summaries of all stages. `reserves` as from `reserve`, by stage.
#[must_use]
pub fn summarise(
    seen: &[Vec<Seeing>],
    reserves: Vec<(Reserve, Reserves)>,
    findings: &[Finding],
) -> Vec<StageSummary> {
    seen.iter()
        .zip(reserves)
        .enumerate()
        .map(|(stage, (seen, (reserve, reserves)))| {
            let (worst, unknown) = worst(seen);
            StageSummary {
                worst,
                unknown,
                reserve: reserve.value,
                reserve_of: reserve.of,
                reserve_at_least: reserve.at_least,
                reserves,
                findings: findings
                    .iter()
                    .enumerate()
                    .filter(|(_, f)| f.from_stage <= stage && stage <= f.last_stage)
                    .map(|(index, _)| index)
                    .collect(),
            }
        })
        .collect()
}

/// The least reserve of a stage.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reserve {
    pub value: Option<f64>,
    pub of: String,
    pub at_least: bool,
}

/// Least ratio of capacity to demand of what was judged with a number. A requirement that was
/// only proven to be met counts as *at least 1*, and only where nothing has a number below it.
#[must_use]
pub fn reserve(ctx: &StageContext<'_>, posts: &PostUses<'_>) -> Reserve {
    let mechanics = ctx.mechanics;
    let assembly = ctx.assembly;
    if let Some(mechanism) = mechanics.mechanisms.first() {
        let who = mechanism.members.first().map_or_else(String::new, |&m| words::beam(assembly, m));
        return Reserve { value: Some(0.0), of: format!("{who} moves freely"), at_least: false };
    }
    let mut known: Vec<(f64, Of<'_>)> = Vec::new();
    let mut proven: Vec<String> = Vec::new();
    match (mechanics.lowest_factor, &mechanics.critical) {
        (Some(factor), _) => known.push((factor / mechanics.required_factor, Of::Critical)),
        (None, Verdict::Met) => proven.push("critical load factor".to_owned()),
        _ => {}
    }
    match &mechanics.least_push {
        Some(push) if push.exact && mechanics.required_push > 0.0 => {
            known.push((push.force / mechanics.required_push, Of::Push(push.post)));
        }
        _ if mechanics.push == Verdict::Met => proven.push("push at the heads".to_owned()),
        _ => {}
    }
    if let Some(worst) = mechanics.strength.worst() {
        known.push((worst.reserve(), Of::Strength(worst.post)));
    }
    for tipping in &ctx.equilibrium.tipping {
        known.push((tipping.factor / tipping.required, Of::Tipping(tipping.member)));
    }
    for shared in &ctx.equilibrium.shared {
        known.push((shared.factor / shared.required, Of::Shared));
    }
    let sideways = &ctx.equilibrium.sideways;
    for (way, what) in [(&sideways.sliding, "sliding"), (&sideways.tipping, "tipping")] {
        match way {
            Some(way) if !way.at_least => known.push((way.reserve(), Of::Way(what, &way.posts))),
            Some(way) if way.reserve() >= 1.0 => proven.push(format!("{what} on its feet")),
            _ => {}
        }
    }
    for (post, usage) in posts {
        if let Some(usage) = usage.as_ref().filter(|usage| usage.load > 0.0) {
            known.push((usage.capacity / usage.load, Of::Post(post.id)));
        }
    }
    let least =
        known.into_iter().filter(|(value, _)| value.is_finite()).min_by(|a, b| a.0.total_cmp(&b.0));
    let least = least.map(|(value, of)| (value, of.words(assembly)));
    match (least, proven.is_empty()) {
        (Some((value, of)), true) => Reserve { value: Some(value), of, at_least: false },
        (Some((value, of)), false) if value <= 1.0 => {
            Reserve { value: Some(value), of, at_least: false }
        }
        (Some((value, of)), false) => Reserve {
            value: Some(value),
            of: format!("{of}; {} proven to be at least required", proven.join(" and ")),
            at_least: false,
        },
        (None, false) => Reserve {
            value: Some(1.0),
            of: format!("{}, proven to be at least required", proven.join(" and ")),
            at_least: true,
        },
        (None, true) => Reserve::default(),
    }
}

/// What a reserve is of; put into words for the least alone.
enum Of<'a> {
    Critical,
    Push(MemberId),
    Strength(MemberId),
    Tipping(MemberId),
    Shared,
    Way(&'static str, &'a [MemberId]),
    Post(MemberId),
}

impl Of<'_> {
    fn words(&self, assembly: &Assembly) -> String {
        let short = |post: MemberId| words::short(assembly, post);
        match *self {
            Self::Critical => "critical load factor".to_owned(),
            Self::Push(post) => format!("push at post {}", short(post)),
            Self::Strength(post) => format!("second-order strength of post {}", short(post)),
            Self::Tipping(beam) => format!("tipping of {}", words::beam(assembly, beam)),
            Self::Shared => "overhangs on one post".to_owned(),
            Self::Way(what, posts) => format!("{what} of posts {}", words::posts(assembly, posts)),
            Self::Post(post) => format!("capacity of post {}", short(post)),
        }
    }
}
