//! A piece tips under the sideways loads, or has too little reserve against it.

use super::piece_slides::{by_block, observe};
use super::support;
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Observation, RemedyKind, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// How far notional lateral and wind may grow, each way along each axis, before a piece of what
    /// stands goes over: its posts as rigid bodies, feet that only press, diagonals and couplers
    /// no stronger than their data, posts that come apart where they are not joined. Held against
    /// the pack's factor, or asked with its partial factors where it has those.
    ///
    /// ## Why it is dangerous
    /// A narrow braced tower stands by its weight alone. A little more wind than it was reckoned
    /// for, and the windward feet come up.
    ///
    /// ## Example
    /// `tests/checks/piece_tips/fires.ron`: a tall tower that stands the wind, with too little to
    /// spare.
    ///
    /// ## Limits
    /// Rigid bodies: sway adds to it, which `stage-unstable` sees. What goes over under the loads as
    /// they are is `toppled-by-push`, and this hangs under it. Single posts and other things that
    /// move freely are `post-not-held`.
    ///
    /// ## Source
    /// Moments about the leeward feet (any textbook of statics); limit analysis of rigid blocks. The
    /// factor is the criteria pack's. O. Reg. 213/91, s. 87.
    pub static PIECE_TIPS = {
        code: "SW406",
        name: "piece-tips",
        summary: "what stands goes over under notional lateral or wind, or nearly",
        severity: Severity::Stop,
        follows: ["SW101", "SW301", "SW302"],
        sources: [Source { title: "Ontario Regulation 213/91", locator: "s. 87", seen: Seen::Print }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    for ways in by_block(ctx, &ctx.equilibrium.sideways.tips) {
        let worst = ways[0];
        let mut seen = observe(
            ctx,
            &ways,
            format!(
                "Posts {} tip at {:.0} % of {}; {:.0} % is due",
                support::posts(ctx.assembly, &worst.posts),
                worst.factor * 100.0,
                worst.case,
                worst.required * 100.0
            ),
            "sideways load at which it tips, over what acts",
        );
        seen.cure(
            "brace a further bay, or tie it to what stands",
            &[RemedyKind::Brace, RemedyKind::Tie],
        );
        seen.cures.push("stay below this wind until then".to_owned());
        seen.sources.extend(support::balance::tipping_rules(ctx));
        out.push(seen);
    }
}
