//! Fresh concrete heaped higher than the live load allows for.

use super::support::{self, measure, placing, units};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};
use crate::scene::model::LoadPlace;

crate::declare_hazard! {
    /// ## What it checks
    /// The mean pressure of each heap of fresh concrete over its foot, a cone, against the pack's
    /// live load while placing. The heap's weight is also on the deck and taken down like any other.
    ///
    /// ## Why it is dangerous
    /// Concrete dropped in one place and spread later puts several times the slab's weight on one
    /// joist, and with it the people who stand there to spread it.
    ///
    /// ## Example
    /// `tests/checks/heap_too_high/fires.ron`: a cone a little over a foot high; the live load allows
    /// for exactly one foot.
    ///
    /// ## Limits
    /// The live load is also there for people and tools: a heap just within it leaves nothing for
    /// them. Impact of the drop is not in it.
    ///
    /// ## Source
    /// ACI 347-04 2.2.1 for a live load that holds heaps and impact; EN 1991-1-6 4.11.2 sets a load
    /// of its own for heaped concrete (both from memory). Cone: a third of height times foot.
    pub static HEAP_TOO_HIGH = {
        code: "SW702",
        name: "heap-too-high",
        summary: "fresh concrete is heaped higher than the live load allows for",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "EN 1991-1-6", locator: "4.11.2", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let unit = units(ctx);
    let limit = ctx.pack.live_load.value.si();
    for load in placing::concrete(&ctx.stage.loads) {
        let LoadPlace::Heap { across, height, .. } = &load.text.on else { continue };
        let pressure = ctx.pack.concrete.value.si() * height.si() / 3.0;
        if pressure <= limit * (1.0 + 1e-9) {
            continue;
        }
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "Heap {} is {} high: {} over its foot, {} allowed for",
                load.text.name,
                unit.length(height.si()),
                unit.pressure(pressure),
                unit.pressure(limit)
            ),
            Vec::new(),
        );
        seen.group = Group::Widens(load.text.name.clone());
        seen.evidence.measures.push(measure(
            "mean pressure of the heap over its foot",
            pressure,
            Some(limit),
            false,
            Dimension::Pressure,
        ));
        seen.evidence.measures.push(measure(
            "width of its foot",
            across.si(),
            None,
            false,
            Dimension::Length,
        ));
        let allowed = 3.0 * limit / ctx.pack.concrete.value.si();
        seen.cures.push(format!("spread it as it comes; no heap above {}", unit.length(allowed)));
        seen.sources.push(support::rule(ctx, &ctx.pack.live_load));
        seen.sources.push(support::rule(ctx, &ctx.pack.concrete));
        out.push(seen);
    }
}
