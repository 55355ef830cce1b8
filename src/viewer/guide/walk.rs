//! The station of a walk-through, in large type.

use super::{Walking, Wish, aside, field, large, reading};
use crate::viewer::panels::{View, signs, style};
use crate::viewer::theme::Grade;
use crate::viewer::vocab::Intent;
use crate::walk::StationKind;
use egui::{RichText, Ui};

pub fn ui(ui: &mut Ui, view: &View<'_>, walking: &Walking, out: &mut Vec<Intent>) {
    let walk = &walking.walk;
    ui.label(RichText::new("Walk-through").size(view.text.title * 1.2).family(style::strong()));
    ui.label(reading(
        view,
        format!(
            "Station {} of {}, {} found in order. What stands after step {}.",
            walking.at + 1,
            walk.stations.len(),
            walk.in_order(),
            walk.step
        ),
    ));
    let Some(station) = walk.stations.get(walking.at) else {
        ui.label(large(view, "There is no station on this walk."));
        return;
    };
    ui.add_space(6.0);
    ui.horizontal(|ui| match (station.kind, station.severity) {
        (StationKind::Finding, Some(severity)) => {
            let grade = Grade::of(severity, station.unknown);
            signs::inline(ui, 28.0, grade, view.palette);
            ui.label(large(view, grade.words()).family(style::strong()));
        }
        (StationKind::HoldPoint, _) => {
            ui.label(large(view, "◆ hold point").family(style::strong()));
        }
        (StationKind::ByEye, _) => {
            ui.label(large(view, "◇ by eye").family(style::strong()));
        }
        _ => {
            ui.label(large(view, "◇ parts").family(style::strong()));
        }
    });
    ui.label(large(view, &station.title).family(style::strong()));
    for line in &station.look {
        ui.label(large(view, format!("• {line}")));
    }
    for line in &station.known {
        ui.label(aside(view, line));
    }
    if let Some(seen) = &station.walked {
        let state = if seen.in_order { "✔ in order" } else { "✖ not in order" };
        let note = if seen.note.is_empty() { String::new() } else { format!(": {}", seen.note) };
        ui.label(large(view, format!("{state}, {} on {}{note}", seen.by, seen.on)));
        if walking.missing_photos.iter().any(|m| m.photo == seen.photo) {
            let text = format!("✖ photo {} is not there", seen.photo);
            ui.label(reading(view, text).color(view.palette.stop.egui()));
        } else if !seen.photo.is_empty() {
            ui.label(aside(view, format!("✔ photo {}", seen.photo)));
        }
    }
    ui.add_space(8.0);
    let mut fields = view.state.guide.fields.clone();
    let mut changed = field(ui, view, "Who looks", &mut fields.by);
    changed |= field(ui, view, "Note", &mut fields.note);
    changed |= field(ui, view, "Photo file (its name or path)", &mut fields.photo);
    match &view.state.guide.photo {
        Some((_, true)) => drop(ui.label(aside(view, "✔ The photo is there."))),
        Some((path, false)) => {
            let folder = path.parent().filter(|f| !f.as_os_str().is_empty());
            let folder =
                folder.map_or("the working folder".to_owned(), |f| f.display().to_string());
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let text = format!("✖ There is no file {name} in {folder}.");
            ui.label(reading(view, text).color(view.palette.stop.egui()));
        }
        None => {}
    }
    if changed {
        out.push(Intent::Guide(Wish::Fields(fields.clone())));
    }
    let named = !fields.by.trim().is_empty();
    ui.horizontal(|ui| {
        for (text, key, in_order) in [("✔ In order", "Y", true), ("✖ Not in order", "N", false)]
        {
            let button = egui::Button::new(large(view, text));
            if ui.add_enabled(named, button).on_hover_text(key).clicked() {
                out.push(Intent::Guide(Wish::Seen(in_order)));
            }
        }
    });
    ui.label(aside(
        view,
        if named {
            "Put down at once. Of two entries the later one counts."
        } else {
            "An entry counts only with a person's name."
        },
    ));
}
