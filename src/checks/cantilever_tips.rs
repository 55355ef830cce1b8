//! A member that runs past its last support and tips.

use super::support::{overhang, words};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Observation, RemedyKind, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Each ledger, joist or bearer that runs past its last support, in its worst loading: nobody on
    /// it, one worker at the tip, and the pack's workers with edge form, walkway, rail force and
    /// fresh concrete. It turns about its outer support; what keeps it down is the load on its back
    /// span and a clip whose pull reaches a post that does not lift.
    ///
    /// ## Why it is dangerous
    /// A bare overhang looks solid until somebody steps on it. It then turns about the last post,
    /// throws off who stands on it, and lifts its far end out of the head behind.
    ///
    /// ## Example
    /// `tests/checks/cantilever_tips/fires.ron`: a short overhang without a clip on which two workers
    /// are just too much for the back span.
    ///
    /// ## Limits
    /// The back end is taken as free to lift. Members whose tipping could not be worked out are
    /// `not-judged`.
    ///
    /// ## Source
    /// Moments about the outer support (any textbook of statics). The required reserve is the
    /// criteria pack's. 29 CFR 1926.703(a)(1).
    pub static CANTILEVER_TIPS = {
        code: "SW401",
        name: "cantilever-tips",
        summary: "a member that overhangs its last support tips, or would under a worker",
        severity: Severity::Stop,
        follows: ["SW402", "SW403", "SW701"],
        sources: [Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    for tipping in overhang::beams(ctx) {
        let mut seen = Observation::new(
            overhang::severity(tipping),
            format!(
                "{} {}",
                words::sentence(&overhang::name(ctx, tipping)),
                overhang::when(tipping)
            ),
            vec![ctx.assembly.name(tipping.member).to_owned()],
        );
        seen.evidence = overhang::evidence(ctx, tipping);
        seen.cause = Some(overhang::cause(ctx, tipping));
        if let Some(post) = ctx.assembly.joint(tipping.fulcrum).carrier {
            seen.others.push(ctx.assembly.name(post).to_owned());
        }
        seen.sample_data = ctx.assembly.library.sample;
        seen.cure("prop it under its tip", &[RemedyKind::Prop]);
        seen.cure("clip it to a post that is anchored or heavy enough", &[RemedyKind::Clip]);
        seen.cures.push("keep everybody off the overhang until then".to_owned());
        seen.sources.push(super::support::rule(ctx, &ctx.pack.overturning));
        seen.sources.push(super::support::rule(ctx, &ctx.pack.worker_weight));
        out.push(seen);
    }
}
