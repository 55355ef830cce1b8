//! The permit: what stands in its way, and issuing it.

use super::{Signing, Wish, field, large};
use crate::checks::support::words::sentence;
use crate::viewer::panels::{View, style};
use crate::viewer::vocab::Intent;
use egui::{RichText, Ui};

/// Reasons listed in the panel.
const MOST: usize = 20;

pub fn ui(ui: &mut Ui, view: &View<'_>, signing: &Signing, out: &mut Vec<Intent>) {
    let title = sentence(signing.kind.words());
    ui.label(RichText::new(title).size(view.text.title * 1.2).family(style::strong()));
    if ui.button("Read the files and draft it again").clicked() {
        out.push(Intent::Guide(Wish::Draft));
    }
    let Some(permit) = &signing.permit else { return };
    let step = |s: &Option<crate::permit::StageNamed>| {
        s.as_ref().map_or_else(|| "no such step".to_owned(), |s| s.step.clone())
    };
    ui.label(format!(
        "As built after {}; covers up to {}.",
        step(&permit.from),
        step(&permit.until)
    ));
    ui.label(format!("Drawing: {}.", permit.drawing.as_deref().unwrap_or("none named")));
    style::heading(ui, view, "Hold points");
    for point in &permit.hold_points {
        match &point.released {
            Some(r) => ui.label(format!("☑ {}: {}, {}", point.title, r.by, r.on)),
            None => ui.label(format!("☐ {}", point.title)),
        };
    }
    if !permit.accepted.is_empty() {
        style::heading(ui, view, "Accepted");
        for a in &permit.accepted {
            ui.label(format!("{} {}: {} ({})", a.severity.words(), a.headline, a.reason, a.by));
        }
    }
    if let Some(issue) = &permit.issue {
        ui.add_space(8.0);
        ui.label(
            large(view, format!("■ Issued on {} by {}", issue.on, issue.by))
                .family(style::strong()),
        );
        for path in &signing.written {
            ui.label(format!("wrote {}", path.display()));
        }
        ui.label(style::soft(view, "Any change to its files voids it: standwell permit verify."));
        return;
    }
    if !permit.refusals.is_empty() {
        ui.add_space(8.0);
        let ink = view.palette.stop.egui();
        ui.label(large(view, "✖ Cannot be issued").family(style::strong()).color(ink));
        for refusal in permit.refusals.iter().take(MOST) {
            ui.label(format!("• {}", refusal.words()));
        }
        if permit.refusals.len() > MOST {
            ui.label(format!("and {} more", permit.refusals.len() - MOST));
        }
        ui.add_space(6.0);
        ui.label(style::soft(
            view,
            "The as-built record lies beside the scene, NAME.asbuilt.ron: `standwell permit record` \
             prints one to begin with, and the walk-through adds to it.",
        ));
        return;
    }
    ui.add_space(8.0);
    ui.label(large(view, "Nothing stands in its way.").family(style::strong()));
    let mut fields = view.state.guide.fields.clone();
    let mut changed = first_field(ui, "Issued by", &mut fields.by);
    changed |= field(ui, "Role", &mut fields.role);
    changed |= field(ui, "Last day it counts (2026-03-09, or nothing)", &mut fields.valid_until);
    changed |= field(ui, "Note", &mut fields.note);
    if changed {
        out.push(Intent::Guide(Wish::Fields(fields.clone())));
    }
    let button = egui::Button::new(large(view, "Issue it in this name"));
    if ui.add_enabled(!fields.by.trim().is_empty(), button).clicked() {
        out.push(Intent::Guide(Wish::Issue));
    }
}

/// A field that has the keyboard when it comes up empty, so that a name can be typed at once.
fn first_field(ui: &mut Ui, name: &str, text: &mut String) -> bool {
    let label = ui.label(name);
    let edit = egui::TextEdit::singleline(text).desired_width(f32::INFINITY);
    let response = ui.add(edit).labelled_by(label.id);
    let asked = ui.id().with("asked for the name");
    if !ui.data(|d| d.get_temp(asked).unwrap_or(false)) {
        ui.data_mut(|d| d.insert_temp(asked, true));
        response.request_focus();
    }
    response.changed()
}
