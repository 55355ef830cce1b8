//! Fresh concrete: the slab's thickness on the deck, the deeper strips on their bearers.

use super::area::{Plan, anticlockwise, clip, extent, rectangle, size_and_centre};
use super::deck::{Deck, OnSheets};
use super::{BeamLoad, LoadState};
use crate::assembly::{Assembly, MemberId, Role};
use crate::scene::model::{DropBeam, Slab};
use crate::sequence::Stage;

/// Fresh concrete of a slab within a rectangle: its own thickness everywhere, the deeper strips on
/// the drop-beam bearers beneath them, or on the deck where there are none.
pub(super) fn pour(
    stage: &Stage,
    (name, slab): (&str, &Slab),
    within: &[Plan],
    density: f64,
    deck: &Deck<'_>,
    state: &mut LoadState,
    on_sheets: &mut OnSheets,
) {
    let assembly = deck.assembly;
    let slab_outline: Vec<Plan> =
        anticlockwise(slab.outline.iter().map(|p| [p.0.si(), p.1.si()]).collect());
    let area = clip(&slab_outline, within);
    deck.take(name, &area, density * slab.thickness.si(), state, on_sheets);
    for beam in &slab.drop_beams {
        let Some((strip, axis)) = strip(beam) else { continue };
        let part = clip(&area, &strip);
        let size = size_and_centre(&part).0.abs();
        if size <= 0.0 {
            continue;
        }
        let pressure = density * beam.drop.si();
        let bearers = bearers(assembly, stage, &strip, axis);
        if bearers.is_empty() {
            deck.take(&format!("{name}, {}", beam.name), &part, pressure, state, on_sheets);
            continue;
        }
        spread_on_bearers(assembly, &bearers, axis, &part, pressure * size, name, state);
    }
}

/// The drop beam's strip in plan and its direction.
fn strip(beam: &DropBeam) -> Option<(Vec<Plan>, Plan)> {
    let a = [beam.from.0.si(), beam.from.1.si()];
    let b = [beam.to.0.si(), beam.to.1.si()];
    let run = (b[0] - a[0]).hypot(b[1] - a[1]);
    if run <= 0.0 {
        return None;
    }
    let axis = [(b[0] - a[0]) / run, (b[1] - a[1]) / run];
    let half = 0.5 * beam.width.si();
    let side = [-axis[1] * half, axis[0] * half];
    Some((
        rectangle([a[0] - side[0], a[1] - side[1]], [b[0] + side[0], b[1] + side[1]], axis),
        axis,
    ))
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
            state.on[bearer.index()].push(load);
        }
    }
}
