//! A post's jack turned while fresh concrete bears on it.

use super::support::{self, measure};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Observation, Severity};
use crate::loads;
use crate::scene::model::LoadKind;
use crate::sequence::model::StageLoad;

crate::declare_hazard! {
    /// ## What it checks
    /// Whether a step turns the jack of a post after concrete was placed whose weight reaches that
    /// post.
    ///
    /// ## Why it is dangerous
    /// A jack turned under load takes the load off the posts beside it, all at once and unseen; the
    /// one turned down drops its share on them. The slab cracks, or a post gives way.
    ///
    /// ## Example
    /// `tests/checks/jacking_under_concrete/fires.ron`: a jack turned to get the level right after
    /// the strip over it was placed.
    ///
    /// ## Limits
    /// All concrete of the scene counts as fresh until its load is taken off. Lowering heads for
    /// stripping is another action.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(9): no adjustment of single post shores to raise formwork after the
    /// placement of concrete. WAC 296-155-687(8).
    pub static JACKING_UNDER_CONCRETE = {
        code: "SW703",
        name: "jacking-under-concrete",
        summary: "a post's jack is turned after concrete was placed on it",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(9)", seen: Seen::Memory },
            Source { title: "Washington Administrative Code", locator: "WAC 296-155-687(8)", seen: Seen::Print },
        ],
        check: check,
    }
}

/// What reaches a post less than this, newtons, is round-off.
const SOME: f64 = 1.0;

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    if !ctx.stage.placing.jacked.iter().any(|(_, fresh)| *fresh) {
        return;
    }
    let rest: Vec<&StageLoad> =
        ctx.stage.loads.iter().filter(|l| l.text.kind != LoadKind::Concrete).collect();
    let bare = loads::take_down_of(ctx.assembly, ctx.pack, ctx.stage, &rest);
    for &(post, _) in ctx.stage.placing.jacked.iter().filter(|(_, fresh)| *fresh) {
        let of_concrete = ctx.loads.at_foot[post.index()] - bare.at_foot[post.index()];
        if of_concrete <= SOME {
            continue;
        }
        let unit = support::units(ctx);
        let mut seen = Observation::new(
            Severity::Stop,
            format!(
                "Jack of {} is turned with {} of fresh concrete on it",
                support::beam(ctx.assembly, post),
                unit.force(of_concrete)
            ),
            vec![ctx.assembly.name(post).to_owned()],
        );
        seen.evidence.measures.push(measure(
            "fresh concrete on the post",
            of_concrete,
            None,
            false,
            Dimension::Force,
        ));
        seen.cures.push("set levels before placing, and leave the jacks alone after it".to_owned());
        seen.cures.push("if one has settled: stop placing, and ask the engineer".to_owned());
        out.push(seen);
    }
}
