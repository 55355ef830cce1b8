//! Part of a slab that no strip of its pour covers.

use super::support::{measure, placing, units};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};
use crate::plan::{Plan, anticlockwise, clip, rectangle, size_and_centre};
use crate::scene::model::LoadPlace;
use std::collections::BTreeSet;

crate::declare_hazard! {
    /// ## What it checks
    /// At the last stage, whether the strips that were placed of each slab cover all of its outline.
    ///
    /// ## Why it is dangerous
    /// What no strip holds is not on any post in this review, and will be on one on the day.
    ///
    /// ## Example
    /// `tests/checks/slab_part_not_placed/fires.ron`: the last strip ends six inches short.
    ///
    /// ## Limits
    /// A slab of which nothing is placed is not asked about. Less than a hundredth of its area is
    /// taken for play in the numbers.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(1): formwork to carry all loads that may reasonably be anticipated.
    pub static SLAB_PART_NOT_PLACED = {
        code: "SW708",
        name: "slab-part-not-placed",
        summary: "part of a slab is in no strip of its pour, so its weight is not judged",
        severity: Severity::Watch,
        follows: [],
        sources: [Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory }],
        check: check,
    }
}

/// Share of a slab's area that may be missing.
const PLAY: f64 = 0.01;

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    if ctx.stage.index + 1 != ctx.sequence.stages.len() {
        return;
    }
    // Placed at any time: the load may have been taken off since.
    let mut strips: BTreeSet<(&str, [u64; 4])> = BTreeSet::new();
    for load in ctx.sequence.stages.iter().flat_map(|s| placing::concrete(&s.loads)) {
        if let LoadPlace::Pour { slab, .. } = &load.text.on
            && let Some([a, b]) = placing::rect(&load.text.on)
        {
            strips.insert((slab, [a[0], a[1], b[0], b[1]].map(f64::to_bits)));
        }
    }
    for slab in &ctx.assembly.scene.slabs {
        let outline: Vec<Plan> =
            anticlockwise(slab.outline.iter().map(|p| [p.0.si(), p.1.si()]).collect());
        let whole = size_and_centre(&outline).0.abs();
        let mut any = false;
        let placed: f64 = strips
            .iter()
            .filter(|(name, _)| *name == slab.name)
            .map(|(_, corners)| {
                any = true;
                let [x0, y0, x1, y1] = corners.map(f64::from_bits);
                let within = rectangle([x0, y0], [x1, y1], [1.0, 0.0]);
                size_and_centre(&clip(&outline, &within)).0.abs()
            })
            .sum();
        let missing = 1.0 - placed / whole;
        if !any || missing <= PLAY {
            continue;
        }
        let mut seen = Observation::new(
            Severity::Watch,
            format!("{:.0} % of slab {} is in no strip: not judged", missing * 100.0, slab.name),
            Vec::new(),
        );
        seen.group = Group::Widens(slab.name.clone());
        seen.evidence.measures.push(measure(
            "share of the slab in no strip",
            missing,
            Some(PLAY),
            false,
            Dimension::Ratio,
        ));
        let density = ctx.pack.concrete.value.si();
        seen.evidence.notes.push(format!(
            "It would weigh {}.",
            units(ctx).force(missing * whole * slab.thickness.si() * density)
        ));
        seen.cures.push("add strips until they cover the slab".to_owned());
        out.push(seen);
    }
}
