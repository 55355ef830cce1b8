//! People under fresh concrete while it goes in.

use super::support::{measure, placing, units};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// At each placing step, whether anybody the scene puts somewhere stands below the strip that is
    /// being placed or inside the zone to keep out of; and whether there is such a zone at all.
    ///
    /// ## Why it is dangerous
    /// Most collapses happen while placing. Whoever is on the deck rides down with it; whoever is
    /// below is under it.
    ///
    /// ## Example
    /// `tests/checks/people_below_placing/fires.ron`: a fitter two inches inside the zone.
    ///
    /// ## Limits
    /// It knows of people that the scene writes down. Whoever watches the shoring does so from
    /// outside the zone.
    ///
    /// ## Source
    /// 29 CFR 1926.701(f), from memory: no employee under concrete buckets and overhead loads;
    /// clearing the floor below during placing is common practice, no published source.
    pub static PEOPLE_BELOW_PLACING = {
        code: "SW705",
        name: "people-below-placing",
        summary: "somebody is below fresh concrete while it goes in, or no zone is kept clear",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.701(f)", seen: Seen::Memory },
            Source { title: "Choice of this project", locator: "a zone below the strip being placed", seen: Seen::Practice },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let strips: Vec<_> = placing::placed_now(ctx)
        .filter_map(|l| {
            Some((placing::rect(&l.text.on)?, placing::level(ctx.assembly, &l.text.on)))
        })
        .collect();
    let Some(level) = strips.iter().map(|s| s.1).reduce(f64::max) else { return };
    let zones = &ctx.stage.placing.keep_out;
    if zones.is_empty() {
        let headline = "No zone below is kept clear while concrete goes in";
        let mut seen = Observation::new(Severity::Watch, headline, Vec::new());
        seen.group = Group::Widens("no zone".to_owned());
        seen.cures.push("keep everybody out from below the strip and beside it".to_owned());
        out.push(seen);
    }
    for person in &ctx.stage.people {
        let at = [person.at.x, person.at.y];
        // On the deck, not below it.
        if person.at.z > level - 0.5 {
            continue;
        }
        let below = strips.iter().any(|(rect, _)| placing::holds(rect, at, 0.0));
        if !below && !zones.iter().any(|zone| placing::holds(zone, at, 0.0)) {
            continue;
        }
        let mut seen = Observation::new(
            Severity::Stop,
            format!(
                "{} is {} while concrete goes in",
                super::support::words::sentence(&person.who),
                if below { "below the strip" } else { "inside the zone to keep out of" }
            ),
            Vec::new(),
        );
        seen.group = Group::Widens(format!("person: {}", person.who));
        seen.evidence.measures.push(measure(
            "height of fresh concrete above",
            level - person.at.z,
            None,
            false,
            Dimension::Length,
        ));
        seen.evidence.notes.push(format!(
            "At {}, {} in plan.",
            units(ctx).length(at[0]),
            units(ctx).length(at[1])
        ));
        seen.cures.push("stop placing until the floor below is clear".to_owned());
        out.push(seen);
    }
}
