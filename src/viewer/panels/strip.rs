//! The strip of all stages: one cell each, coloured and marked by its worst, with its reserve.
//! Click or drag to go to a stage.

use super::{View, reserve_lines, signs, style};
use crate::review::Review;
use crate::viewer::state::grade_of_stage;
use crate::viewer::theme::Grade;
use crate::viewer::vocab::Intent;
use egui::{Align2, FontId, Pos2, Rect, Sense, Stroke, StrokeKind, Ui, pos2, vec2};

/// Height of the strip's bars in points.
const BARS: f32 = 74.0;

/// Height of the strip with all that belongs to it.
pub const HEIGHT: f32 = BARS + 100.0;

pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let Some(review) = &view.state.review else { return };
    let count = review.sequence.stages.len();
    if count == 0 {
        return;
    }
    header(ui, view, review, out);
    kinds(ui, view, out);
    let width = ui.available_width();
    let (rect, response) =
        ui.allocate_exact_size(vec2(width, BARS + 20.0), Sense::click_and_drag());
    response.widget_info(|| egui::WidgetInfo::slider(true, view.state.stage as f64, "stages"));
    let bars = Rect::from_min_size(rect.min, vec2(width, BARS));
    if let Some(pointer) = response.interact_pointer_pos()
        && (response.clicked() || response.dragged())
    {
        let stage = stage_at(bars, pointer, count);
        if stage != view.state.stage {
            out.push(Intent::GoToStage(stage));
        }
    }
    if ui.is_rect_visible(rect) {
        draw(ui, view, review, bars);
    }
    if let Some(pointer) = response.hover_pos().filter(|p| bars.contains(*p)) {
        let stage = stage_at(bars, pointer, count);
        let cell = cell(bars, stage, count);
        ui.painter().rect_stroke(
            cell,
            1.0,
            Stroke::new(1.0, view.palette.text.egui()),
            StrokeKind::Outside,
        );
        response.on_hover_ui_at_pointer(|ui| hint(ui, view, review, stage));
    }
}

fn header(ui: &mut Ui, view: &View<'_>, review: &Review, out: &mut Vec<Intent>) {
    let state = view.state;
    let count = review.sequence.stages.len();
    ui.horizontal(|ui| {
        if ui.button("◀").on_hover_text("stage before (←)").clicked() {
            out.push(Intent::StepBy(-1));
        }
        let (sign, hint) = if state.playing {
            ("⏸", "pause (Space)")
        } else {
            ("▶ Play", "play the stages (Space)")
        };
        if ui.button(sign).on_hover_text(hint).clicked() {
            out.push(Intent::Play(!state.playing));
        }
        if ui.button("▶").on_hover_text("next stage (→)").clicked() {
            out.push(Intent::StepBy(1));
        }
        ui.add_space(6.0);
        if let Some(stage) = review.sequence.stages.get(state.stage) {
            ui.label(
                egui::RichText::new(format!("Stage {} of {}", state.stage, count - 1))
                    .family(style::strong()),
            );
            ui.label(
                egui::RichText::new(&stage.step).monospace().color(view.palette.text_soft.egui()),
            );
            let title = egui::Label::new(&stage.title).truncate();
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                if let Some(text) = reserve_words(view, review, state.stage) {
                    ui.label(style::soft(view, text));
                }
                ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                    ui.add(title)
                });
            });
        }
    });
}

/// Switches for the kinds of reserve, each with a piece of its line.
fn kinds(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        ui.label(style::soft(view, "reserves, 1 at the broken line:  bars, the least"));
        for (kind, name) in reserve_lines::NAMES.into_iter().enumerate() {
            ui.add_space(4.0);
            let (rect, _) = ui.allocate_exact_size(vec2(26.0, 12.0), Sense::hover());
            let (dash, gap, ink) = reserve_lines::look(view, kind);
            let ends = [rect.left_center(), rect.right_center()];
            let stroke = Stroke::new(1.8, ink.egui());
            if gap > 0.0 {
                ui.painter().extend(egui::Shape::dashed_line(&ends, stroke, dash, gap));
            } else {
                ui.painter().line_segment(ends, stroke);
            }
            let mut on = !view.state.reserves_off[kind];
            let text = egui::RichText::new(name).size(view.text.small);
            if ui.checkbox(&mut on, text).changed() {
                out.push(Intent::Reserve(kind, on));
            }
        }
        ui.add_space(4.0);
        ui.label(style::soft(view, "open mark: proven, at least so much"));
    });
}

fn reserve_words(view: &View<'_>, review: &Review, stage: usize) -> Option<String> {
    let summary = review.summaries.get(stage)?;
    let reserve = summary.reserve?;
    let bound = if summary.reserve_at_least { "at least " } else { "" };
    let reserve = view.state.units.ratio(reserve);
    Some(format!("least reserve {bound}{reserve}: {}", summary.reserve_of))
}

fn hint(ui: &mut Ui, view: &View<'_>, review: &Review, stage: usize) {
    let Some(s) = review.sequence.stages.get(stage) else { return };
    ui.label(egui::RichText::new(format!("{stage} · {}", s.step)).family(style::strong()));
    if !s.title.is_empty() {
        ui.label(&s.title);
    }
    match grade_of_stage(review, stage) {
        Some(grade) => ui.label(format!("worst: {}", grade.words())),
        None => ui.label("nothing found"),
    };
    if let Some(text) = reserve_words(view, review, stage) {
        ui.label(text);
    }
    if let Some(summary) = review.summaries.get(stage) {
        for (name, of) in summary.reserves.kinds() {
            let member = if of.member.is_empty() { "" } else { ", " };
            let text = reserve_lines::words(view, &of.known);
            ui.label(style::soft(view, format!("{name}: {text}{member}{}", of.member)));
        }
    }
}

/// Which stage lies under a point.
#[must_use]
pub fn stage_at(bars: Rect, at: Pos2, count: usize) -> usize {
    let share = f64::from((at.x - bars.left()) / bars.width().max(1.0));
    ((share * count as f64).floor().max(0.0) as usize).min(count.saturating_sub(1))
}

fn cell(bars: Rect, stage: usize, count: usize) -> Rect {
    let at = |k: usize| bars.left() + bars.width() * (k as f64 / count as f64) as f32;
    Rect::from_min_max(pos2(at(stage), bars.top()), pos2(at(stage + 1), bars.bottom()))
}

fn draw(ui: &Ui, view: &View<'_>, review: &Review, bars: Rect) {
    let painter = ui.painter();
    let palette = view.palette;
    let count = review.sequence.stages.len();
    let each = bars.width() / count as f32;
    let gap = if each > 5.0 { 1.0 } else { 0.0 };
    let floor = bars.bottom();
    let plot = Rect::from_min_max(bars.min + vec2(0.0, 4.0), pos2(bars.right(), floor - 16.0));
    painter.rect_filled(bars, 2.0, palette.panel_deep.egui());
    for stage in 0..count {
        let c = cell(bars, stage, count);
        let grade = grade_of_stage(review, stage);
        let ink = grade.map_or(palette.calm, |g| palette.grade(g));
        let band = Rect::from_min_max(pos2(c.left(), floor - 14.0), pos2(c.right() - gap, floor));
        painter.rect_filled(band, 0.0, ink.egui());
        hatch(painter, band, grade, view);
        if let Some(reserve) = review.summaries.get(stage).and_then(|s| s.reserve) {
            let top = reserve_lines::height(plot, reserve);
            let bar = Rect::from_min_max(pos2(c.left(), top), pos2(c.right() - gap, floor - 16.0));
            painter.rect_filled(bar, 0.0, palette.text_soft.faint(0.28));
            painter.line_segment(
                [bar.left_top(), bar.right_top()],
                Stroke::new(1.5, palette.text_soft.egui()),
            );
        }
        if each >= 13.0
            && let Some(grade) = grade
        {
            signs::grade(painter, band.center(), 11.5, grade, palette);
        }
    }
    // Where the reserve is 1.
    let limit = reserve_lines::height(plot, 1.0);
    painter.extend(egui::Shape::dashed_line(
        &[pos2(bars.left(), limit), pos2(bars.right(), limit)],
        Stroke::new(1.0, palette.text.faint(0.55)),
        4.0,
        3.0,
    ));
    let middle = |stage: usize| cell(bars, stage, count).center().x;
    reserve_lines::draw(painter, view, review, plot, each, middle);
    if let Some(pinned) = view.state.pinned {
        let c = cell(bars, pinned, count);
        let flag = [pos2(c.center().x, bars.top()), pos2(c.center().x, bars.bottom())];
        painter.extend(egui::Shape::dashed_line(
            &flag,
            Stroke::new(1.5, palette.text.egui()),
            3.0,
            2.0,
        ));
        painter.text(
            pos2(c.center().x + 3.0, bars.top()),
            Align2::LEFT_TOP,
            "compared",
            FontId::proportional(view.text.small * 0.85),
            palette.text.egui(),
        );
    }
    if each < 13.0 {
        runs(ui, view, review, bars);
    }
    now(ui, view, bars, count);
    axis(ui, view, bars, count);
}

/// Where cells are too narrow for a sign each, one sign over every run of equal grade.
fn runs(ui: &Ui, view: &View<'_>, review: &Review, bars: Rect) {
    let count = review.sequence.stages.len();
    let mut from = 0;
    let mut free = f32::NEG_INFINITY;
    for stage in 0..=count {
        let grade = (stage < count).then(|| grade_of_stage(review, stage)).flatten();
        let before = grade_of_stage(review, from);
        if stage < count && grade == before {
            continue;
        }
        if let Some(g) = before.filter(|g| *g > Grade::Note) {
            let x =
                f32::midpoint(cell(bars, from, count).left(), cell(bars, stage - 1, count).right());
            if x - 7.0 > free {
                signs::grade(ui.painter(), pos2(x, bars.bottom() - 7.0), 11.5, g, view.palette);
                free = x + 7.0;
            }
        }
        from = stage;
    }
}

/// Slanted lines for stop, dots for unknown: the band reads without its colour.
fn hatch(painter: &egui::Painter, band: Rect, grade: Option<Grade>, view: &View<'_>) {
    let painter = painter.with_clip_rect(band.intersect(painter.clip_rect()));
    match grade {
        Some(Grade::Stop) => {
            let ink = Stroke::new(1.2, view.palette.on_stop.faint(0.55));
            // Counted from the edge of the window, so that neighbours join up.
            let first = (band.left() / 7.0).floor() as i32 - 2;
            let last = (band.right() / 7.0).ceil() as i32 + 1;
            for k in first..=last {
                let x = k as f32 * 7.0;
                painter.line_segment([pos2(x, band.bottom()), pos2(x + 14.0, band.top())], ink);
            }
        }
        Some(Grade::Unknown) => {
            let first = (band.left() / 6.0).floor() as i32;
            let last = (band.right() / 6.0).ceil() as i32;
            for k in first..=last {
                let y = band.top() + if k % 2 == 0 { 4.0 } else { 10.0 };
                painter.circle_filled(
                    pos2(k as f32 * 6.0, y),
                    1.2,
                    view.palette.on_unknown.faint(0.8),
                );
            }
        }
        _ => {}
    }
}

fn now(ui: &Ui, view: &View<'_>, bars: Rect, count: usize) {
    let c = cell(bars, view.state.stage, count);
    let x = c.center().x;
    let frame = Rect::from_min_max(
        pos2(c.left().min(x - 2.0), bars.top() - 2.0),
        pos2(c.right().max(x + 2.0), bars.bottom() + 2.0),
    );
    let ink = view.palette.accent.egui();
    ui.painter().rect_stroke(frame, 2.0, Stroke::new(2.0, ink), StrokeKind::Outside);
    ui.painter().add(egui::Shape::convex_polygon(
        vec![
            pos2(x, bars.bottom() + 3.0),
            pos2(x + 5.0, bars.bottom() + 10.0),
            pos2(x - 5.0, bars.bottom() + 10.0),
        ],
        ink,
        Stroke::NONE,
    ));
}

fn axis(ui: &Ui, view: &View<'_>, bars: Rect, count: usize) {
    let font = FontId::proportional(view.text.small);
    let ink = view.palette.text_soft.egui();
    let room = bars.width() / count as f32;
    let every = [1usize, 2, 5, 10, 20, 50, 100, 200, 500, 1000]
        .into_iter()
        .find(|&n| n as f32 * room >= 46.0)
        .unwrap_or(2000);
    let now = cell(bars, view.state.stage, count).center().x;
    for number in (0..count).filter(|n| n % every == 0) {
        let x = cell(bars, number, count).center().x;
        // Where the number of the present stage stands, no other does.
        let ahead = if now + 40.0 < bars.right() { x - now } else { now - x };
        if (-22.0..48.0).contains(&ahead) {
            continue;
        }
        ui.painter().text(
            pos2(x, bars.bottom() + 3.0),
            Align2::CENTER_TOP,
            number.to_string(),
            font.clone(),
            ink,
        );
    }
    let number = view.state.stage.to_string();
    let (at, align) = if now + 40.0 < bars.right() {
        (pos2(now + 8.0, bars.bottom() + 3.0), Align2::LEFT_TOP)
    } else {
        (pos2(now - 8.0, bars.bottom() + 3.0), Align2::RIGHT_TOP)
    };
    ui.painter().text(at, align, number, font, view.palette.text.egui());
}
