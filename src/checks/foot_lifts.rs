//! A foot lifts under a lateral force.

use super::support::{self, list};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, RemedyKind, Severity};
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// Which feet lift when the lateral forces of the stage act, each way. Feet only push; a foot
    /// that would have to pull is let go and the stage judged again without it.
    ///
    /// ## Why it is dangerous
    /// A foot that lifts comes down elsewhere: off its sill, or with its jack turned. As long as
    /// the frame stands without it, it is something to watch; if not, `stage-unstable` or
    /// `toppled-by-push` says so.
    ///
    /// ## Example
    /// `tests/checks/foot_lifts/fires.ron`: tall narrow braced bays, without a deck, in the wind.
    ///
    /// ## Limits
    /// Elastic forces by the braces' and posts' stiffness; shocks are not in it.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(6): base plates and adjustment screws in firm contact with the foundation.
    /// O. Reg. 213/91, s. 87: no uplift, sliding, overturning or lateral displacement.
    pub static FOOT_LIFTS = {
        code: "SW303",
        name: "foot-lifts",
        summary: "a post's foot lifts under a lateral force",
        severity: Severity::Watch,
        follows: ["SW101", "SW301", "SW302"],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(6)", seen: Seen::Memory },
            Source { title: "Ontario Regulation 213/91", locator: "s. 87", seen: Seen::Print },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let mut blocks: BTreeMap<&str, Vec<(MemberId, &str)>> = BTreeMap::new();
    for (post, case) in &ctx.mechanics.lifting_feet {
        let block = assembly.member(*post).block.as_deref().unwrap_or("");
        blocks.entry(block).or_default().push((*post, case));
    }
    for (block, feet) in blocks {
        let mut posts: Vec<MemberId> = feet.iter().map(|(post, _)| *post).collect();
        posts.sort_unstable();
        posts.dedup();
        let mut cases: Vec<String> = feet.iter().map(|(_, case)| (*case).to_owned()).collect();
        cases.sort();
        cases.dedup();
        let mut seen = Observation::new(
            Severity::Watch,
            format!("Feet of {} lift under a lateral force", support::posts(assembly, &posts)),
            posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.group = Group::Widens(block.to_owned());
        seen.sample_data = assembly.library.sample;
        seen.evidence.notes.push(format!("Under {}.", list(&cases)));
        seen.cure(
            "brace a further bay, or tie back, before loading or leaving it",
            &[RemedyKind::Brace, RemedyKind::Tie],
        );
        out.push(seen);
    }
}
