//! The stage on screen beside the one that is pinned, as differences; and the scene under other
//! criteria.

use super::{View, card, lanes, style};
use crate::review::{Review, compare_stages};
use crate::scene::equip::Shipped;
use crate::viewer::vocab::{EditIntent, Intent};
use egui::{RichText, Ui};

pub fn ui(ui: &mut Ui, view: &View<'_>, review: &Review, out: &mut Vec<Intent>) {
    style::heading(ui, view, "Compare");
    ui.horizontal_wrapped(|ui| match view.state.pinned {
        None => {
            if ui.button("Compare other stages with this one").on_hover_text("C").clicked() {
                out.push(Intent::Pin(Some(view.state.stage)));
            }
        }
        Some(at) => {
            if ui.button(format!("Stop comparing with stage {at}")).on_hover_text("C").clicked() {
                out.push(Intent::Pin(None));
            }
        }
    });
    if view.state.trying.book.is_some() {
        style::row(ui, true, |ui| {
            ui.label(style::soft(view, "all stages under other rules"));
            for name in Shipped::Criteria.names().filter(|n| *n != review.assembly.scene.criteria) {
                if ui.small_button(name).clicked() {
                    out.push(Intent::Edit(EditIntent::Under(name.to_owned())));
                }
            }
        });
    }
    let Some(pinned) = view.state.pinned.filter(|&p| p != view.state.stage) else { return };
    let differs = compare_stages(review, pinned, review, view.state.stage);
    let step = |at: usize| review.sequence.stages.get(at).map_or("", |s| s.step.as_str());
    let (then, now) = (step(pinned), step(view.state.stage));
    egui::Grid::new("reserves of two stages").num_columns(3).spacing([12.0, 3.0]).show(ui, |ui| {
        ui.label(style::soft(view, "reserve"));
        ui.label(style::soft(view, then));
        ui.label(style::soft(view, now));
        ui.end_row();
        for number in &differs.reserves {
            ui.label(number.what);
            ui.label(lanes::words(view, &number.before));
            let text = lanes::words(view, &number.after);
            let other = number.before != number.after;
            ui.label(if other { RichText::new(text).family(style::strong()) } else { text.into() });
            ui.end_row();
        }
    });
    for (title, list) in [
        (format!("Only at {now}"), &differs.only_after),
        (format!("Only at {then}"), &differs.only_before),
    ] {
        if list.is_empty() {
            continue;
        }
        ui.label(RichText::new(title).family(style::strong()));
        for &i in list.iter().take(12) {
            card::link(ui, view, i, &review.findings[i], out);
        }
        if list.len() > 12 {
            ui.label(style::soft(view, format!("and {} more", list.len() - 12)));
        }
    }
    ui.label(style::soft(view, format!("{} findings stand at both.", differs.both.len())));
}
