//! A sheet that lies loose and lifts in the wind.

use super::support::{self, measure, units};
use super::{Source, StageContext};
use crate::assembly::{MemberId, Role};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};
use crate::loads::lateral::HALF_AIR_DENSITY;
use std::collections::BTreeMap;

/// Net suction on a flat roof open to all sides over the velocity pressure, at its edge, where every
/// sheet lies while the deck is being laid. Source: EN 1991-1-4 Table 7.6, flat canopy, not
/// blocked, edge zones −1.3 and −1.4 (from memory).
pub const SUCTION: f64 = 1.4;

crate::declare_hazard! {
    /// ## What it checks
    /// Sheets that lie on the deck and are not nailed: whether the working wind, as suction at the
    /// edge of an open flat roof, lifts them against their weight and what lies on them.
    ///
    /// ## Why it is dangerous
    /// A sheet that takes off hits who is in its way, leaves a hole in the deck, and is trodden on
    /// again by somebody who did not see it move.
    ///
    /// ## Example
    /// `tests/checks/sheet_lifts_in_wind/fires.ron`: sheets merely laid in a wind just above the one
    /// that lifts them.
    ///
    /// ## Limits
    /// The working wind is the scene's, or the pack's; a gust or a sheet tilted in somebody's hands
    /// takes less. People on a sheet are not counted, they walk off. Nailed sheets are not looked
    /// at.
    ///
    /// ## Source
    /// Weight against suction. EN 1991-1-4 Table 7.6 for flat canopies (from memory).
    pub static SHEET_LIFTS_IN_WIND = {
        code: "SW409",
        name: "sheet-lifts-in-wind",
        summary: "a sheet that is laid and not nailed lifts in the working wind",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "EN 1991-1-4", locator: "Table 7.6", seen: Seen::Memory }],
        check: check,
    }
}

fn speed_words(unit: crate::units::UnitSystem, speed: f64) -> String {
    match unit {
        crate::units::UnitSystem::Feet => format!("{:.0} mph", speed / 0.447_04),
        crate::units::UnitSystem::Metres => format!("{speed:.1} m/s"),
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let wind = assembly.scene.wind.as_ref();
    let speed = wind.map_or(ctx.pack.working_wind.value.si(), |w| w.working.si());
    let mut blocks: BTreeMap<Option<&str>, Vec<(MemberId, f64)>> = BTreeMap::new();
    for sheet in assembly.members.iter().filter(|m| m.role == Role::Sheet) {
        if !ctx.stage.stands(sheet.id) || ctx.stage.nailed[sheet.id.index()] {
            continue;
        }
        let Some(part) = assembly.library.sheets.get(&sheet.part) else { continue };
        let area = part.size.0.si() * part.size.1.si();
        let people: f64 = ctx
            .stage
            .loads
            .iter()
            .filter(|l| l.text.kind == crate::scene::model::LoadKind::Workers)
            .map(|l| {
                let name = l.text.name.as_str();
                let on = &ctx.loads.on[sheet.id.index()];
                on.iter().filter(|on| on.what == name).map(|on| on.force).sum::<f64>()
            })
            .sum();
        let down = ctx.loads.on[sheet.id.index()].iter().map(|l| l.force).sum::<f64>() - people;
        let lifts_at = (down.max(0.0) / (HALF_AIR_DENSITY * SUCTION * area)).sqrt();
        if support::below(lifts_at, speed) {
            blocks.entry(sheet.block.as_deref()).or_default().push((sheet.id, lifts_at));
        }
    }
    for (block, sheets) in blocks {
        let least = sheets.iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
        let unit = units(ctx);
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "{} not nailed: a wind of {} lifts them, work goes on up to {}",
                if sheets.len() == 1 {
                    "A sheet lies loose,".to_owned()
                } else {
                    format!("{} sheets lie loose,", sheets.len())
                },
                speed_words(unit, least),
                speed_words(unit, speed)
            ),
            sheets.iter().map(|s| assembly.name(s.0).to_owned()).collect(),
        );
        seen.evidence.measures.push(measure(
            "weight over suction at the working wind",
            (least / speed).powi(2),
            Some(1.0),
            true,
            Dimension::Ratio,
        ));
        seen.group = Group::Widens(block.unwrap_or_default().to_owned());
        seen.sample_data = assembly.library.sample;
        seen.cures.push("nail each sheet as it is laid".to_owned());
        seen.cures.push("take loose sheets off before the wind comes".to_owned());
        seen.sources.push(support::rule(ctx, &ctx.pack.working_wind));
        out.push(seen);
    }
}
