//! Concrete goes in and nobody watches the shoring.

use super::support::placing;
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Whether each step that places concrete names somebody who watches the shoring meanwhile.
    ///
    /// ## Why it is dangerous
    /// Shoring gives notice: a plate that sinks, a brace that bows, a ledger that lifts. There are
    /// minutes to stop the pump, if somebody sees it who can.
    ///
    /// ## Example
    /// `tests/checks/no_watch_while_placing/fires.ron`: the second of two strips has no watch.
    ///
    /// ## Limits
    /// A name is not a pair of eyes. The watch stands outside the zone to keep out of.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(3): inspected during concrete placement.
    pub static NO_WATCH_WHILE_PLACING = {
        code: "SW707",
        name: "no-watch-while-placing",
        summary: "nobody watches the shoring while concrete goes in",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(3)", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let mut placed = placing::placed_now(ctx).map(|l| l.text.name.as_str());
    let Some(first) = placed.next().filter(|_| ctx.stage.placing.watch.is_none()) else { return };
    let mut seen = Observation::new(
        Severity::FixFirst,
        format!("Nobody watches the shoring while {first} is placed"),
        Vec::new(),
    );
    seen.group = Group::Widens("watch".to_owned());
    seen.cures.push("name somebody who watches without a break and can stop the pump".to_owned());
    out.push(seen);
}
