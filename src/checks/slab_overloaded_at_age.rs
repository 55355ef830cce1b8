//! A slab that carries more than it may at its age.

use super::support::{levels, measure, units};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// The load of each slab of `levels` at every casting and stripping step, the greater of equal
    /// sharing and of props that shorten, against what it carries at its age: its design load by its
    /// share of strength, and bending and punching where steel and column are given.
    ///
    /// ## Why it is dangerous
    /// Slabs below carry what is cast above. With several levels of shores a slab days old gets twice
    /// its own weight and more, and a slab that fails takes those below with it.
    ///
    /// ## Example
    /// `tests/checks/slab_overloaded_at_age/fires.ron`: the third slab cast when the first two are young.
    ///
    /// ## Limits
    /// The simplified method and its critics: slabs are equally stiff and equally large, nothing creeps,
    /// the ground does not give. Deflection and cracking are not judged.
    ///
    /// ## Source
    /// Grundy and Kabaila 1963; ACI 347.2R; full-scale tests at Cardington. 29 CFR 1926.701(a).
    pub static SLAB_OVERLOADED_AT_AGE = {
        code: "SW808",
        name: "slab-overloaded-at-age",
        summary: "a slab of the levels carries more than it may at its age",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.701(a)", seen: Seen::Print },
            Source { title: "ACI 347.2R", locator: "simplified method, after Grundy and Kabaila", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let unit = units(ctx);
    let mut worst = std::collections::BTreeMap::new();
    for state in levels::at_stage(ctx) {
        for slab in &state.slabs {
            let used = slab.use_of_capacity();
            let near = used > ctx.pack.use_of_capacity.value || used.is_nan();
            let more = worst.get(&slab.name).is_none_or(|(before, _, _)| used > *before);
            if near && more {
                worst.insert(slab.name.clone(), (used, state.clone(), slab.clone()));
            }
        }
    }
    for (name, (used, state, slab)) in worst {
        let over = used > 1.0 + 1e-9 || used.is_nan();
        let load = slab.equal.max(slab.finite);
        let mut seen = Observation::new(
            if over { Severity::Stop } else { Severity::Watch },
            format!(
                "Slab {name} carries {}, {} its {} ({})",
                unit.pressure(load),
                if over { "more than" } else { "close to" },
                unit.pressure(slab.capacity),
                state.what
            ),
            Vec::new(),
        );
        seen.group = Group::Widens(format!("level:{name}:{over}"));
        seen.evidence.measures.push(measure(
            format!("load of slab {name} after: {}", state.what),
            load,
            Some(slab.capacity),
            false,
            Dimension::Pressure,
        ));
        let age = slab.age.map_or("there before".to_owned(), |a| format!("{a} days old"));
        seen.evidence.notes.push(format!(
            "Day {}: {age}; equal sharing gives {}, props that shorten {}. Its capacity is by {}.",
            state.day,
            unit.pressure(slab.equal),
            unit.pressure(slab.finite),
            slab.by
        ));
        seen.evidence.notes.push("Props that shorten leave more in the top slab than equal sharing says (about 70 to 30 at Cardington, from memory).".to_owned());
        seen.cures.push("wait longer before the next casting or stripping".to_owned());
        seen.cures.push("add levels of reshores, and strip before the lowest are taken".to_owned());
        out.push(seen);
    }
}
