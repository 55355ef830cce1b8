//! A part too heavy for one person.

use super::support::{measure, units};
use super::{Source, StageContext};
use crate::assembly::Role;
use crate::criteria::model::Seen;
use crate::equipment::GRAVITY;
use crate::findings::{Dimension, Group, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// The mass of each part that is there against what one person is to lift.
    ///
    /// ## Why it is dangerous
    /// Who lifts too much drops it, or is hurt holding on to it; and a long post goes over from the
    /// hand before it is upright.
    ///
    /// ## Example
    /// `tests/checks/lift_too_heavy/fires.ron`: posts a little heavier than the limit.
    ///
    /// ## Limits
    /// Mass alone, under good conditions: reach, height and twisting make the limit smaller. A
    /// *note* up to what two people lift, a *watch* beyond.
    ///
    /// ## Source
    /// NIOSH lifting equation (1991), load constant; the limit is the criteria pack's.
    pub static LIFT_TOO_HEAVY = {
        code: "SW508",
        name: "lift-too-heavy",
        summary: "a part is too heavy for one person to lift",
        severity: Severity::Watch,
        follows: [],
        sources: [Source { title: "NIOSH lifting equation 1991", locator: "load constant", seen: Seen::Print }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let limit = ctx.pack.lift_weight.value.si();
    // By role and part: the greatest mass, and which members it is. Parts are few.
    let mut parts: Vec<(Role, &str, f64, Vec<&str>)> = Vec::new();
    for member in ctx.assembly.members.iter().filter(|m| ctx.stage.state(m.id).is_there()) {
        let mass = member.weight / GRAVITY;
        if mass > limit * (1.0 + 1e-9) {
            let known = parts.iter().rposition(|p| p.0 == member.role && p.1 == member.part);
            let at = known.unwrap_or_else(|| {
                parts.push((member.role, &member.part, 0.0, Vec::new()));
                parts.len() - 1
            });
            let (_, _, most, members) = &mut parts[at];
            *most = most.max(mass);
            members.push(&member.name);
        }
    }
    parts.sort_by_key(|(role, part, ..)| (*role, *part));
    for (_, part, mass, members) in parts {
        let people = (mass / limit).ceil();
        let mut seen = Observation::new(
            if people <= 2.0 { Severity::Note } else { Severity::Watch },
            format!(
                "{} weighs {}: a lift for {people:.0} people, {} each at most",
                part,
                units(ctx).mass(mass),
                units(ctx).mass(limit)
            ),
            members.into_iter().map(str::to_owned).collect(),
        );
        seen.group = Group::Widens(part.to_owned());
        seen.sample_data = ctx.assembly.library.sample;
        seen.evidence.measures.push(measure("mass", mass, Some(limit), false, Dimension::Mass));
        seen.cures.push(format!("lift it with {people:.0} people or a hoist"));
        seen.sources.push(super::support::rule(ctx, &ctx.pack.lift_weight));
        out.push(seen);
    }
}
