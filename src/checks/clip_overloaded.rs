//! A clip pulled beyond what it holds.

use super::support::usage::{self, Heavy, Sayings};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::calc::{self, At};
use crate::capacity::{Missing, Work};
use crate::criteria::model::Seen;
use crate::findings::{Observation, RemedyKind, Severity};
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// The pull that the loads of the stage ask of each clip that is home, by the lever of its
    /// beam's overhang, against what the clip holds down, over the pack's factor on its basis.
    ///
    /// ## Why it is dangerous
    /// When the clip goes the beam tips at once, with what and who is on it.
    ///
    /// ## Example
    /// `tests/checks/clip_overloaded/fires.ron`: a bundle on the tip of a ledger that one clip
    /// holds down.
    ///
    /// ## Limits
    /// Loads that are there; workers who may come are `cantilever-tips`, and whether the post is
    /// heavy enough to hold the clip is `clip-on-light-post`.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(1): capable of supporting without failure all loads that may be anticipated.
    pub static CLIP_OVERLOADED = {
        code: "SW218",
        name: "clip-overloaded",
        summary: "a hold-down clip is pulled harder than it holds",
        severity: Severity::Stop,
        follows: ["SW401"],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let at = At::of(ctx);
    let (mut found, mut missing) = (Vec::new(), BTreeMap::<Missing, Vec<MemberId>>::new());
    for joint in &ctx.assembly.joints {
        let Some(clip) = joint.clip.filter(|&c| ctx.stage.state(c).is_there()) else { continue };
        match calc::clip_joint(&mut Work::silent(), &at, joint) {
            Ok(Some(used)) => {
                let (part, usage) = (ctx.assembly.member(clip).part.as_str(), used.usage);
                found.push(Heavy { member: clip, part, respect: "pull", usage });
            }
            Ok(None) => {}
            Err(why) => missing.entry(why).or_default().push(clip),
        }
    }
    let say = Sayings {
        over: Severity::Stop,
        near: true,
        cures: &[
            ("prop the beam under its tip", &[RemedyKind::Prop]),
            ("use a stronger clip on an anchored post", &[RemedyKind::Clip]),
        ],
    };
    usage::report(ctx, found, &say, out);
    usage::unknown(ctx, missing, "Strength of clips", out);
}
