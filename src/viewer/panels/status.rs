//! The line at the bottom, the message over the scene when a file cannot be read, and progress.

use super::{View, style};
use crate::viewer::vocab::Intent;
use egui::{RichText, Ui};

/// Said once on every sheet and every screen.
pub const CAUTION: &str =
    "An aid, not an approval: the engineer's drawing, the supplier's table and local rules govern.";

pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let state = view.state;
    ui.horizontal_centered(|ui| {
        if let Some(progress) = &state.loading {
            let share =
                if progress.total > 0 { progress.done as f32 / progress.total as f32 } else { 0.0 };
            ui.add(egui::ProgressBar::new(share).desired_width(180.0).desired_height(12.0));
            let text = if progress.total > 0 {
                format!("judging stage {} of {}", progress.done, progress.total)
            } else {
                "reading".to_owned()
            };
            ui.label(RichText::new(text).size(view.text.small));
            if ui.small_button("Cancel").on_hover_text("Esc").clicked() {
                out.push(Intent::CancelLoading);
            }
        } else if let Some(review) = &state.review {
            let count =
                |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
            let incomplete = review.pack.incomplete();
            let text = format!(
                "{}, {}, {}{}",
                count(review.assembly.members.len(), "member"),
                count(review.sequence.stages.len(), "stage"),
                count(review.findings.len(), "finding"),
                if incomplete.is_some() { ", criteria incomplete" } else { "" }
            );
            let said = ui.label(style::soft(view, text));
            if let Some(words) = incomplete {
                said.on_hover_text(format!("{}: {words}", review.pack.full_title()));
            }
        }
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.add(egui::Label::new(style::soft(view, CAUTION)).truncate());
        });
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
