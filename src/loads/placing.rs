//! Where the loads of a stage lie: on a member, or on the sheets of the deck.

use super::area::{Plan, rectangle};
use super::deck::{Deck, Levels, OnSheets};
use super::ledge::{EDGE_FORM, Ledge, decked, ledges};
use super::live::Live;
use super::pour::{layer, pour};
use super::sheet::{SheetLoad, outline};
use super::{BeamLoad, LoadState};
use crate::assembly::{Assembly, MemberId, Role};
use crate::criteria::Pack;
use crate::scene::model::{LoadKind, LoadPlace};
use crate::sequence::Stage;
use crate::sequence::model::StageLoad;
use crate::units::Length;

/// Standard gravity, m/s² (exact by definition, 3rd CGPM 1901).
pub const GRAVITY: f64 = 9.806_65;

/// Puts loads of the stage where they lie; `all` are those that are on, of which a pour leaves out
/// what layers have brought.
pub(super) fn place(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &[&StageLoad],
    all: &[&StageLoad],
    live: &Live,
    state: &mut LoadState,
) -> OnSheets {
    let ledges = ledges(assembly, stage);
    edge_forms(assembly, stage, &ledges, all, state);
    people_on_edges(assembly, stage, &ledges, live, state);
    lay(assembly, pack, stage, &ledges, (loads, all), state)
}

/// Puts these loads alone where they lie.
pub(super) fn lay(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    ledges: &[Ledge<'_>],
    (loads, all): (&[&StageLoad], &[&StageLoad]),
    state: &mut LoadState,
) -> OnSheets {
    let mut on_sheets = OnSheets::new();
    let mut deck: Option<Deck<'_>> = None;
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
                let deck = deck.get_or_insert_with(|| Deck::new(assembly, stage, ledges));
                let area = plan_rectangle(*from, *to);
                deck.take((name, Levels::ALL), &area, load.si(), state, &mut on_sheets);
            }
            LoadPlace::Pour { slab, from, to } => {
                let deck = deck.get_or_insert_with(|| Deck::new(assembly, stage, ledges));
                let Some(slab) = assembly.scene.slabs.iter().find(|s| s.name == *slab) else {
                    state.unplaced.push((format!("{name}: there is no slab {slab}"), f64::NAN));
                    continue;
                };
                let within = plan_rectangle(*from, *to);
                let density = pack.concrete.value.si();
                pour(stage, (name, slab), &within, density, (deck, all), state, &mut on_sheets);
            }
            LoadPlace::Layer { slab, beam, from, to, bottom, top } => {
                let deck = deck.get_or_insert_with(|| Deck::new(assembly, stage, ledges));
                let slab = assembly.scene.slabs.iter().find(|s| s.name == *slab);
                let found =
                    slab.and_then(|s| Some((s, s.drop_beams.iter().find(|b| b.name == *beam)?)));
                let Some((slab, beam)) = found else {
                    state
                        .unplaced
                        .push((format!("{name}: there is no drop beam {beam}"), f64::NAN));
                    continue;
                };
                let within = plan_rectangle(*from, *to);
                let pressure = pack.concrete.value.si() * (top.si() - bottom.si());
                layer(stage, (name, slab, beam), &within, pressure, deck, state, &mut on_sheets);
            }
            LoadPlace::Heap { at, across, height } => {
                let deck = deck.get_or_insert_with(|| Deck::new(assembly, stage, ledges));
                let (disc, pressure) = heap(
                    [at.0.si(), at.1.si()],
                    across.si(),
                    height.si(),
                    pack.concrete.value.si(),
                );
                deck.take((name, Levels::ALL), &disc, pressure, state, &mut on_sheets);
            }
            LoadPlace::Along { from, to, weight } => {
                let deck = deck.get_or_insert_with(|| Deck::new(assembly, stage, ledges));
                if let LoadPlace::Area { from, to, load } =
                    super::moving::at(*from, *to, weight.si(), 0.5)
                {
                    let area = plan_rectangle(from, to);
                    deck.take((name, Levels::ALL), &area, load.si(), state, &mut on_sheets);
                }
            }
        }
    }
    on_sheets
}

/// A cone of concrete as an even pressure on a disc with the same weight and the same mean square
/// distance from its middle: a cone of radius R has 3/10 R², an even disc of radius r has r²/2, so
/// r = R √(3/5). Its weight is a third of height times foot area.
pub(crate) fn heap(middle: Plan, across: f64, height: f64, density: f64) -> (Vec<Plan>, f64) {
    let radius = 0.5 * across * 0.6_f64.sqrt();
    let weight = density * height * std::f64::consts::PI * across * across / 12.0;
    (crate::plan::round(middle, radius), weight / (std::f64::consts::PI * radius * radius))
}

/// People that may stand on an overhang that a deck reaches.
fn people_on_edges(
    assembly: &Assembly,
    stage: &Stage,
    ledges: &[Ledge<'_>],
    live: &Live,
    state: &mut LoadState,
) {
    for ledge in ledges {
        if !decked(assembly, stage, ledge.member) {
            continue;
        }
        let people = live.on_ledge(assembly, ledge);
        if people > 0.0 {
            let span = (ledge.from.min(ledge.to), ledge.from.max(ledge.to));
            let load = BeamLoad::spread(super::PEOPLE.into(), None, span, 0.0);
            state.put(ledge.member, load.within(0.0, people));
        }
    }
}

fn plan_rectangle(from: (Length, Length), to: (Length, Length)) -> Vec<Plan> {
    rectangle([from.0.si(), from.1.si()], [to.0.si(), to.1.si()], [1.0, 0.0])
}

/// Edge forms go on with the deck. One that a step sets down as a load brings its own weight.
fn edge_forms(
    assembly: &Assembly,
    stage: &Stage,
    ledges: &[Ledge<'_>],
    loads: &[&StageLoad],
    state: &mut LoadState,
) {
    for ledge in ledges {
        let Some(form) = &ledge.overhang.edge_form else { continue };
        let brought = loads.iter().find(|l| brings_edge_form(assembly, l, ledge.member));
        if brought.is_none() && !decked(assembly, stage, ledge.member) {
            continue;
        }
        super::sails::form(assembly, ledge, brought.copied(), state);
        if brought.is_some() {
            continue;
        }
        let at = (ledge.from + ledge.outward() * form.at.si())
            .clamp(ledge.from.min(ledge.to), ledge.from.max(ledge.to));
        let force = form.weight.si() * ledge.width();
        state.put(ledge.member, BeamLoad::point(EDGE_FORM.into(), None, at, force));
    }
}

/// Whether a load is the edge form on a member.
pub(crate) fn brings_edge_form(assembly: &Assembly, load: &StageLoad, member: MemberId) -> bool {
    load.text.kind == LoadKind::EdgeForm
        && match &load.text.on {
            LoadPlace::Point { member: on, .. }
            | LoadPlace::Lump { member: on, .. }
            | LoadPlace::Line { member: on, .. } => assembly.find(on) == Some(member),
            LoadPlace::Area { .. }
            | LoadPlace::Pour { .. }
            | LoadPlace::Layer { .. }
            | LoadPlace::Heap { .. }
            | LoadPlace::Along { .. } => false,
        }
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
    state.put(id, load);
}
