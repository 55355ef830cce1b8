//! Members close to a joint that is none.

use super::support::{self, measure, units};
use super::{Source, StageContext};
use crate::assembly::model::NearMissKind;
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Members that come close without meeting: a ledger's end short of the head, a brace that
    /// passes a post beside it, two members in the same place. They are never joined in silence.
    ///
    /// ## Why it is dangerous
    /// On a drawing it looks joined. On site the end either hangs on nothing or is forced into place
    /// and pulls the post out of plumb.
    ///
    /// ## Example
    /// `tests/checks/joint_near_miss/fires.ron`: a ledger that ends 26 mm short of a head.
    ///
    /// ## Limits
    /// Gaps within the fitting tolerance are joints; gaps wider than the search distance are not
    /// taken for joints that were meant.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(6): firm contact of heads and extension devices. The tolerance is a choice
    /// of this project.
    pub static JOINT_NEAR_MISS = {
        code: "SW502",
        name: "joint-near-miss",
        summary: "two members come close without meeting, or run through one another",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(6)", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for miss in &assembly.near_misses {
        if !ctx.stage.state(miss.a).is_there() || !ctx.stage.state(miss.b).is_there() {
            continue;
        }
        let a = support::words::sentence(&support::beam(assembly, miss.a));
        let b = support::beam(assembly, miss.b);
        let gap = units(ctx).length(miss.gap.abs());
        let headline = match miss.kind {
            NearMissKind::EndShort => format!("{a} ends {gap} short of {b}: they are not joined"),
            NearMissKind::Passes => format!("{a} passes {b} at {gap} without meeting it"),
            NearMissKind::Through => format!("{a} and {b} occupy the same place"),
        };
        let mut seen = Observation::new(
            Severity::FixFirst,
            headline,
            vec![assembly.name(miss.a).to_owned(), assembly.name(miss.b).to_owned()],
        );
        seen.evidence.measures.push(measure("gap", miss.gap, None, false, Dimension::Length));
        seen.cures.push(match miss.kind {
            NearMissKind::EndShort => "use the member that fits, or move the post".to_owned(),
            NearMissKind::Passes => "couple it to the post, or set it where it meets".to_owned(),
            NearMissKind::Through => "move one of them".to_owned(),
        });
        out.push(seen);
    }
}
