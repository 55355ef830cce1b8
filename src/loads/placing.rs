//! Where the loads of a stage lie: on a member, or on the sheets of the deck.

use super::area::{Plan, rectangle};
use super::deck::{Deck, OnSheets};
use super::ledge::{EDGE_FORM, Ledge, decked, ledges};
use super::pour::pour;
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

/// Puts every load of the stage where it lies.
pub(super) fn place(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &[&StageLoad],
    state: &mut LoadState,
) -> OnSheets {
    let mut on_sheets = OnSheets::new();
    let ledges = ledges(assembly, stage);
    edge_forms(assembly, stage, &ledges, loads, state);
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
                let deck = deck.get_or_insert_with(|| Deck::new(assembly, stage, &ledges));
                let area = plan_rectangle(*from, *to);
                deck.take(name, &area, load.si(), state, &mut on_sheets);
            }
            LoadPlace::Pour { slab, from, to } => {
                let deck = deck.get_or_insert_with(|| Deck::new(assembly, stage, &ledges));
                let Some(slab) = assembly.scene.slabs.iter().find(|s| s.name == *slab) else {
                    state.unplaced.push((format!("{name}: there is no slab {slab}"), f64::NAN));
                    continue;
                };
                let within = plan_rectangle(*from, *to);
                let density = pack.concrete.value.si();
                pour(stage, (name, slab), &within, density, deck, state, &mut on_sheets);
            }
        }
    }
    on_sheets
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
        let brought = loads.iter().any(|l| brings_edge_form(assembly, l, ledge.member));
        if brought || !decked(assembly, stage, ledge.member) {
            continue;
        }
        let at = (ledge.from + ledge.outward() * form.at.si())
            .clamp(ledge.from.min(ledge.to), ledge.from.max(ledge.to));
        let force = form.weight.si() * ledge.width();
        state.on[ledge.member.index()].push(BeamLoad::point(EDGE_FORM.into(), None, at, force));
    }
}

/// Whether a load is the edge form on a member.
pub(crate) fn brings_edge_form(assembly: &Assembly, load: &StageLoad, member: MemberId) -> bool {
    load.text.kind == LoadKind::EdgeForm
        && match &load.text.on {
            LoadPlace::Point { member: on, .. }
            | LoadPlace::Lump { member: on, .. }
            | LoadPlace::Line { member: on, .. } => assembly.find(on) == Some(member),
            LoadPlace::Area { .. } | LoadPlace::Pour { .. } => false,
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
    state.on[id.index()].push(load);
}
