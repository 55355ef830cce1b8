//! Heads that cannot be worked at from where people stand.

use super::support::{self, measure, units};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};
use crate::scene::model::Reach;
use std::collections::BTreeMap;

/// Height at which a person on the floor still works with both hands, metres. Choice of this project.
pub const FROM_FLOOR: f64 = 2.0;
/// The same from a ladder, where one hand holds on, metres. Choice of this project.
pub const FROM_LADDER: f64 = 3.0;

crate::declare_hazard! {
    /// ## What it checks
    /// Where the scene says what people stand on who work at the heads: whether the heads are within
    /// reach of it, 2 m from the floor and 3 m from a ladder.
    ///
    /// ## Why it is dangerous
    /// Locks, wedges and clips above reach are knocked home with a pole, or not at all; who climbs
    /// the braces hangs on the very post that is not yet held.
    ///
    /// ## Example
    /// `tests/checks/out_of_reach/fires.ron`: heads at 9 ft, put up from the floor.
    ///
    /// ## Limits
    /// It asks only where `surroundings` states `reach`; otherwise it is for the walk. Whether the
    /// lift or tower gets to every head is not known.
    ///
    /// ## Source
    /// 29 CFR 1926.451(e)(1) for access above 2 ft and 1926.1053(b) for ladders; the heights are this
    /// project's choice, common practice.
    pub static OUT_OF_REACH = {
        code: "SW412",
        name: "out-of-reach",
        summary: "heads lie above what can be worked at from the floor or ladder",
        severity: Severity::FixFirst,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart L", locator: "1926.451(e)(1)", seen: Seen::Print },
            Source { title: "Choice of this project", locator: "2 m from the floor, 3 m from a ladder", seen: Seen::Practice },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let (most, from) = match assembly.scene.surroundings.reach {
        Some(Reach::Floor) => (FROM_FLOOR, "the floor"),
        Some(Reach::Ladder) => (FROM_LADDER, "a ladder"),
        Some(Reach::Tower | Reach::Lift) | None => return,
    };
    let mut blocks: BTreeMap<Option<&str>, Vec<(MemberId, f64)>> = BTreeMap::new();
    for post in assembly.members.iter().filter(|m| m.is_post()) {
        let height = post.ends[1].z - post.ends[0].z;
        if ctx.stage.state(post.id).is_there() && height > most {
            blocks.entry(post.block.as_deref()).or_default().push((post.id, height));
        }
    }
    for (block, posts) in blocks {
        let highest = posts.iter().map(|p| p.1).fold(0.0, f64::max);
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "Heads at {} are worked at from {from}, which reaches {}",
                units(ctx).length(highest),
                units(ctx).length(most)
            ),
            posts.iter().map(|p| assembly.name(p.0).to_owned()).collect(),
        );
        seen.group = Group::Widens(block.unwrap_or_default().to_owned());
        seen.evidence.measures.push(measure(
            "head above the foot",
            highest,
            Some(most),
            false,
            Dimension::Length,
        ));
        seen.cures.push("work from a lift or a rolling tower".to_owned());
        let ids: Vec<MemberId> = posts.iter().map(|p| p.0).collect();
        seen.evidence.notes.push(format!("Posts {}.", support::posts(assembly, &ids)));
        out.push(seen);
    }
}
