//! One post on another, with the splice not held.

use super::support;
use super::{Source, StageContext};
use crate::assembly::JointKind;
use crate::criteria::model::Seen;
use crate::findings::{Observation, RemedyKind, Severity};
use crate::sequence::JointState;

crate::declare_hazard! {
    /// ## What it checks
    /// Where one post stands on another, whether the splice is held in both directions by a path to
    /// a diagonal or tie.
    ///
    /// ## Why it is dangerous
    /// The splice is a hinge in the middle of a leg. Without bracing at that level, in both
    /// directions, the two posts fold there under the load that either would carry alone.
    ///
    /// ## Example
    /// `tests/checks/tiered_post_unbraced/fires.ron`: an upper tier on a lower one that is braced in
    /// one direction only.
    ///
    /// ## Limits
    /// The alignment of the posts and the splice itself are for the eye and the designer. That a
    /// designer must have drawn it is said with every tiered post.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(8): tiered single post shores, braced in two perpendicular directions at
    /// the splice, each tier diagonally braced likewise, designed by a qualified designer. EM
    /// 385-1-1, 27.C.09.
    pub static TIERED_POST_UNBRACED = {
        code: "SW505",
        name: "tiered-post-unbraced",
        summary: "a post on a post is not braced in both directions at the splice",
        severity: Severity::FixFirst,
        follows: ["SW101"],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(8)", seen: Seen::Memory },
            Source { title: "EM 385-1-1", locator: "27.C.09", seen: Seen::Print },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for joint in assembly.joints.iter().filter(|j| j.kind == JointKind::Splice) {
        let Some(lower) = joint.carrier else { continue };
        if ctx.stage.joint(joint.id) == JointState::Open
            || !ctx.stage.stands(joint.member)
            || !ctx.stage.state(lower).is_there()
        {
            continue;
        }
        let loose = ctx.loose.iter().find(|g| g.posts.contains(&lower));
        let open: Vec<&str> = ctx
            .restraint
            .holds
            .iter()
            .filter(|h| h.post == lower && h.path.is_empty())
            .map(|h| if h.direction[0].abs() >= h.direction[1].abs() { "x" } else { "y" })
            .collect();
        if open.is_empty() && loose.is_none() {
            continue;
        }
        let along =
            if open.is_empty() { "either way" } else { &format!("along {}", open.join(" and ")) };
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "Tiered post {}: the splice is not braced {along}",
                support::short(assembly, joint.member)
            ),
            vec![assembly.name(joint.member).to_owned(), assembly.name(lower).to_owned()],
        );
        seen.cause = loose.map(|g| g.cause(assembly));
        seen.evidence
            .notes
            .push("Tiered single posts are to be designed by a qualified designer.".to_owned());
        seen.cure(
            "brace the splice level both ways, with diagonals in each tier",
            &[RemedyKind::Brace],
        );
        seen.cures.push("use one taller post".to_owned());
        out.push(seen);
    }
}
