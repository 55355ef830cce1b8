//! A sheet pulled out from between a tight post and the slab.

use super::support;
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// Whether a step takes away a sheet that lies over the head of a post that is tight under the
    /// slab. Heads whose cap stands through the deck trap nothing.
    ///
    /// ## Why it is dangerous
    /// A trapped sheet does not come free: it is prised out and knocks the post over, or the post is
    /// slackened to let it go and is no longer undisturbed.
    ///
    /// ## Example
    /// `tests/checks/sheet_trapped/fires.ron`: a sheet taken over a plain head that is still tight.
    ///
    /// ## Limits
    /// Goes by the outline of the sheet and the width of the head.
    ///
    /// ## Source
    /// Common practice; no published source. 29 CFR 1926.703(b)(10) for the load path that must stay.
    pub static SHEET_TRAPPED = {
        code: "SW805",
        name: "sheet-trapped",
        summary: "a sheet is taken from between a tight post and the slab",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "Common practice", locator: "sheets trapped by posts", seen: Seen::Practice }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let mut by_sheet: BTreeMap<MemberId, Vec<MemberId>> = BTreeMap::new();
    for &(sheet, post) in &ctx.stage.strip.trapped {
        by_sheet.entry(sheet).or_default().push(post);
    }
    for (sheet, posts) in by_sheet {
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "{} is trapped by {}, tight under the slab",
                support::words::sentence(&support::beam(assembly, sheet)),
                if let [one] = posts[..] {
                    support::beam(assembly, one)
                } else {
                    format!("posts {}", support::posts(assembly, &posts))
                }
            ),
            vec![assembly.name(sheet).to_owned()],
        );
        seen.others = posts.iter().map(|&p| assembly.name(p).to_owned()).collect();
        seen.cures.push(
            "leave it until its posts are backed off, one at a time, and snugged up again"
                .to_owned(),
        );
        seen.cures.push("lay sheets so that they end beside the heads".to_owned());
        out.push(seen);
    }
}
