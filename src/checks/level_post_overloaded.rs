//! Posts of a level of shores or reshores that carry more than their table allows.

use super::support::{levels, measure, units};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};
use crate::levels::PropKind;

crate::declare_hazard! {
    /// ## What it checks
    /// The force in one post of each level of `levels` at every step, the greater of equal sharing and
    /// of props that shorten, against the post's table at its height.
    ///
    /// ## Why it is dangerous
    /// Shores low in the building carry several floors. A level that gives way drops all of them.
    ///
    /// ## Example
    /// `tests/checks/level_post_overloaded/fires.ron`: two floors on posts spaced for one.
    ///
    /// ## Limits
    /// Every post of a level gets the same slab area.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(1). Grundy and Kabaila 1963 for the shares.
    pub static LEVEL_POST_OVERLOADED = {
        code: "SW810",
        name: "level-post-overloaded",
        summary: "posts of a level of shores or reshores carry more than their capacity",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory },
            Source { title: "ACI 347.2R", locator: "simplified method, after Grundy and Kabaila", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let unit = units(ctx);
    let mut worst = std::collections::BTreeMap::new();
    for state in levels::at_stage(ctx) {
        for props in &state.props {
            // No row in the table for this height: anything is too much.
            let used = props.use_of_capacity().unwrap_or(f64::INFINITY);
            let load = props.equal.max(props.finite);
            let near = load > 0.0 && used > ctx.pack.use_of_capacity.value;
            let more = worst.get(&props.slab).is_none_or(|(before, _, _)| used > *before);
            if near && more {
                worst.insert(props.slab.clone(), (used, state.clone(), props.clone()));
            }
        }
    }
    for (slab, (used, state, props)) in worst {
        let over = used > 1.0 + 1e-9;
        let load = props.equal.max(props.finite);
        let kind = if props.kind == PropKind::Shore { "Shores" } else { "Reshores" };
        let (severity, headline) = match props.capacity {
            Some(capacity) => (
                if over { Severity::Stop } else { Severity::Watch },
                format!(
                    "{kind} under slab {slab} carry {} each, {} their {} ({})",
                    unit.force(load),
                    if over { "more than" } else { "close to" },
                    unit.force(capacity),
                    state.what
                ),
            ),
            None => (
                Severity::FixFirst,
                format!(
                    "{kind} under slab {slab} carry {} each; their table has no such height",
                    unit.force(load)
                ),
            ),
        };
        let mut seen = if props.capacity.is_some() {
            Observation::new(severity, headline, Vec::new())
        } else {
            Observation::unknown(headline, Vec::new())
        };
        seen.group = Group::Widens(format!("props:{slab}:{over}"));
        seen.sample_data = ctx.assembly.library.sample;
        seen.evidence.measures.push(measure(
            format!("force in one post under slab {slab}"),
            load,
            props.capacity,
            false,
            Dimension::Force,
        ));
        seen.evidence.notes.push(format!(
            "After \"{}\", day {}: equal sharing gives {}, props that shorten {}; {:.0} % of the posts are in.",
            state.what,
            state.day,
            unit.force(props.equal),
            unit.force(props.finite),
            100.0 * props.left
        ));
        seen.cures.push("set posts closer, or stronger ones".to_owned());
        seen.cures.push("strip a level before the next floor is cast".to_owned());
        out.push(seen);
    }
}
