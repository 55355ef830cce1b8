//! What is written about the strip: the line above it, and what it says under the pointer.

use super::strip::Span;
use super::{View, lanes, style};
use crate::review::Review;
use crate::viewer::state::grade_of_stage;
use crate::viewer::vocab::Intent;
use egui::{FontId, Ui, vec2};

/// Steps, play, the present stage with its least reserve, and how close the strip is looked at.
pub(super) fn header(
    ui: &mut Ui,
    view: &View<'_>,
    review: &Review,
    span: &mut Span,
    out: &mut Vec<Intent>,
) {
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
        let Some(stage) = review.sequence.stages.get(state.stage) else { return };
        ui.label(
            egui::RichText::new(format!("Stage {} of {}", state.stage, count - 1))
                .family(style::strong()),
        );
        ui.label(egui::RichText::new(&stage.step).monospace().color(view.palette.text_soft.egui()));
        let title = egui::RichText::new(&stage.title);
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let now = state.stage as f64 + 0.5;
            if ui.button("+").on_hover_text("a closer look at the stages (wheel)").clicked() {
                *span = span.closer(2.0, now, count);
            }
            let whole = *span == Span::all(count);
            if ui.add_enabled(!whole, egui::Button::new("–")).on_hover_text("less close").clicked()
            {
                *span = span.closer(0.5, now, count);
            }
            // What the step is comes first; what is left of the line is the reserve's.
            let room = ui.available_size();
            let font = FontId::proportional(view.text.body);
            let wide =
                ui.painter().layout_no_wrap(stage.title.clone(), font, ui.visuals().text_color());
            let left = (room.x - wide.size().x.min(room.x * 0.7) - 24.0).max(0.0);
            if let Some((said, whole)) = fitting(ui, view, review, state.stage, left) {
                let layout = egui::Layout::right_to_left(egui::Align::Center);
                ui.allocate_ui_with_layout(vec2(left, room.y), layout, |ui| {
                    ui.set_min_width(left);
                    ui.add(egui::Label::new(style::soft(view, said)).extend()).on_hover_text(whole);
                });
            }
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                ui.add(egui::Label::new(title).truncate());
            });
        });
    });
}

/// The least reserve of a stage in words, from the whole to the number alone.
#[must_use]
pub fn reserve_words(view: &View<'_>, review: &Review, stage: usize) -> Option<[String; 3]> {
    let summary = review.summaries.get(stage)?;
    let reserve = summary.reserve?;
    let bound = if summary.reserve_at_least { "at least " } else { "" };
    let number = format!("least reserve {bound}{}", view.state.units.ratio(reserve));
    // Behind the semicolon stands what was only proven to be enough: it may be less than the number.
    let (worst, proven) = summary.reserve_of.split_once("; ").unwrap_or((&summary.reserve_of, ""));
    let rest = if proven.is_empty() { "" } else { "; the rest at least 1" };
    let whole = format!("{number}: {}", summary.reserve_of);
    let short = format!("{number}: {worst}{rest}");
    Some([whole, short, format!("{number}{rest}")])
}

/// The longest of them that has room, and the whole.
fn fitting(
    ui: &Ui,
    view: &View<'_>,
    review: &Review,
    stage: usize,
    room: f32,
) -> Option<(String, String)> {
    let all = reserve_words(view, review, stage)?;
    let wide = |text: &String| {
        let font = FontId::proportional(view.text.small);
        ui.painter().layout_no_wrap(text.clone(), font, ui.visuals().text_color()).size().x
    };
    let said = all.iter().find(|text| wide(text) <= room)?.clone();
    let [whole, ..] = all;
    Some((said, whole))
}

/// Of the stage under the pointer.
pub(super) fn hint(ui: &mut Ui, view: &View<'_>, review: &Review, stage: usize) {
    let Some(s) = review.sequence.stages.get(stage) else { return };
    ui.label(egui::RichText::new(format!("{stage} · {}", s.step)).family(style::strong()));
    if !s.title.is_empty() {
        ui.label(&s.title);
    }
    match grade_of_stage(review, stage) {
        Some(grade) => ui.label(format!("worst: {}", grade.words())),
        None => ui.label("nothing found"),
    };
    if let Some([whole, ..]) = reserve_words(view, review, stage) {
        ui.label(whole);
    }
    if let Some(summary) = review.summaries.get(stage) {
        ui.label(style::soft(view, "capacity over demand, 1 is the limit:"));
        for (name, of) in summary.reserves.kinds() {
            let member = if of.member.is_empty() { "" } else { ", " };
            let text = lanes::words(view, &of.known);
            ui.label(style::soft(view, format!("{name}: {text}{member}{}", of.member)));
        }
    }
}
