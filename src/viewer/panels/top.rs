//! The bar on top: the scene, the views, units, colours.

use super::{View, style};
use crate::units::UnitSystem;
use crate::viewer::keys::{other_look, other_units};
use crate::viewer::vocab::{Intent, NamedView};
use egui::{RichText, Ui};
use std::path::{Path, PathBuf};

/// Narrower than this, in points, the views are folded into a menu.
const WIDE: f32 = 1000.0;
/// Narrower than this the program's name makes room.
const NARROW: f32 = 720.0;

pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let state = view.state;
    let room = ui.available_width();
    ui.horizontal_centered(|ui| {
        if room >= NARROW {
            ui.add_space(4.0);
            ui.label(
                RichText::new("Standwell")
                    .size(view.text.title)
                    .family(style::strong())
                    .color(view.palette.accent.egui()),
            );
            ui.add_space(6.0);
        }
        ui.menu_button("Scene ⏷", |ui| scenes(ui, view, out));
        ui.menu_button("Teach, walk, sign ⏷", |ui| crate::viewer::guide::menu(ui, view, out));
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
            if room >= WIDE {
                ui.separator();
                views(ui, NamedView::ALL.into_iter().enumerate().rev(), true, out);
            } else {
                ui.menu_button("View ⏷", |ui| {
                    views(ui, NamedView::ALL.into_iter().enumerate(), false, out);
                });
            }
            // The name has what is left.
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                let name = state.path.as_deref().map_or("no scene".to_owned(), name_of);
                ui.add(egui::Label::new(RichText::new(name).family(style::strong())).truncate());
            });
        });
    });
}

/// The named views, and fitting everything: first where they stand from right to left.
fn views(
    ui: &mut Ui,
    all: impl Iterator<Item = (usize, NamedView)>,
    fit_first: bool,
    out: &mut Vec<Intent>,
) {
    let fit = |ui: &mut Ui, out: &mut Vec<Intent>| {
        if ui.button("Fit").on_hover_text("fit everything (F)").clicked() {
            out.push(Intent::Fit);
        }
    };
    if fit_first {
        fit(ui, out);
    }
    for (k, named) in all {
        let hint = format!("key {}", k + 1);
        if ui.button(named.words()).on_hover_text(hint).clicked() {
            out.push(Intent::View(named));
        }
    }
    if !fit_first {
        fit(ui, out);
    }
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
    if view.state.path.is_some() && ui.button("Read it again").on_hover_text("F5").clicked() {
        out.push(Intent::Reload);
        ui.close();
    }
    if ui.button("Type its path…").on_hover_text("P").clicked() {
        out.push(Intent::AskForPath(true));
        ui.close();
    }
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

/// A field for a scene's path.
pub fn path(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let id = ui.id().with("typed path");
    let mut typed: String = ui.data(|d| d.get_temp(id)).unwrap_or_default();
    ui.set_min_width(420.0);
    let label = ui.label("Path of a scene (RON file)");
    let edit = egui::TextEdit::singleline(&mut typed)
        .desired_width(f32::INFINITY)
        .hint_text("path/to/scene.ron");
    let field = ui.add(edit).labelled_by(label.id);
    let pressed = |key| ui.input(|i| i.key_pressed(key));
    let entered = field.lost_focus() && pressed(egui::Key::Enter);
    if pressed(egui::Key::Escape) {
        out.push(Intent::AskForPath(false));
    } else if !field.has_focus() && !entered {
        field.request_focus();
    }
    let here = std::env::current_dir().map(|p| p.display().to_string()).unwrap_or_default();
    ui.label(style::soft(view, format!("from {here}")));
    ui.horizontal(|ui| {
        let open = ui.add_enabled(!typed.trim().is_empty(), egui::Button::new("Open"));
        if (open.clicked() || entered) && !typed.trim().is_empty() {
            out.push(Intent::Open(PathBuf::from(typed.trim())));
        }
        if ui.button("Cancel").clicked() {
            out.push(Intent::AskForPath(false));
        }
    });
    // The next time it comes up empty.
    let done = |i: &Intent| matches!(i, Intent::Open(_) | Intent::AskForPath(false));
    if out.iter().any(done) {
        typed.clear();
    }
    ui.data_mut(|d| d.insert_temp(id, typed));
}
