//! Reshores taken in an order that loads the slabs more than the other order would.

use super::support::measure;
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};
use crate::levels::job::worse_orders;

crate::declare_hazard! {
    /// ## What it checks
    /// Steps of `levels` that take reshores below before the shores above them are stripped. The job is
    /// gone through again with the two steps swapped; if the slabs then carry less, the order is worse.
    ///
    /// ## Why it is dangerous
    /// What the reshores had goes into the slabs while the shores still press on them: one level of
    /// shores and one of reshores load each slab with 1.75 of its weight instead of 1.50.
    ///
    /// ## Example
    /// `tests/checks/reshore_order_worse/fires.ron`: the lowest reshores taken a step too early.
    ///
    /// ## Limits
    /// Looks at neighbouring steps, by equal sharing alone.
    ///
    /// ## Source
    /// ACI 347.2R, cycle of operations: strip, then take the lowest reshores, then place them.
    pub static RESHORE_ORDER_WORSE = {
        code: "SW809",
        name: "reshore-order-worse",
        summary: "reshores are taken before the shores above are stripped, which loads slabs more",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "ACI 347.2R", locator: "cycle of operations", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let Some(levels) = &ctx.assembly.scene.levels else { return };
    let first = super::support::levels::at_stage(ctx);
    for worse in worse_orders(levels, ctx.pack, &ctx.assembly.library) {
        let Some(state) = first.iter().find(|s| s.step == worse.step) else { continue };
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "\"{}\" comes too early: slab {} then gets {:.2} of its weight instead of {:.2}",
                state.what, worse.slab, worse.written, worse.swapped
            ),
            Vec::new(),
        );
        seen.group = Group::Widens(format!("order:{}", worse.step));
        seen.evidence.measures.push(measure(
            format!("largest load of slab {} over its weight", worse.slab),
            worse.written,
            Some(worse.swapped),
            false,
            Dimension::Ratio,
        ));
        seen.cures.push("strip the shores above first, then take the lowest reshores".to_owned());
        out.push(seen);
    }
}
