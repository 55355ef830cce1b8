//! A post left in under a slab with more of it than the post may carry.

use super::support::{self, below, measure, units};
use super::tall_single_leg::use_of;
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// The most that a slab that carries itself may have on each post under it, with what else is on the
    /// post, against its capacity at its height: on one left undisturbed the weight of all slab nearer
    /// to it than to any other tight post, column or wall; on any that touches, reshores too, what
    /// `levels` finds in one post of its level, with all that was cast above.
    ///
    /// ## Why it is dangerous
    /// Each post taken away gives its share to those left. The last ones standing have the most.
    ///
    /// ## Example
    /// `tests/checks/left_in_overloaded/fires.ron`: posts taken away around one that stays.
    ///
    /// ## Limits
    /// An upper bound. What is cast above counts only where the scene has `levels`. Posts snugged up
    /// again carry nothing of the slab's own weight.
    ///
    /// ## Source
    /// 29 CFR 1926.703(e)(2). Shares by the nearest support are common practice.
    pub static LEFT_IN_OVERLOADED = {
        code: "SW807",
        name: "left-in-overloaded",
        summary: "a post left in may have more of the slab on it than it carries",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(e)(2)", seen: Seen::Memory },
            Source { title: "Common practice", locator: "shares by the nearest support", seen: Seen::Practice },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let unit = units(ctx);
    let shares = crate::loads::slab::pressing(assembly, ctx.pack, ctx.stage);
    let mut over = Vec::new();
    for (post, slab) in shares {
        let Some(usage) = use_of(ctx, assembly.member(post)) else { continue };
        let load = usage.load + slab;
        if ctx.stage.stands(post) && below(usage.capacity * (1.0 + 1e-9), load) {
            over.push((post, load, usage.capacity));
        }
    }
    let Some(worst) = over.iter().max_by(|a, b| (a.1 / a.2).total_cmp(&(b.1 / b.2))) else {
        return;
    };
    let more = if over.len() > 1 { format!(" ({} posts)", over.len()) } else { String::new() };
    let who = support::short(assembly, worst.0);
    let mut seen = Observation::new(
        Severity::Stop,
        format!(
            "Post {who}, left in, may have {} of slab on it, more than its {}{more}",
            unit.force(worst.1),
            unit.force(worst.2)
        ),
        over.iter().map(|o| assembly.name(o.0).to_owned()).collect(),
    );
    seen.group = Group::Widens("left in".to_owned());
    seen.sample_data = assembly.library.sample;
    seen.evidence.measures.push(measure(
        format!("most of the slab that {who} may carry, with its own load"),
        worst.1,
        Some(worst.2),
        false,
        Dimension::Force,
    ));
    seen.cures.push("leave more posts in, closer together".to_owned());
    seen.cures.push(
        "wait until the slab is released to be cleared, and take the posts from the middle out"
            .to_owned(),
    );
    out.push(seen);
}
