//! The page of keys and marks.

use super::{View, signs, style};
use crate::viewer::keys::{CONTROL_KEYS, EYE_KEYS, KEYS};
use crate::viewer::theme::Grade;
use crate::viewer::vocab::Intent;
use egui::{RichText, Ui};

pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let palette = view.palette;
    style::heading(ui, view, "Marks");
    for grade in Grade::ALL {
        let words = match grade {
            Grade::Stop => "stop: it can fall now",
            Grade::Unknown => "unknown: could not be judged; never taken as safe",
            Grade::FixFirst => "fix first: not past this step until put right",
            Grade::Watch => "watch",
            Grade::Note => "note",
        };
        ui.horizontal(|ui| {
            signs::inline(ui, 18.0, grade, palette);
            ui.label(words);
        });
    }
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(egui::Vec2::splat(18.0), egui::Sense::hover());
        signs::hand(ui.painter(), rect.center(), 18.0, palette);
        ui.label("in hand: it stands where it is put and holds nothing else");
    });
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(egui::Vec2::splat(18.0), egui::Sense::hover());
        ui.painter().rect_filled(rect.shrink(2.0), 2.0, palette.step.egui());
        ui.label("put in or released in this step; thin outlines are still to come");
    });
    ui.horizontal(|ui| {
        signs::not_saved(ui, 18.0, palette);
        ui.label("what you tried could not be saved; it is still here");
    });
    style::heading(ui, view, "Keys");
    egui::Grid::new("keys").num_columns(2).spacing([18.0, 4.0]).show(ui, |ui| {
        let control = CONTROL_KEYS.iter().map(|(_, _, name, words, _)| (*name, *words));
        let rows = KEYS.iter().map(|k| (k.name, k.words));
        let rows = rows.chain(control).chain(EYE_KEYS.iter().copied());
        for (name, words) in rows {
            ui.label(RichText::new(name).family(style::strong()));
            ui.label(words);
            ui.end_row();
        }
    });
    if ui.button("Close").clicked() {
        out.push(Intent::Help(false));
    }
}
