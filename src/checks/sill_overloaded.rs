//! A sill bent or crushed under a post.

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
    /// For each post on a sill: the pressure under its plate against what the sill takes across the
    /// grain; and on ground, bending of the sill at the edge of the plate under the pressure of the
    /// part of the sill that the load reaches. A sill that does not state its stresses is unknown.
    ///
    /// ## Why it is dangerous
    /// A crushed or split sill lets its post sink while its neighbours stand: they take its load,
    /// and the braces that were to hold it hang loose.
    ///
    /// ## Example
    /// `tests/checks/sill_overloaded/fires.ron`: a bundle over a post whose plate presses into its
    /// sill.
    ///
    /// ## Limits
    /// The load spreads through the sill by the pack's run per rise, evenly, centred under the
    /// post. Plates are square. On a hardened slab the sill does not bend. Wet timber needs lower
    /// stresses: the data's affair.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(5): sound, rigid, capable of carrying the maximum intended load. NDS 3.10
    /// for bearing across the grain.
    pub static SILL_OVERLOADED = {
        code: "SW522",
        name: "sill-overloaded",
        summary: "a sill is bent or crushed under its post",
        severity: Severity::FixFirst,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(5)", seen: Seen::Memory },
            Source { title: "NDS", locator: "3.10", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let at = At::of(ctx);
    let (mut found, mut missing) = (Vec::new(), BTreeMap::<Missing, Vec<MemberId>>::new());
    for post in super::support::standing_posts(ctx.assembly, ctx.stage) {
        let foot = match calc::foot(&mut Work::silent(), &at, post) {
            Ok(Some(foot)) => foot,
            Ok(None) => continue,
            Err(why) => {
                missing.entry(why).or_default().push(post.id);
                continue;
            }
        };
        let Some(sill) = foot.sill.map(|id| ctx.assembly.member(id)) else { continue };
        let respects =
            [("pressure under the plate", foot.bearing), ("bending stress", foot.bending)];
        for (respect, usage) in respects {
            match usage {
                Some(Ok(usage)) => {
                    found.push(Heavy { member: sill.id, part: &sill.part, respect, usage });
                }
                Some(Err(why)) => missing.entry(why).or_default().push(sill.id),
                None => {}
            }
        }
    }
    let say = Sayings {
        over: Severity::FixFirst,
        near: true,
        cures: &[
            ("put a wider plate under the post", &[]),
            ("use a thicker sill, or a grillage of two layers", &[]),
        ],
    };
    usage::report(ctx, found, &say, out);
    usage::unknown(ctx, missing, "Strength of sills", out);
}
