//! Somebody works at an open edge of the deck.

use super::support::plan::{Plan, inside, outside};
use super::support::{self, measure, units};
use super::{Source, StageContext};
use crate::assembly::{Role, ground};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};

/// As near to an edge as this one is at it, metres: 6 ft, where a warning line would stand.
const AT_EDGE: f64 = 1.83;
/// A deck this far under or over a stated level is the one that is stood on, metres.
const SAME_LEVEL: f64 = 0.3;
/// Steps and directions in which the deck is felt for.
const STEP: f64 = 0.15;
const WAYS: u32 = 16;

crate::declare_hazard! {
    /// ## What it checks
    /// For everybody whose place the scene gives and who stands on the deck: whether it ends within
    /// 6 ft of them without a rail, higher above the floor than the pack's fall height, and they
    /// are not tied off.
    ///
    /// ## Why it is dangerous
    /// While a deck is being laid its edge moves, and who carries a sheet looks at the sheet. Falls
    /// from the leading edge kill more people than falsework that gives way.
    ///
    /// ## Example
    /// `tests/checks/edge_unprotected/fires.ron`: somebody nails near the end of a small deck.
    ///
    /// ## Limits
    /// It knows of the people written in the step, and of the rails that overhangs state. Nets and
    /// lifts below are not known. Holes narrower than 6 in are not seen.
    ///
    /// ## Source
    /// 29 CFR 1926.501(b)(2), leading edges; the height is the criteria pack's. The 6 ft are those of
    /// a warning line, 1926.502(f) (from memory).
    pub static EDGE_UNPROTECTED = {
        code: "SW410",
        name: "edge-unprotected",
        summary: "somebody works at an open edge of the deck and is not tied off",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "29 CFR 1926 Subpart M", locator: "1926.501(b)(2)", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let scene = &assembly.scene;
    let sheets: Vec<(f64, [Plan; 2])> = assembly
        .members
        .iter()
        .filter(|m| m.role == Role::Sheet && ctx.stage.state(m.id).is_there())
        .map(|m| {
            let (a, b) = (m.ends[0], m.ends[1]);
            (a.z.max(b.z), [[a.x.min(b.x), a.y.min(b.y)], [a.x.max(b.x), a.y.max(b.y)]])
        })
        .collect();
    if ctx.stage.people.is_empty() || sheets.is_empty() {
        return;
    }
    let ledges: Vec<(Vec<Plan>, bool)> = crate::loads::ledges(assembly, ctx.stage)
        .iter()
        .map(|l| (l.outline(assembly), l.overhang.rail))
        .collect();
    for person in ctx.stage.people.iter().filter(|p| !p.tied_off) {
        let at = [person.at.x, person.at.y];
        let deck: Vec<[Plan; 2]> = sheets
            .iter()
            .filter(|(level, _)| (level - person.at.z).abs() <= SAME_LEVEL)
            .map(|s| s.1)
            .collect();
        let stands = |p: Plan| {
            deck.iter().any(|&d| outside(p, d) < 0.01) || ledges.iter().any(|l| inside(p, &l.0))
        };
        if !deck.iter().any(|&d| outside(at, d) < 0.01) {
            continue;
        }
        let floor = scene
            .floors
            .iter()
            .filter(|f| ground::is_under(f, at))
            .map(|f| ground::level(f, at))
            .filter(|level| *level < person.at.z)
            .fold(f64::NEG_INFINITY, f64::max);
        let height = person.at.z - floor;
        if height <= ctx.pack.fall_height.value.si() {
            continue;
        }
        let railed = |p: Plan, back: Plan| {
            ledges
                .iter()
                .any(|(outline, rail)| *rail && (inside(p, outline) || inside(back, outline)))
        };
        let Some(near) = open_edge(at, stands, railed) else { continue };
        let unit = units(ctx);
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "{} works {} from an open edge, {} above the floor, not tied off",
                support::words::sentence(&person.who),
                unit.length(near),
                unit.length(height)
            ),
            Vec::new(),
        );
        seen.group = Group::Widens(person.who.clone());
        seen.evidence.measures.push(measure(
            "height above the floor",
            height,
            Some(ctx.pack.fall_height.value.si()),
            false,
            Dimension::Length,
        ));
        seen.cures.push("tie off, or put a rail or net there first".to_owned());
        seen.cures.push("lay the edge sheets from below or from a lift".to_owned());
        seen.sources.push(support::rule(ctx, &ctx.pack.fall_height));
        out.push(seen);
    }
}

/// Distance to the nearest open edge within reach of somebody.
fn open_edge(
    at: Plan,
    stands: impl Fn(Plan) -> bool,
    railed: impl Fn(Plan, Plan) -> bool,
) -> Option<f64> {
    let steps = (AT_EDGE / STEP).floor() as u32;
    (0..WAYS)
        .filter_map(|way| {
            let turn = std::f64::consts::TAU * f64::from(way) / f64::from(WAYS);
            let place = |k: u32| {
                let far = f64::from(k) * STEP;
                [at[0] + far * turn.cos(), at[1] + far * turn.sin()]
            };
            let first = (1..=steps).find(|&k| !stands(place(k)))?;
            // A rail on the way to it, or at it, is protection.
            (!railed(place(first), place(first - 1))).then_some(f64::from(first) * STEP)
        })
        .min_by(f64::total_cmp)
}
