//! A member's reserve over the whole sequence, with the present stage marked. Click to go there.
//!
//! It is the least of all that the hand calculation comes to and of what tips the member. Where anything
//! of it is not known the column is a question mark over the whole height, never a height. Known to work by
//! `tests/viewer/looks.rs`, and the numbers by `tests/calc/sheets.rs`.

use super::{View, lanes, style};
use crate::assembly::MemberId;
use crate::review::Known;
use crate::viewer::theme::Palette;
use crate::viewer::vocab::Intent;
use egui::{Align2, FontId, Painter, Rect, Sense, Shape, Stroke, Ui, pos2, vec2};

const HEIGHT: f32 = 46.0;

/// What is written below the plot.
#[must_use]
pub fn words(all: &[Known], now: usize, ratio: impl Fn(f64) -> String) -> String {
    let at_now = match all.get(now) {
        Some(Known::Unknown(why)) => format!("now unknown: {why}"),
        Some(known) => match known.relied_on() {
            Some(r) if r.is_finite() => format!("now {}", ratio(r)),
            Some(_) => "no demand now".to_owned(),
            None => "nothing to judge now".to_owned(),
        },
        None => "nothing to judge now".to_owned(),
    };
    let mut out = at_now;
    if let Some((stage, least)) = least(all) {
        out.push_str(&format!("; least {} at stage {stage}", ratio(least)));
    }
    let unknown = all.iter().filter(|k| k.is_unknown()).count();
    if unknown > 0 {
        let s = if unknown == 1 { "" } else { "s" };
        out.push_str(&format!("; unknown at {unknown} stage{s}"));
    }
    out.push_str("; the broken line is the limit, 1");
    out
}

/// The least that is known, and at which stage first.
fn least(all: &[Known]) -> Option<(usize, f64)> {
    let known = all.iter().enumerate().filter_map(|(i, k)| Some((i, k.relied_on()?)));
    known.filter(|(_, r)| r.is_finite()).min_by(|a, b| a.1.total_cmp(&b.1))
}

pub fn ui(ui: &mut Ui, view: &View<'_>, id: MemberId, out: &mut Vec<Intent>) {
    let state = view.state;
    let mine =
        |h: &&crate::viewer::histories::History| (h.revision, h.member) == (state.revision, id);
    let there = state.history.as_ref().filter(mine);
    if there.is_some_and(|h| h.at.iter().all(|k| *k == Known::Nothing)) {
        return;
    }
    style::heading(ui, view, "Its reserve over the stages");
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::click());
    ui.painter().rect_filled(rect, 3.0, view.palette.panel_deep.egui());
    let Some(history) = there else {
        ui.label(style::soft(view, "being worked out"));
        return;
    };
    let all = &history.at;
    let plot = Plot { rect: rect.shrink2(vec2(2.0, 4.0)), count: all.len().max(1) };
    if ui.is_rect_visible(rect) {
        draw(ui.painter(), view.palette, &plot, all);
        let now = state.stage;
        let x = plot.x(now);
        let line = Rect::from_min_max(pos2(x - 0.8, rect.top()), pos2(x + 0.8, rect.bottom()));
        ui.painter().rect_filled(line, 0.0, view.palette.text.faint(0.8));
        let at_now = all.get(now).and_then(Known::relied_on).filter(|r| r.is_finite());
        for (stage, reserve) in least(all).into_iter().chain(at_now.map(|r| (now, r))) {
            plot.mark(ui.painter(), view.palette, stage, reserve);
        }
    }
    let said = words(all, state.stage, |r| state.units.ratio(r));
    response.widget_info(|| egui::WidgetInfo::labeled(egui::WidgetType::Image, true, &said));
    ui.label(style::soft(view, said));
    if let Some(pointer) = response.interact_pointer_pos().filter(|_| response.clicked()) {
        out.push(Intent::GoToStage(plot.stage(pointer.x)));
    }
}

/// Where stages lie.
struct Plot {
    rect: Rect,
    count: usize,
}

impl Plot {
    fn x(&self, stage: usize) -> f32 {
        self.rect.left() + self.rect.width() * (stage as f32 + 0.5) / self.count as f32
    }
    fn stage(&self, x: f32) -> usize {
        let share = ((x - self.rect.left()) / self.rect.width().max(1.0)).clamp(0.0, 0.9999);
        (share * self.count as f32) as usize
    }
    fn mark(&self, painter: &Painter, palette: &Palette, stage: usize, reserve: f64) {
        let at = pos2(self.x(stage), lanes::height(self.rect, reserve));
        let ink = if reserve < 1.0 { palette.stop } else { palette.accent };
        painter.circle(at, 3.5, ink.egui(), Stroke::new(1.0, palette.panel.egui()));
    }
}

fn draw(painter: &Painter, palette: &Palette, plot: &Plot, all: &[Known]) {
    let rect = plot.rect;
    let limit = lanes::height(rect, 1.0);
    painter.extend(Shape::dashed_line(
        &[pos2(rect.left(), limit), pos2(rect.right(), limit)],
        Stroke::new(1.0, palette.text.faint(0.55)),
        4.0,
        3.0,
    ));
    let ink = Stroke::new(1.6, palette.accent.egui());
    let half = rect.width() / plot.count as f32 * 0.5;
    let mut run = Vec::new();
    let mut asked = f32::NEG_INFINITY;
    for (stage, known) in all.iter().enumerate() {
        let x = plot.x(stage);
        if let Some(r) = known.relied_on() {
            // What has no demand is at the top.
            run.push(pos2(x, lanes::height(rect, r)));
            continue;
        }
        trace(painter, &mut run, ink, half);
        if known.is_unknown() {
            let column =
                Rect::from_min_max(pos2(x - half, rect.top()), pos2(x + half, rect.bottom()));
            painter.rect_filled(column, 0.0, palette.unknown.faint(0.35));
            if x - asked >= 12.0 {
                asked = x;
                let (at, font) = (pos2(x, rect.center().y), FontId::proportional(12.0));
                painter.text(at, Align2::CENTER_CENTER, "?", font, palette.text.egui());
            }
        }
    }
    trace(painter, &mut run, ink, half);
}

/// A line through the points of neighbouring stages; one alone is a short level line.
fn trace(painter: &Painter, run: &mut Vec<egui::Pos2>, ink: Stroke, half: f32) {
    match run.as_slice() {
        [] => {}
        [one] => {
            painter.line_segment([*one - vec2(half, 0.0), *one + vec2(half, 0.0)], ink);
        }
        _ => {
            painter.add(Shape::line(std::mem::take(run), ink));
        }
    }
    run.clear();
}
