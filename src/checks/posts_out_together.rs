//! Two neighbouring posts out at once under a slab that still needs them.

use super::support;
use super::{Source, StageContext};
use crate::concrete::Released;
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, Severity};
use crate::sequence::SlabNow;
use crate::sequence::strip::slab_over_member;
use std::collections::BTreeSet;

crate::declare_hazard! {
    /// ## What it checks
    /// Posts that were undisturbed under a slab and are backed off or gone while a neighbour is, before
    /// the slab is released to be cleared. A neighbour is no farther than the diagonal of a bay. And a
    /// single post taken away for good before then.
    ///
    /// ## Why it is dangerous
    /// With one post out the slab spans two bays of posts; with two it spans three, and the posts
    /// around them get what was on both. A post snugged up again starts with next to nothing: what it
    /// had stays in the slab.
    ///
    /// ## Example
    /// `tests/checks/posts_out_together/fires.ron`: two posts of one bay backed off before the first is
    /// snugged up again.
    ///
    /// ## Limits
    /// Counts posts, not the slab's strength. How much each floor carries is the affair of `levels`.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(10) and (e)(2). One post at a time in a neighbourhood is common practice.
    pub static POSTS_OUT_TOGETHER = {
        code: "SW806",
        name: "posts-out-together",
        summary: "two neighbouring posts are out at once under a slab that is not released",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(10), (e)(2)", seen: Seen::Memory },
            Source { title: "Common practice", locator: "one post at a time", seen: Seen::Practice },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let strip = &ctx.stage.strip;
    let held = |post| {
        slab_over_member(assembly, post)
            .is_some_and(|slab| strip.slab(slab) != SlabNow::Carries(Released::Clear))
    };
    let posts: BTreeSet<_> =
        strip.together.iter().filter(|(a, _)| held(*a)).flat_map(|&(a, b)| [a, b]).collect();
    if posts.is_empty() {
        gone(ctx, out);
        return;
    }
    let posts: Vec<_> = posts.into_iter().collect();
    let mut seen = Observation::new(
        Severity::Stop,
        format!(
            "Posts {} are out at the same time: neighbours one at a time",
            support::posts(assembly, &posts)
        ),
        posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
    );
    seen.group = Group::Joins("out".to_owned());
    seen.evidence.notes.push(
        "A post that was backed off is no longer undisturbed: snugged up, it starts again with next to nothing."
            .to_owned(),
    );
    seen.cures.push("snug one up again before its neighbour is backed off".to_owned());
    seen.cures.push("bring evidence that the slab may be cleared".to_owned());
    out.push(seen);
}

/// Posts taken away for good, with no neighbour out, before the slab is released to be cleared.
fn gone(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let strip = &ctx.stage.strip;
    let posts: Vec<_> = strip
        .out
        .iter()
        .copied()
        .filter(|&post| !ctx.stage.state(post).is_there())
        .filter(|&post| {
            slab_over_member(assembly, post)
                .is_some_and(|slab| strip.slab(slab) == SlabNow::Carries(Released::Strip))
        })
        .collect();
    if posts.is_empty() {
        return;
    }
    let (one, is) = if posts.len() == 1 { ("Post", "is") } else { ("Posts", "are") };
    let mut seen = Observation::new(
        Severity::FixFirst,
        format!(
            "{one} {} {is} taken away before the slab is released to be cleared",
            support::posts(assembly, &posts)
        ),
        posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
    );
    seen.group = Group::Joins("gone".to_owned());
    seen.cures.push("set it again and snug it up; it then starts with next to nothing".to_owned());
    seen.cures.push("bring evidence that the slab may be cleared, first".to_owned());
    out.push(seen);
}
