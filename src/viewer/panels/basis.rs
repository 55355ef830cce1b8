//! What the numbers rest on, opened from a card: the hand calculation of a member, and the way of
//! its load, from where and to where. The same sheets as `standwell calc` and `standwell loads` give.

use super::{View, card, style};
use crate::assembly::MemberId;
use crate::calc::{CalcSheet, of_member};
use crate::capacity::work::{Line, Section};
use crate::findings::Finding;
use crate::loads::path::{self, LoadReport};
use crate::report::load_tree::{self, Row, What};
use crate::review::Review;
use crate::units::UnitSystem;
use crate::viewer::state::stands_at;
use crate::viewer::vocab::{Intent, Item, Unfolded};
use egui::{RichText, Ui};
use std::sync::Arc;

/// Sheets for a finding of many members.
const SHEETS: usize = 3;
/// Rows of a load's tree that are listed.
const ROWS: usize = 40;

/// For the member that is chosen.
pub fn member(ui: &mut Ui, view: &View<'_>, review: &Review, id: MemberId, out: &mut Vec<Intent>) {
    let stage = view.state.stage;
    load_fold(ui, view, review, stage, &[id], out);
    calc_fold(ui, view, review, stage, &[id], out);
}

/// For the members a finding is about, at the stage shown or else where it begins.
pub fn finding(ui: &mut Ui, view: &View<'_>, review: &Review, f: &Finding, out: &mut Vec<Intent>) {
    let stage = if stands_at(f, view.state.stage) { view.state.stage } else { f.from_stage };
    let there =
        |id: &MemberId| review.sequence.stages.get(stage).is_some_and(|s| s.state(*id).is_there());
    let ids: Vec<MemberId> =
        f.subjects.iter().filter_map(|n| review.assembly.find(n)).filter(there).collect();
    if ids.is_empty() {
        return;
    }
    load_fold(ui, view, review, stage, &ids, out);
    calc_fold(ui, view, review, stage, &ids, out);
}

/// What was worked out last, for what it was asked.
type Kept<T> = ((u64, usize, MemberId, UnitSystem), Arc<T>);

/// Works something out once for as long as it is looked at.
fn once<T: Send + Sync + 'static>(
    ui: &Ui,
    view: &View<'_>,
    (what, stage, id): (&str, usize, MemberId),
    work: impl FnOnce() -> Option<T>,
) -> Option<Arc<T>> {
    let key = (view.state.revision, stage, id, view.state.units);
    let place = egui::Id::new(("worked out", what, id.index()));
    if let Some((kept, there)) = ui.data(|d| d.get_temp::<Kept<T>>(place))
        && kept == key
    {
        return Some(there);
    }
    let made = Arc::new(work()?);
    ui.data_mut(|d| d.insert_temp::<Kept<T>>(place, (key, made.clone())));
    Some(made)
}

/// In a picture nobody rolls the card: what was asked for is brought to its top.
fn roll_to(ui: &Ui, view: &View<'_>, asked: bool) {
    if asked && view.state.rolled_to_unfolded {
        ui.scroll_to_cursor_animation(Some(egui::Align::TOP), egui::style::ScrollAnimation::none());
    }
}

fn calc_fold(
    ui: &mut Ui,
    view: &View<'_>,
    review: &Review,
    stage: usize,
    ids: &[MemberId],
    out: &mut Vec<Intent>,
) {
    let now = view.state.unfolded;
    roll_to(ui, view, now.calc && !now.load);
    if style::fold(ui, view, now.calc, "Hand calculation") {
        out.push(Intent::Unfold(Unfolded { calc: !now.calc, ..now }));
    }
    if !now.calc {
        return;
    }
    for &id in ids.iter().take(SHEETS) {
        let sheet = once(ui, view, ("calc", stage, id), || {
            Some(of_member(&review.at(stage)?, id, view.state.units))
        });
        if let Some(sheet) = sheet {
            write_sheet(ui, view, &sheet);
        }
    }
    if ids.len() > SHEETS {
        let text = format!("and {} more: choose a member to see its own", ids.len() - SHEETS);
        ui.label(style::soft(view, text));
    }
}

fn write_sheet(ui: &mut Ui, view: &View<'_>, sheet: &CalcSheet) {
    let head = format!("{} ({}), after step {}", sheet.member, sheet.part, sheet.step);
    ui.label(RichText::new(head).family(style::strong()));
    if sheet.sample_data {
        ui.label(style::soft(view, "Sample equipment data: use your supplier's table."));
    }
    for section in &sheet.sections {
        write_section(ui, view, section);
    }
    ui.add_space(4.0);
}

fn write_section(ui: &mut Ui, view: &View<'_>, section: &Section) {
    style::heading(ui, view, &section.title);
    for line in &section.lines {
        write_line(ui, view, line);
    }
    for note in &section.notes {
        ui.label(style::soft(view, note));
    }
}

/// What it is, its formula, the numbers in it, and what comes out.
fn write_line(ui: &mut Ui, view: &View<'_>, line: &Line) {
    let with_unit = |symbol: &str, value: f64, unit: &str| {
        let space = if unit.is_empty() { "" } else { " " };
        format!("{symbol} = {value}{space}{unit}")
    };
    let result = with_unit(&line.symbol, line.value, &line.unit);
    let source =
        if line.source.is_empty() { String::new() } else { format!("  [{}]", line.source) };
    ui.label(style::soft(view, format!("{}{source}", line.meaning)));
    ui.indent((&line.symbol, &line.formula), |ui| {
        if !line.formula.is_empty() {
            ui.label(format!("{} = {}", line.symbol, line.formula));
            let inputs: Vec<String> =
                line.inputs.iter().map(|i| with_unit(&i.symbol, i.value, &i.unit)).collect();
            if !inputs.is_empty() {
                ui.label(style::soft(view, format!("with {}", inputs.join("; "))));
            }
        }
        ui.label(RichText::new(result).family(style::strong()));
    });
}

fn load_fold(
    ui: &mut Ui,
    view: &View<'_>,
    review: &Review,
    stage: usize,
    ids: &[MemberId],
    out: &mut Vec<Intent>,
) {
    let now = view.state.unfolded;
    roll_to(ui, view, now.load);
    if style::fold(ui, view, now.load, "Where its load comes from, and goes to") {
        out.push(Intent::Unfold(Unfolded { load: !now.load, ..now }));
    }
    if !now.load {
        return;
    }
    for &id in ids.iter().take(SHEETS) {
        if ids.len() > 1 {
            ui.label(RichText::new(review.assembly.name(id)).family(style::strong()));
        }
        if review.assembly.member(id).is_post() {
            of_post(ui, view, review, stage, id, out);
        } else {
            lies_on(ui, view, review, stage, id, out);
        }
        goes_to(ui, view, review, stage, id, out);
    }
}

/// A row: a force, then what it is of, as far in as it lies up the tree.
fn row(
    ui: &mut Ui,
    view: &View<'_>,
    review: &Review,
    deep: usize,
    (force, what): (f64, &What),
    out: &mut Vec<Intent>,
) {
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 6.0;
        let text = RichText::new(view.state.units.force(force)).size(view.text.small);
        let size = egui::vec2(66.0, view.text.small + 4.0);
        ui.allocate_ui_with_layout(size, egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.label(text.family(style::strong()));
        });
        ui.add_space(10.0 * deep as f32);
        match what {
            What::Load(name) => {
                ui.add(egui::Label::new(style::soft(view, name)).truncate());
            }
            What::Small(count) => {
                ui.label(style::soft(view, format!("{count} more, each under 1 %")));
            }
            What::Through(id) => {
                card::chip(ui, view, review, *id, out);
            }
        }
    });
}

fn of_post(
    ui: &mut Ui,
    view: &View<'_>,
    review: &Review,
    stage: usize,
    id: MemberId,
    out: &mut Vec<Intent>,
) {
    let found: Option<Arc<(LoadReport, Vec<Row>)>> = once(ui, view, ("load", stage, id), || {
        let at = review.sequence.stages.get(stage)?;
        let loads = &review.stages.get(stage)?.loads;
        loads.at_foot.get(id.index())?;
        let report = path::report(&review.assembly, &review.pack, at, loads, id);
        let rows = load_tree::rows(&report);
        Some((report, rows))
    });
    let Some(found) = found else {
        ui.label(style::soft(view, "Not worked out at this stage."));
        return;
    };
    let (report, rows) = &*found;
    let units = view.state.units;
    ui.label(format!(
        "{} at its foot; it can be {} to {}.",
        units.force(report.force),
        units.force(report.least),
        units.force(report.greatest)
    ));
    for line in rows.iter().take(ROWS) {
        row(ui, view, review, line.deep, (line.force, &line.what), out);
    }
    if rows.len() > ROWS {
        ui.label(style::soft(view, format!("and {} more rows", rows.len() - ROWS)));
    }
    if report.rest.abs() > 1.0 {
        let text = format!("{} by no path that could be followed", units.force(report.rest));
        ui.label(style::soft(view, text));
    }
}

/// What acts on a beam or sheet from above.
fn lies_on(
    ui: &mut Ui,
    view: &View<'_>,
    review: &Review,
    stage: usize,
    id: MemberId,
    out: &mut Vec<Intent>,
) {
    let loads = review.stages.get(stage).and_then(|s| s.loads.on.get(id.index()));
    let mut rows: Vec<(What, f64)> = Vec::new();
    for load in loads.into_iter().flat_map(|on| on.iter()).filter(|l| l.force != 0.0) {
        let what = match load.by {
            Some(by) => What::Through(by),
            None => What::Load(load.what.to_string()),
        };
        match rows.iter_mut().find(|(w, _)| *w == what) {
            Some((_, force)) => *force += load.force,
            None => rows.push((what, load.force)),
        }
    }
    rows.sort_by(|a, b| b.1.total_cmp(&a.1));
    if rows.is_empty() {
        ui.label(style::soft(view, "Nothing lies on it at this stage."));
    }
    for (what, force) in rows.iter().take(ROWS) {
        row(ui, view, review, 0, (*force, what), out);
    }
}

/// What it hands down, joint by joint.
fn goes_to(
    ui: &mut Ui,
    view: &View<'_>,
    review: &Review,
    stage: usize,
    id: MemberId,
    out: &mut Vec<Intent>,
) {
    let Some(judged) = review.stages.get(stage) else { return };
    let assembly = &review.assembly;
    let mut any = false;
    for &j in assembly.joints_of(id) {
        let joint = assembly.joint(j);
        let force = judged.loads.passed.get(j.index()).copied().unwrap_or(0.0);
        if joint.member != id || force == 0.0 {
            continue;
        }
        if !any {
            ui.label(style::soft(view, "goes down to"));
            any = true;
        }
        let what = match joint.carrier {
            Some(carrier) => What::Through(carrier),
            None => What::Load("the floor".to_owned()),
        };
        row(ui, view, review, 0, (force, &what), out);
    }
}

/// Chooses a member and brings it into the middle.
pub(super) fn choose(id: MemberId, out: &mut Vec<Intent>) {
    out.push(Intent::Choose(Some(Item::Member(id))));
    out.push(Intent::LookAt(Item::Member(id)));
}
