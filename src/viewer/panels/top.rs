//! The bar on top: the scene, the views, units, colours.

use super::{View, style};
use crate::units::UnitSystem;
use crate::viewer::keys::{other_look, other_units};
use crate::viewer::vocab::{Intent, NamedView};
use egui::{RichText, Ui};
use std::path::{Path, PathBuf};

pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let state = view.state;
    ui.horizontal_centered(|ui| {
        ui.add_space(4.0);
        ui.label(
            RichText::new("Standwell")
                .size(view.text.title)
                .family(style::strong())
                .color(view.palette.accent.egui()),
        );
        ui.add_space(6.0);
        ui.menu_button("Scene ⏷", |ui| scenes(ui, view, out));
        ui.menu_button("Teach, walk, sign ⏷", |ui| crate::viewer::guide::menu(ui, view, out));
        let name = state.path.as_deref().map_or("no scene".to_owned(), name_of);
        ui.add(egui::Label::new(RichText::new(name).family(style::strong())).truncate());
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            ui.add_space(4.0);
            if ui.button("?").on_hover_text("keys and marks (F1)").clicked() {
                out.push(Intent::Help(!state.help));
            }
            let look = other_look(state.look).words();
            if ui.button(look).on_hover_text("day, dark or high-contrast colours (L)").clicked() {
                out.push(Intent::Look(other_look(state.look)));
            }
            let units = if state.units == UnitSystem::Feet { "ft-in" } else { "m" };
            if ui.button(units).on_hover_text("feet and inches, or metres (U)").clicked() {
                out.push(Intent::Units(other_units(state.units)));
            }
            ui.menu_button("Show ⏷", |ui| super::shown::ui(ui, view, out));
            ui.separator();
            if ui.button("Fit").on_hover_text("fit everything (F)").clicked() {
                out.push(Intent::Fit);
            }
            for (k, named) in NamedView::ALL.into_iter().enumerate().rev() {
                let hint = format!("key {}", k + 1);
                if ui.button(named.words()).on_hover_text(hint).clicked() {
                    out.push(Intent::View(named));
                }
            }
        });
    });
}

/// A scene's name for a person.
#[must_use]
pub fn name_of(path: &Path) -> String {
    let text = path.to_string_lossy();
    match text.strip_prefix(crate::viewer::rooms::SHIPPED) {
        Some(name) => name.to_owned(),
        None => {
            path.file_name().map_or(text.clone(), std::ffi::OsStr::to_string_lossy).into_owned()
        }
    }
}

fn scenes(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    ui.set_min_width(320.0);
    if ui.button("Open a file…").clicked() {
        out.push(Intent::AskForFile);
        ui.close();
    }
    if view.state.path.is_some() && ui.button("Read it again").clicked() {
        out.push(Intent::Reload);
        ui.close();
    }
    ui.separator();
    ui.label(style::soft(view, "or type its path and press Enter"));
    let id = ui.id().with("typed path");
    let mut typed: String = ui.data(|d| d.get_temp(id)).unwrap_or_default();
    let field = ui.add(
        egui::TextEdit::singleline(&mut typed)
            .desired_width(f32::INFINITY)
            .hint_text("path/to/scene.ron"),
    );
    let entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
    if entered && !typed.trim().is_empty() {
        out.push(Intent::Open(PathBuf::from(typed.trim())));
        ui.close();
    }
    ui.data_mut(|d| d.insert_temp(id, typed));
    if !view.state.scenes.is_empty() {
        ui.separator();
        ui.label(style::soft(view, "Scenes that come with the program"));
        for path in &view.state.scenes {
            let here = view.state.path.as_ref() == Some(path);
            if style::choice(ui, view, here, &name_of(path)).clicked() {
                out.push(Intent::Open(path.clone()));
                ui.close();
            }
        }
    }
}
