//! Where the loads of a stage lie: on a member, or on the sheets of the deck.

use super::area::{Plan, anticlockwise, clip, extent, rectangle, size_and_centre};
use super::sheet::{SheetLoad, outline};
use super::{BeamLoad, LoadState};
use crate::assembly::{Assembly, MemberId, Role};
use crate::criteria::Pack;
use crate::scene::model::{DropBeam, LoadPlace, Slab};
use crate::sequence::Stage;
use crate::sequence::model::StageLoad;
use crate::units::Length;

/// Standard gravity, m/s² (exact by definition, 3rd CGPM 1901).
pub const GRAVITY: f64 = 9.806_65;

/// Share of an area load that may lie on gaps between sheets and is then spread over the sheets
/// beside them; with larger gaps the rest is reported as lying on nothing.
const GAPS: f64 = 0.1;

/// Loads on sheets, beside [`LoadState::on`].
pub(super) type OnSheets = Vec<(MemberId, SheetLoad)>;

struct Deck {
    sheet: MemberId,
    outline: Vec<Plan>,
    x: (f64, f64),
    y: (f64, f64),
}

/// Puts every load of the stage where it lies.
pub(super) fn place(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &[&StageLoad],
    state: &mut LoadState,
) -> OnSheets {
    let mut on_sheets = OnSheets::new();
    let mut deck: Option<Vec<Deck>> = None;
    for load in loads {
        let name = &load.text.name;
        match &load.text.on {
            LoadPlace::Point { member, at, weight } => {
                on_member(
                    assembly,
                    stage,
                    (name, member),
                    Some(*at),
                    weight.si(),
                    state,
                    &mut on_sheets,
                );
            }
            LoadPlace::Lump { member, at, mass } => {
                let force = mass.si() * GRAVITY;
                on_member(assembly, stage, (name, member), Some(*at), force, state, &mut on_sheets);
            }
            LoadPlace::Line { member, load } => {
                let length = assembly.find(member).map_or(0.0, |m| assembly.member(m).length());
                let force = load.si() * length;
                on_member(assembly, stage, (name, member), None, force, state, &mut on_sheets);
            }
            LoadPlace::Area { from, to, load } => {
                let deck = deck.get_or_insert_with(|| deck_of(assembly, stage));
                let area = plan_rectangle(*from, *to);
                on_deck(name, &area, load.si(), deck, state, &mut on_sheets);
            }
            LoadPlace::Pour { slab, from, to } => {
                let deck = deck.get_or_insert_with(|| deck_of(assembly, stage));
                let Some(slab) = assembly.scene.slabs.iter().find(|s| s.name == *slab) else {
                    state.unplaced.push((format!("{name}: there is no slab {slab}"), f64::NAN));
                    continue;
                };
                let within = plan_rectangle(*from, *to);
                pour(
                    assembly,
                    stage,
                    (name, slab),
                    &within,
                    pack.concrete.value.si(),
                    deck,
                    state,
                    &mut on_sheets,
                );
            }
        }
    }
    on_sheets
}

fn plan_rectangle(from: (Length, Length), to: (Length, Length)) -> Vec<Plan> {
    rectangle([from.0.si(), from.1.si()], [to.0.si(), to.1.si()], [1.0, 0.0])
}

fn deck_of(assembly: &Assembly, stage: &Stage) -> Vec<Deck> {
    assembly
        .members
        .iter()
        .filter(|m| m.role == Role::Sheet && stage.state(m.id).is_there())
        .map(|m| {
            let outline = outline(assembly, m);
            Deck {
                sheet: m.id,
                x: extent(&outline, [1.0, 0.0]),
                y: extent(&outline, [0.0, 1.0]),
                outline,
            }
        })
        .collect()
}

fn on_member(
    assembly: &Assembly,
    stage: &Stage,
    (name, member): (&str, &str),
    at: Option<Length>,
    force: f64,
    state: &mut LoadState,
    on_sheets: &mut OnSheets,
) {
    let Some(id) = assembly.find(member) else {
        state.unplaced.push((format!("{name}: there is no member {member}"), force));
        return;
    };
    if !stage.state(id).is_there() {
        state.unplaced.push((format!("{name}: {member} is not there"), force));
        return;
    }
    let on = assembly.member(id);
    let length = on.length();
    let what = std::borrow::Cow::Owned(name.to_owned());
    let load = match at {
        Some(at) if at.si() < -1e-6 || at.si() > length + 1e-6 => {
            state.unplaced.push((format!("{name}: {member} ends before it"), force));
            return;
        }
        Some(at) => BeamLoad::point(what, None, at.si(), force),
        None => BeamLoad::spread(what, None, (0.0, length), force),
    };
    if on.role == Role::Sheet {
        on_sheets.push(match at {
            Some(at) => {
                let p = on.at(at.si());
                (id, SheetLoad::Point([p.x, p.y], force))
            }
            None => (id, SheetLoad::Patch(outline(assembly, on), force)),
        });
    }
    state.on[id.index()].push(load);
}

/// Spreads a pressure over the sheets under a polygon.
fn on_deck(
    name: &str,
    area: &[Plan],
    pressure: f64,
    deck: &[Deck],
    state: &mut LoadState,
    on_sheets: &mut OnSheets,
) {
    let whole = size_and_centre(area).0.abs();
    if whole <= 0.0 {
        return;
    }
    let (x, y) = (extent(area, [1.0, 0.0]), extent(area, [0.0, 1.0]));
    let hit: Vec<(MemberId, Vec<Plan>, f64)> = deck
        .iter()
        .filter(|d| d.x.0 < x.1 && d.x.1 > x.0 && d.y.0 < y.1 && d.y.1 > y.0)
        .filter_map(|d| {
            let part = clip(area, &d.outline);
            let size = size_and_centre(&part).0.abs();
            (size > 1e-9).then_some((d.sheet, part, size))
        })
        .collect();
    let covered: f64 = hit.iter().map(|h| h.2).sum();
    let more =
        if covered < whole && covered >= (1.0 - GAPS) * whole { whole / covered } else { 1.0 };
    for (sheet, part, size) in hit {
        let force = pressure * size * more;
        on_sheets.push((sheet, SheetLoad::Patch(anticlockwise(part), force)));
        listed(state, sheet, name, force);
    }
    let rest = whole - covered * more;
    if rest > 1e-6 * whole {
        let why = format!("{name}: {rest:.2} m² of it lie where no sheet is");
        state.unplaced.push((why, pressure * rest));
    }
}

/// Lists a load of a sheet as its total along the diagonal, added to what it has by that name.
fn listed(state: &mut LoadState, sheet: MemberId, name: &str, force: f64) {
    let on = &mut state.on[sheet.index()];
    match on.iter_mut().find(|l| l.what == name) {
        Some(l) => l.force += force,
        None => on.push(BeamLoad::point(name.to_owned().into(), None, 0.0, force)),
    }
}

/// Fresh concrete of a slab within a rectangle: its own thickness everywhere, the deeper strips on
/// the drop-beam bearers beneath them, or on the deck where there are none.
#[allow(clippy::too_many_arguments, reason = "one place to call it from")]
fn pour(
    assembly: &Assembly,
    stage: &Stage,
    (name, slab): (&str, &Slab),
    within: &[Plan],
    density: f64,
    deck: &[Deck],
    state: &mut LoadState,
    on_sheets: &mut OnSheets,
) {
    let slab_outline: Vec<Plan> =
        anticlockwise(slab.outline.iter().map(|p| [p.0.si(), p.1.si()]).collect());
    let area = clip(&slab_outline, within);
    on_deck(name, &area, density * slab.thickness.si(), deck, state, on_sheets);
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
            on_deck(&format!("{name}, {}", beam.name), &part, pressure, deck, state, on_sheets);
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
