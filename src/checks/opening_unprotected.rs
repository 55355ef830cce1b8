//! An opening that is neither covered nor guarded.

use super::support::plan::corners;
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, Severity};

/// An opening narrower than this is none, metres: 2 in.
const NONE: f64 = 0.051;

crate::declare_hazard! {
    /// ## What it checks
    /// The openings that the scene states under `surroundings`: each must be covered or have rails on
    /// all sides as long as anything of the work stands.
    ///
    /// ## Why it is dangerous
    /// Who carries a ledger in front of them does not see the hole for the stair. A loose piece of
    /// plywood over it is a trap: it is picked up, and the next step goes into the hole.
    ///
    /// ## Example
    /// `tests/checks/opening_unprotected/fires.ron`: a stair opening in the floor the tower stands
    /// on.
    ///
    /// ## Limits
    /// Openings that nobody wrote down are not known; walk the floor. Least sides below 2 in do not
    /// count.
    ///
    /// ## Source
    /// 29 CFR 1926.501(b)(4), holes; 1926.502(i), covers; 1926.500(b), 2 in (from memory).
    pub static OPENING_UNPROTECTED = {
        code: "SW411",
        name: "opening-unprotected",
        summary: "an opening in a floor or deck is neither covered nor guarded",
        severity: Severity::FixFirst,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart M", locator: "1926.501(b)(4)", seen: Seen::Memory },
            Source { title: "29 CFR 1926 Subpart M", locator: "1926.502(i)", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    if !ctx.stage.members.iter().any(|m| m.is_there()) {
        return;
    }
    for opening in &ctx.assembly.scene.surroundings.openings {
        let [low, high] = corners(opening.from, opening.to);
        let least = (high[0] - low[0]).min(high[1] - low[1]);
        if opening.covered || opening.guarded || least < NONE {
            continue;
        }
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!("Opening {} is neither covered nor guarded", opening.name),
            Vec::new(),
        );
        seen.group = Group::Widens(opening.name.clone());
        seen.cures
            .push("cover it, fixed, marked and strong enough, or guard all its sides".to_owned());
        out.push(seen);
    }
}
