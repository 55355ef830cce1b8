//! Fresh concrete: the slab's thickness on the deck, the deeper strips on their bearers.

use super::area::{Plan, anticlockwise, clip, extent, rectangle, size_and_centre};
use super::deck::{Deck, Levels, OnSheets};
use super::{BeamLoad, LoadState};
use crate::assembly::{Assembly, MemberId, Role};
use crate::scene::model::{DropBeam, LoadPlace, Slab};
use crate::sequence::Stage;
use crate::sequence::model::StageLoad;

/// Fresh concrete of a slab within a rectangle: its own thickness everywhere, the deeper strips on
/// the drop-beam bearers beneath them, or on the deck where there are none.
pub(super) fn pour(
    stage: &Stage,
    (name, slab): (&str, &Slab),
    within: &[Plan],
    density: f64,
    (deck, loads): (&Deck<'_>, &[&StageLoad]),
    state: &mut LoadState,
    on_sheets: &mut OnSheets,
) {
    let slab_outline: Vec<Plan> =
        anticlockwise(slab.outline.iter().map(|p| [p.0.si(), p.1.si()]).collect());
    let area = clip(&slab_outline, within);
    let levels = levels(slab);
    deck.take((name, levels), &area, density * slab.thickness.si(), state, on_sheets);
    for beam in &slab.drop_beams {
        let Some((strip, _)) = strip(beam) else { continue };
        let size = size_and_centre(&clip(&area, &strip)).0.abs();
        if size <= 0.0 {
            continue;
        }
        // Layers that went in before bring their own weight.
        let placed = placed(slab, beam, &clip(&area, &strip), loads);
        let pressure = density * (beam.drop.si() - placed).max(0.0);
        if pressure > 0.0 {
            layer(stage, (name, slab, beam), &area, pressure, deck, state, on_sheets);
        }
    }
}

/// A pressure on the part of a drop beam's strip inside a rectangle: on the bearers beneath it, or on
/// the deck where there are none.
pub(super) fn layer(
    stage: &Stage,
    (name, slab, beam): (&str, &Slab, &DropBeam),
    within: &[Plan],
    pressure: f64,
    deck: &Deck<'_>,
    state: &mut LoadState,
    on_sheets: &mut OnSheets,
) {
    let assembly = deck.assembly;
    let Some((strip, axis)) = strip(beam) else { return };
    let part = clip(within, &strip);
    let size = size_and_centre(&part).0.abs();
    if size <= 0.0 {
        return;
    }
    let bearers = bearers(assembly, stage, &strip, axis);
    if bearers.is_empty() {
        let called = format!("{name}, {}", beam.name);
        // A deck of its own below, or else the slab's.
        let levels = levels(slab);
        let lower = levels.lowered(beam.drop.si());
        let levels = if deck.any(lower, &part) { lower } else { levels };
        deck.take((&called, levels), &part, pressure, state, on_sheets);
        return;
    }
    spread_on_bearers(assembly, &bearers, axis, &part, pressure * size, name, state);
}

/// Levels at which a deck carries a slab: a little above its soffit for play in the levels, and as
/// far below as its deepest beam and half a metre more.
fn levels(slab: &Slab) -> Levels {
    let deepest = slab.drop_beams.iter().map(|b| b.drop.si()).fold(0.0, f64::max);
    Levels { high: slab.soffit.si() + 0.1, low: slab.soffit.si() - deepest - 0.5 }
}

/// Mean height of the layers that were placed on a part of a drop beam, metres.
fn placed(slab: &Slab, beam: &DropBeam, part: &[Plan], loads: &[&StageLoad]) -> f64 {
    let whole = size_and_centre(part).0.abs();
    loads
        .iter()
        .filter_map(|load| match &load.text.on {
            LoadPlace::Layer { slab: s, beam: b, from, to, bottom, top }
                if *s == slab.name && *b == beam.name =>
            {
                let within =
                    rectangle([from.0.si(), from.1.si()], [to.0.si(), to.1.si()], [1.0, 0.0]);
                let share = size_and_centre(&clip(part, &within)).0.abs() / whole;
                Some(share * (top.si().min(beam.drop.si()) - bottom.si()).max(0.0))
            }
            _ => None,
        })
        .sum()
}

/// The drop beam's strip in plan and its direction.
pub(super) fn strip(beam: &DropBeam) -> Option<(Vec<Plan>, Plan)> {
    crate::plan::strip(
        [beam.from.0.si(), beam.from.1.si()],
        [beam.to.0.si(), beam.to.1.si()],
        beam.width.si(),
    )
}

/// Drop-beam bearers that are there and run along the strip beneath it.
fn bearers(assembly: &Assembly, stage: &Stage, strip: &[Plan], axis: Plan) -> Vec<MemberId> {
    let across = [-axis[1], axis[0]];
    let (low, high) = extent(strip, across);
    assembly
        .members
        .iter()
        .filter(|m| m.role == Role::DropBeam && stage.state(m.id).is_there())
        .filter(|m| {
            let d = m.direction();
            (d.x * across[0] + d.y * across[1]).abs() < 0.1
                && m.ends.iter().all(|p| {
                    let s = p.x * across[0] + p.y * across[1];
                    s > low - 0.05 && s < high + 0.05
                })
        })
        .map(|m| m.id)
        .collect()
}

/// Shares a strip's weight by the length of each bearer beneath it.
fn spread_on_bearers(
    assembly: &Assembly,
    bearers: &[MemberId],
    axis: Plan,
    part: &[Plan],
    force: f64,
    name: &str,
    state: &mut LoadState,
) {
    let (low, high) = extent(part, axis);
    let stretch = |id: MemberId| {
        let m = assembly.member(id);
        let at = |i: usize| m.ends[i].x * axis[0] + m.ends[i].y * axis[1];
        let (a, b) = (at(0), at(1));
        let (from, to) = (low.max(a.min(b)), high.min(a.max(b)));
        let scale = if (b - a).abs() > 1e-9 { m.length() / (b - a) } else { 0.0 };
        let (f, t) = ((from - a) * scale, (to - a) * scale);
        (f.min(t), f.max(t), (to - from).max(0.0))
    };
    let covered: f64 = bearers.iter().map(|&b| stretch(b).2).sum();
    if covered <= 1e-6 {
        state.unplaced.push((format!("{name}: no bearer under the drop beam"), force));
        return;
    }
    for &bearer in bearers {
        let (from, to, run) = stretch(bearer);
        if run > 1e-6 {
            let what = std::borrow::Cow::Owned(name.to_owned());
            let load = BeamLoad::spread(what, None, (from, to), force * run / covered);
            state.put(bearer, load);
        }
    }
}
