//! A clip that pulls on a post which would lift, or come apart.

use super::support::{self, below, measure, overhang, units};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Observation, RemedyKind, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Where the pull of a hold-down clip goes: it must be within the clip's own strength, reach a
    /// post whose parts are joined in tension, and be less than what keeps that post down.
    ///
    /// ## Why it is dangerous
    /// A clip only passes the pull on. A jack or inner tube that merely sits in its tube hangs
    /// nothing on itself: the clip holds, and the post comes up with the ledger.
    ///
    /// ## Example
    /// `tests/checks/clip_on_light_post/fires.ron`: the clip is fixed to a post whose tubes are
    /// not pinned.
    ///
    /// ## Limits
    /// What keeps the post down is what certainly stands on it at this stage, and no anchor.
    ///
    /// ## Source
    /// Equilibrium of the post. O. Reg. 213/91, s. 87: no uplift of the system.
    pub static CLIP_ON_LIGHT_POST = {
        code: "SW403",
        name: "clip-on-light-post",
        summary: "a clip is tied to a post that would lift or come apart, or is itself too weak",
        severity: Severity::Stop,
        follows: ["SW701"],
        sources: [Source { title: "Ontario Regulation 213/91", locator: "s. 87", seen: Seen::Print }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let unit = units(ctx);
    for tipping in &ctx.equilibrium.tipping {
        let (Some(_), Some(post)) = (tipping.clip, tipping.clip_post) else { continue };
        if !below(tipping.factor, tipping.required) {
            continue;
        }
        let capacity = overhang::clip_capacity(ctx, tipping);
        let weak = capacity.is_none_or(|most| most < tipping.hold_down);
        let light = tipping.post_weight < tipping.hold_down;
        let who = support::short(assembly, post);
        let pull = unit.force(tipping.hold_down);
        let headline = if !tipping.joined_in_tension {
            format!(
                "Clip pulls on post {who}, whose parts are not joined: it comes apart at {pull}"
            )
        } else if light {
            format!(
                "Clip pulls {pull} on post {who}, which only {} keeps down",
                unit.force(tipping.post_weight)
            )
        } else if weak {
            format!("Clip at post {who} must hold {pull}, more than it may")
        } else {
            format!("Clip at post {who} holds less than the {pull} needed")
        };
        let mut seen = Observation::new(
            overhang::severity(tipping),
            headline,
            vec![assembly.name(tipping.member).to_owned(), assembly.name(post).to_owned()],
        );
        seen.evidence = overhang::evidence(ctx, tipping);
        seen.evidence.measures.push(measure(
            "weight that keeps the post down",
            tipping.post_weight,
            Some(tipping.hold_down),
            true,
            Dimension::Force,
        ));
        if let Some(most) = capacity {
            seen.evidence.measures.push(measure(
                "strength of the clip",
                most,
                Some(tipping.hold_down),
                true,
                Dimension::Force,
            ));
        }
        seen.cause = Some(overhang::cause(ctx, tipping));
        seen.sample_data = assembly.library.sample;
        seen.cure("prop the overhang under its tip", &[RemedyKind::Prop]);
        seen.cure(
            "clip it to a post that is pinned and anchored to the floor",
            &[RemedyKind::Clip],
        );
        out.push(seen);
    }
}
