//! The line at the bottom, the message over the scene when a file cannot be read, and progress.

use super::{View, style};
use crate::viewer::state::Progress;
use crate::viewer::vocab::Intent;
use egui::{
    FontId, Rect, RichText, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, WidgetType, vec2,
};

/// Said once on every sheet and every screen.
pub const CAUTION: &str =
    "An aid, not an approval: the engineer's drawing, the supplier's table and local rules govern.";

/// Height of a line of it, points.
const LINE: f32 = 28.0;
/// Between what is said of the scene and the caution, points.
const BETWEEN: f32 = 24.0;
/// The bar and the button to cancel beside what is said of progress, points.
const BAR_AND_BUTTON: f32 = 280.0;

/// The caution as it is written in so much room.
fn caution(ui: &Ui, view: &View<'_>, room: f32) -> std::sync::Arc<egui::Galley> {
    let (font, ink) = (FontId::proportional(view.text.small), view.palette.text_soft.egui());
    ui.painter().layout(CAUTION.to_owned(), font, ink, room)
}

/// Whether the caution stands beside what is said of the scene.
fn fits_beside(ui: &Ui, view: &View<'_>, room: f32) -> bool {
    let wide = |text: String| {
        let font = FontId::proportional(view.text.small);
        ui.painter().layout_no_wrap(text, font, egui::Color32::WHITE).size().x
    };
    let left = match (&view.state.loading, scene_words(view)) {
        (Some(progress), _) if !reads_another(view) => wide(words(progress)) + BAR_AND_BUTTON,
        (_, Some(text)) => wide(text),
        _ => 0.0,
    };
    left + BETWEEN + wide(CAUTION.to_owned()) <= room
}

/// How high the line is in so much room, points: the caution is never cut off, so it gets lines of its
/// own where the window is narrow or its text large.
#[must_use]
pub fn height(ui: &Ui, view: &View<'_>, room: f32) -> f32 {
    if fits_beside(ui, view, room) { LINE } else { LINE + caution(ui, view, room).size().y + 2.0 }
}

pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let room = ui.available_width();
    if fits_beside(ui, view, room) {
        ui.horizontal_centered(|ui| {
            scene(ui, view, out);
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                ui.label(style::soft(view, CAUTION));
            });
        });
    } else {
        ui.spacing_mut().item_spacing.y = 0.0;
        ui.horizontal(|ui| {
            ui.set_min_height(LINE - 6.0);
            scene(ui, view, out);
        });
        ui.add(egui::Label::new(style::soft(view, CAUTION)).wrap());
    }
}

/// What is said of the scene on screen, if there is one.
fn scene_words(view: &View<'_>) -> Option<String> {
    let review = view.state.review.as_ref()?;
    let count = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    let mut text = format!(
        "{}, {}",
        count(review.assembly.members.len(), "member"),
        count(review.sequence.stages.len(), "stage"),
    );
    // In a lesson the number of findings would be half the answer.
    if !view.state.guide.teaches() {
        text.push_str(&format!(", {}", count(review.findings.len(), "finding")));
    }
    if review.pack.incomplete().is_some() {
        text.push_str(", some limits from memory");
    }
    Some(text)
}

/// How far the reading is, or what there is of the scene.
fn scene(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let state = view.state;
    // While another scene is read its card over the scene says how far it is.
    if let Some(progress) = state.loading.as_ref().filter(|_| !reads_another(view)) {
        bar(ui, view, progress, vec2(180.0, 12.0));
        ui.label(RichText::new(words(progress)).size(view.text.small));
        if ui.small_button("Cancel").on_hover_text("Esc").clicked() {
            out.push(Intent::CancelLoading);
        }
        return;
    }
    let (Some(review), Some(text)) = (&state.review, scene_words(view)) else { return };
    let said = ui.add(egui::Label::new(style::soft(view, text)).truncate());
    if let Some(words) = review.pack.incomplete() {
        said.on_hover_text(format!("{}: {words}", review.pack.full_title()));
    }
}

fn words(progress: &Progress) -> String {
    if progress.total > 0 {
        format!("judged {} of {} stages", progress.done, progress.total)
    } else {
        "reading the files".to_owned()
    }
}

/// How far it is, as a filled bar.
fn bar(ui: &mut Ui, view: &View<'_>, progress: &Progress, size: Vec2) {
    let palette = view.palette;
    let share = if progress.total > 0 { progress.done as f32 / progress.total as f32 } else { 0.0 };
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response
        .widget_info(|| WidgetInfo::labeled(WidgetType::ProgressIndicator, true, words(progress)));
    ui.painter().rect_filled(rect, 2.0, palette.panel.egui());
    let done = Rect::from_min_size(rect.min, vec2(size.x * share.clamp(0.0, 1.0), size.y));
    ui.painter().rect_filled(done, 2.0, palette.accent.egui());
    let line = Stroke::new(1.0, palette.text_soft.egui());
    ui.painter().rect_stroke(rect, 2.0, line, StrokeKind::Inside);
}

/// Whether another scene than the one on screen is being read.
#[must_use]
pub fn reads_another(view: &View<'_>) -> bool {
    let state = view.state;
    let other = |p: &Progress| state.review.is_none() || state.path.as_ref() != Some(&p.path);
    !state.trying.judging && state.loading.as_ref().is_some_and(other)
}

/// Over the scene, while another one is being read.
pub fn progress(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let Some(progress) = &view.state.loading else { return };
    let palette = view.palette;
    egui::Frame::new()
        .fill(palette.panel.egui())
        .stroke(Stroke::new(1.0, palette.line.egui()))
        .corner_radius(6.0)
        .inner_margin(16)
        .show(ui, |ui| {
            let name = super::top::name_of(&progress.path);
            let title = RichText::new(format!("Reading {name}"));
            ui.label(title.family(style::strong()).size(view.text.heading));
            bar(ui, view, progress, vec2(ui.available_width(), 16.0));
            ui.horizontal(|ui| {
                ui.label(words(progress));
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                    if ui.button("Cancel").on_hover_text("Esc").clicked() {
                        out.push(Intent::CancelLoading);
                    }
                });
            });
            if view.state.review.is_some() {
                ui.label(style::soft(view, "The scene on screen stays until it is judged."));
            }
        });
}

/// The message over the scene. Returns nothing to draw where there is none.
pub fn problem(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let Some(problem) = &view.state.problem else { return };
    let palette = view.palette;
    egui::Frame::new()
        .fill(palette.panel.egui())
        .stroke(egui::Stroke::new(2.0, palette.stop.egui()))
        .corner_radius(6.0)
        .inner_margin(12)
        .show(ui, |ui| {
            let kept = view.state.review.is_some();
            let title = if kept {
                "This file could not be read. What you see is the last good one."
            } else {
                "This file could not be read."
            };
            ui.label(RichText::new(title).family(style::strong()).size(view.text.heading));
            egui::ScrollArea::vertical().max_height(220.0).show(ui, |ui| {
                ui.add(
                    egui::Label::new(RichText::new(problem).monospace()).wrap().selectable(true),
                );
            });
            ui.horizontal(|ui| {
                if ui.button("Put away").on_hover_text("Esc").clicked() {
                    out.push(Intent::Dismiss);
                }
                if ui.button("Read again").on_hover_text("F5").clicked() {
                    out.push(Intent::Reload);
                }
            });
        });
}
