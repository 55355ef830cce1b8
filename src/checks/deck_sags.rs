//! A beam or sheet that sags more than it may under the concrete.

use super::support::usage::{self, Heavy, Sayings};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::calc::{self, At};
use crate::capacity::{Missing, Work};
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// While fresh concrete lies on the deck: the greatest sag of each beam and sheet under the
    /// loads of the stage, against its span over the pack's number; of an overhang against twice
    /// its length. Sheets have a limit of their own besides.
    ///
    /// ## Why it is dangerous
    /// Sag stays in the slab, holds more concrete than was counted on, and a soft deck moves under
    /// those who work on it.
    ///
    /// ## Example
    /// `tests/checks/deck_sags/fires.ron`: concrete a little too thick for the ledger's span.
    ///
    /// ## Limits
    /// All loads of the stage count, those that do not stay too. Beams over several supports are
    /// taken as cut at them, sheets as simple spans. Shear does not count.
    ///
    /// ## Source
    /// ACI SP-4, span over 360; BS 5975 practice, span over 270: the criteria pack's number.
    pub static DECK_SAGS = {
        code: "SW213",
        name: "deck-sags",
        summary: "a beam or sheet sags more than the pack allows under the concrete",
        severity: Severity::Watch,
        follows: [],
        sources: [
            Source { title: "ACI SP-4", locator: "deflection limit of forms", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let at = At::of(ctx);
    if !at.concrete_is_on() {
        return;
    }
    let (mut found, mut missing) = (Vec::new(), BTreeMap::<Missing, Vec<MemberId>>::new());
    for member in ctx.assembly.members.iter().filter(|m| ctx.stage.state(m.id).is_there()) {
        let heavy = |usage| Heavy { member: member.id, part: &member.part, respect: "sag", usage };
        if let Some((usage, _)) = calc::sag(&mut Work::silent(), &at, member) {
            found.push(heavy(usage));
        }
        // Sheets that cannot be calculated at all are `sheet-overstressed`.
        if let Ok(Some(sheet)) = calc::sheet(&mut Work::silent(), &at, member) {
            match sheet.sag {
                Some(Ok(usage)) => found.push(heavy(usage)),
                Some(Err(why)) => missing.entry(why).or_default().push(member.id),
                None => {}
            }
        }
    }
    let say = Sayings {
        over: Severity::Watch,
        near: false,
        cures: &[
            ("use a stiffer beam or sheet, or a shorter span", &[]),
            ("ask the engineer how much sag the slab can take", &[]),
        ],
    };
    let from = out.len();
    usage::report(ctx, found, &say, out);
    for seen in &mut out[from..] {
        seen.sources.push(super::support::rule(ctx, &ctx.pack.deflection));
    }
    usage::unknown(ctx, missing, "Sag", out);
}
