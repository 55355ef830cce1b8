//! Ground pressed beyond its bearing.

use super::support::usage::{self, Heavy, Sayings};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::calc::{self, At};
use crate::capacity::{Missing, Work};
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// For each post on ground: the pressure under the part of its sill that the load reaches, or
    /// under its bare plate, against the bearing pressure the scene states for that ground. Ground
    /// without a stated bearing is unknown.
    ///
    /// ## Why it is dangerous
    /// Ground that gives lets one post down among many: its load goes to the neighbours and its
    /// braces go slack, most often in rain, under fresh concrete.
    ///
    /// ## Example
    /// `tests/checks/ground_overloaded/fires.ron`: a post on a sill that is a little too small for
    /// its ground.
    ///
    /// ## Limits
    /// The load spreads by the pack's run per rise, evenly, centred under the post. Frost, washing
    /// out, fill and a nearby edge are for the eye. No bearing is assumed from a kind of soil: IBC
    /// Table 1806.2 bars unprepared fill, and only somebody who saw the ground can say what it is.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(5). IBC Table 1806.2 for what soils of a known class may carry.
    pub static GROUND_OVERLOADED = {
        code: "SW523",
        name: "ground-overloaded",
        summary: "the ground under a post carries more than its bearing, or nobody stated it",
        severity: Severity::FixFirst,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(5)", seen: Seen::Memory },
            Source { title: "International Building Code", locator: "2012 Table 1806.2", seen: Seen::Print },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let at = At::of(ctx);
    let (mut found, mut missing) = (Vec::new(), BTreeMap::<Missing, Vec<MemberId>>::new());
    for post in super::support::standing_posts(ctx.assembly, ctx.stage) {
        // Parts that cannot be calculated are said elsewhere.
        let Ok(Some(foot)) = calc::foot(&mut Work::silent(), &at, post) else { continue };
        let part = foot.sill.map_or(post.part.as_str(), |s| ctx.assembly.member(s).part.as_str());
        match foot.soil {
            Some(Ok(usage)) => {
                let respect = "pressure on the ground";
                found.push(Heavy { member: post.id, part, respect, usage });
            }
            Some(Err(why)) => missing.entry(why).or_default().push(post.id),
            None => {}
        }
    }
    let say = Sayings {
        over: Severity::FixFirst,
        near: true,
        cures: &[
            ("use a larger or thicker sill", &[]),
            ("have the ground looked at and made good by somebody who knows it", &[]),
        ],
    };
    let from = out.len();
    usage::report(ctx, found, &say, out);
    for seen in &mut out[from..] {
        seen.sources.push(super::support::rule(ctx, &ctx.pack.sill_spread));
    }
    usage::unknown(ctx, missing, "Bearing of the ground", out);
}
