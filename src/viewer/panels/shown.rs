//! The menu of what is drawn: kinds, blocks, the cutting box, measuring.

use super::{View, style};
use crate::viewer::shown::{Cut, Drawn, Kind, Shown};
use crate::viewer::vocab::Intent;
use egui::Ui;

pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let shown = &view.state.shown;
    ui.set_min_width(340.0);
    let mut next = shown.clone();
    egui::Grid::new("kinds").num_columns(2).spacing([14.0, 5.0]).show(ui, |ui| {
        for kind in Kind::ALL {
            ui.label(kind.words());
            ui.horizontal(|ui| {
                for (drawn, words) in
                    [(Drawn::Full, "full"), (Drawn::Faded, "faded"), (Drawn::Not, "hidden")]
                {
                    let on = shown.kind(kind) == drawn;
                    let response = style::choice(ui, view, on, words);
                    response.widget_info(|| {
                        let name = format!("{} {words}", kind.words());
                        egui::WidgetInfo::selected(egui::WidgetType::Button, true, on, name)
                    });
                    if response.clicked() {
                        next.kinds[kind as usize] = drawn;
                    }
                }
            });
            ui.end_row();
        }
    });
    blocks(ui, view, &mut next);
    cut(ui, view, &mut next);
    ui.horizontal(|ui| {
        if ui.add_enabled(!shown.is_all(), egui::Button::new("Show everything")).clicked() {
            next = Shown { bounds: shown.bounds, ..Shown::default() };
        }
        let words = if view.state.measure.is_some() { "Stop measuring" } else { "Measure" };
        if ui.button(words).on_hover_text("X").clicked() {
            out.push(Intent::Measure(view.state.measure.is_none()));
            ui.close();
        }
    });
    let mut less = !view.state.always_full;
    let words = "Draw edges more coarsely while the view moves";
    if ui.checkbox(&mut less, words).on_hover_text("until it rests; nothing is left out").changed()
    {
        out.push(Intent::AlwaysFull(!less));
    }
    if next != *shown {
        out.push(Intent::Shown(Box::new(next)));
    }
}

fn blocks(ui: &mut Ui, view: &View<'_>, next: &mut Shown) {
    let Some(review) = &view.state.review else { return };
    let blocks = &review.assembly.scene.blocks;
    if blocks.len() < 2 {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.label(style::soft(view, "block"));
        if style::choice(ui, view, next.block.is_none(), "all").clicked() {
            next.block = None;
        }
        for block in blocks {
            let on = next.block.as_deref() == Some(block.name.as_str());
            if style::choice(ui, view, on, &block.name).clicked() {
                next.block = Some(block.name.clone());
            }
        }
    });
}

/// Two sliders an axis.
fn cut(ui: &mut Ui, view: &View<'_>, next: &mut Shown) {
    style::heading(ui, view, "Cut away");
    let before = next.cut;
    for (k, words) in ["along x", "along y", "by level"].into_iter().enumerate() {
        let (low, high) = (next.bounds[0][k], next.bounds[1][k]);
        if high - low < 0.01 {
            continue;
        }
        let units = view.state.units;
        let say = move |share: f64, _| units.length(low + (high - low) * share);
        ui.horizontal(|ui| {
            ui.label(style::soft(view, words));
            let Cut { low, high } = &mut next.cut;
            for (value, name) in [(&mut low[k], "from"), (&mut high[k], "to")] {
                let label = ui.label(name);
                let slider = egui::Slider::new(value, 0.0..=1.0).custom_formatter(say);
                ui.add(slider).labelled_by(label.id);
            }
        });
        if next.cut.low[k] > next.cut.high[k] {
            // The one that was moved pushes the other.
            if next.cut.low[k] == before.low[k] {
                next.cut.low[k] = next.cut.high[k];
            } else {
                next.cut.high[k] = next.cut.low[k];
            }
        }
    }
}
