//! An overhang that needs holding down and is not.

use super::support::{overhang, units};
use super::{Source, StageContext};
use crate::assembly::JointKind;
use crate::criteria::model::Seen;
use crate::findings::{Observation, RemedyKind, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Whether an overhang that needs a hold-down for the required reserve has one fixed at this
    /// stage. That it is on the drawing, or in place and not yet fixed, does not count.
    ///
    /// ## Why it is dangerous
    /// The clip is the one part that makes the difference between a platform and a see-saw, and it
    /// is small, put in last, and not missed by the eye.
    ///
    /// ## Example
    /// `tests/checks/clip_missing/fires.ron`: of two ledgers that run on, one is clipped down.
    ///
    /// ## Limits
    /// A clip on a post that would lift is `clip-on-light-post`. The overhang itself is judged by
    /// `cantilever-tips`, which hangs under this finding.
    ///
    /// ## Source
    /// Moments about the outer support; the required reserve is the criteria pack's. O. Reg.
    /// 213/91, s. 87: no uplift or overturning of the system.
    pub static CLIP_MISSING = {
        code: "SW402",
        name: "clip-missing",
        summary: "an overhang that needs a hold-down has none fixed",
        severity: Severity::Stop,
        follows: ["SW701"],
        sources: [Source { title: "Ontario Regulation 213/91", locator: "s. 87", seen: Seen::Print }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for tipping in overhang::beams(ctx).filter(|t| t.clip.is_none() && t.back_span > 0.0) {
        let mut seen = Observation::new(
            overhang::severity(tipping),
            format!(
                "No clip holds down {}: it {}",
                overhang::name(ctx, tipping),
                overhang::when(tipping)
            ),
            vec![assembly.name(tipping.member).to_owned()],
        );
        seen.evidence = overhang::evidence(ctx, tipping);
        seen.cause = Some(overhang::cause(ctx, tipping));
        seen.sample_data = assembly.library.sample;
        let planned = assembly
            .joints_of(tipping.member)
            .iter()
            .map(|&j| assembly.joint(j))
            .find(|j| j.kind == JointKind::Clip && j.member == tipping.member);
        let pull = if tipping.hold_down > 0.0 {
            format!(", good for {}", units(ctx).force(tipping.hold_down))
        } else {
            String::new()
        };
        if let Some(clip) = planned.and_then(|j| j.clip) {
            seen.others.push(assembly.name(clip).to_owned());
            let name = assembly.name(clip).to_owned();
            let words = format!("fix {name} before anybody steps on it");
            seen.cure_at(words, RemedyKind::Fix, vec![name]);
        } else {
            let words = format!("clip it down at the post behind, anchored{pull}");
            seen.cure(words, &[RemedyKind::Clip]);
        }
        seen.cure("prop it under its tip", &[RemedyKind::Prop]);
        seen.sources.push(super::support::rule(ctx, &ctx.pack.overturning));
        out.push(seen);
    }
}
