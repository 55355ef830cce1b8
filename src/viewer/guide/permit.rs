//! The permit: what stands in its way, and issuing it.

use super::{Signing, Wish, aside, edit, field, heading, large, reading};
use crate::checks::support::words::sentence;
use crate::permit::{Lying, Permit};
use crate::viewer::panels::{View, style};
use crate::viewer::vocab::Intent;
use egui::{RichText, Ui};

/// Reasons listed in the panel.
const MOST: usize = 20;

pub fn ui(ui: &mut Ui, view: &View<'_>, signing: &Signing, out: &mut Vec<Intent>) {
    if let Some(void) = signing.void() {
        banner(ui, view, signing, void, out);
    }
    let title = sentence(signing.kind.words());
    ui.label(RichText::new(title).size(view.text.title * 1.2).family(style::strong()));
    let again = match signing.issued() {
        Some(_) => "Look at its files again",
        None => "Read the files and draft it again",
    };
    if ui.button(reading(view, again)).clicked() {
        out.push(Intent::Guide(Wish::Draft));
    }
    let Some(permit) = &signing.permit else { return };
    let step = |s: &Option<crate::permit::StageNamed>| match s {
        None => "no such step".to_owned(),
        Some(s) if s.title.is_empty() => s.step.clone(),
        Some(s) => format!("{} ({})", s.step, s.title),
    };
    let covers = format!("Covers step {} to step {}.", step(&permit.from), step(&permit.until));
    ui.label(reading(view, covers));
    let drawing = permit.drawing.as_deref().unwrap_or("none named");
    ui.label(reading(view, format!("Drawing: {drawing}.")));
    if let Some(issue) = &permit.issue {
        if signing.void().is_none() {
            ui.add_space(8.0);
            let text = format!("■ Issued on {} by {}", issue.on, issue.by);
            ui.label(large(view, text).family(style::strong()));
            for path in &signing.written {
                ui.label(reading(view, format!("wrote {}", path.display())));
            }
            as_they_were(ui, view);
        }
        basis(ui, view, signing, permit);
        return;
    }
    if let Some(lying) = &signing.lying {
        ui.add_space(8.0);
        let name = lying.path.file_name().unwrap_or_default().to_string_lossy();
        let who = lying.permit.issue.as_ref().map_or_else(
            || "a draft".to_owned(),
            |issue| format!("issued on {} by {}", issue.on, issue.by),
        );
        if lying.voids.is_empty() {
            let text = format!("{name} lies here: {who}.");
            ui.label(reading(view, text).family(style::strong()));
            as_they_were(ui, view);
        }
        ui.label(aside(
            view,
            "To issue another, move that file away and draft it again: none is written over.",
        ));
    }
    if !permit.refusals.is_empty() {
        ui.add_space(8.0);
        let ink = view.palette.stop.egui();
        ui.label(large(view, "✖ Cannot be issued").family(style::strong()).color(ink));
        for refusal in permit.refusals.iter().take(MOST) {
            ui.label(reading(view, format!("• {}", refusal.words())));
        }
        if permit.refusals.len() > MOST {
            let more = format!("and {} more", permit.refusals.len() - MOST);
            ui.label(reading(view, more));
        }
        ui.add_space(6.0);
        ui.label(aside(
            view,
            "The as-built record lies beside the scene, NAME.asbuilt.ron: `standwell permit record` \
             prints one to begin with, and the walk-through adds to it.",
        ));
        basis(ui, view, signing, permit);
        return;
    }
    basis(ui, view, signing, permit);
    if signing.lying.is_some() {
        return;
    }
    ui.add_space(8.0);
    ui.label(large(view, "Nothing stands in its way.").family(style::strong()));
    let mut fields = view.state.guide.fields.clone();
    let mut changed = first_field(ui, view, "Issued by (your own name)", &mut fields.signer);
    changed |= field(ui, view, "Role", &mut fields.role);
    changed |= field(
        ui,
        view,
        "Last day it counts (like 2026-03-09, or nothing)",
        &mut fields.valid_until,
    );
    changed |= field(ui, view, "Note", &mut fields.note);
    if changed {
        out.push(Intent::Guide(Wish::Fields(fields.clone())));
    }
    let due = view.state.guide.picture_due;
    let words = if due { "The picture is taken…" } else { "Issue it in this name" };
    let button = egui::Button::new(large(view, words));
    if ui.add_enabled(!due && !fields.signer.trim().is_empty(), button).clicked() {
        out.push(Intent::Guide(Wish::Issue));
    }
}

/// What it rests on: hold points, photos that are not there, what was accepted.
fn basis(ui: &mut Ui, view: &View<'_>, signing: &Signing, permit: &Permit) {
    heading(ui, view, "Hold points");
    for point in &permit.hold_points {
        match &point.released {
            Some(r) => {
                let text = format!("☑ {}: released by {}, {}", point.title, r.by, r.on);
                ui.label(reading(view, text))
            }
            None => ui.label(reading(view, format!("☐ {}: not released", point.title))),
        };
    }
    if !signing.missing_photos.is_empty() {
        heading(ui, view, "Photos of the record");
        for missing in signing.missing_photos.iter().take(MOST) {
            let text = format!("✖ {}", missing.words());
            ui.label(reading(view, text).color(view.palette.stop.egui()));
        }
    }
    if !permit.accepted.is_empty() {
        heading(ui, view, "Accepted");
        for a in &permit.accepted {
            let words = a.severity.words();
            ui.label(reading(view, format!("{words} {}: {} ({})", a.headline, a.reason, a.by)));
        }
    }
}

/// That the permit is void: before everything else, and louder.
fn banner(ui: &mut Ui, view: &View<'_>, signing: &Signing, void: &Lying, out: &mut Vec<Intent>) {
    let (fill, ink) = (view.palette.stop.egui(), view.palette.on_stop.egui());
    let frame = egui::Frame::new().fill(fill).corner_radius(6.0).inner_margin(14);
    frame.show(ui, |ui| {
        ui.set_min_width(ui.available_width());
        let size = view.text.title * 2.4;
        ui.label(RichText::new("✖ VOID").size(size).family(style::strong()).color(ink));
        let kind = sentence(signing.kind.words());
        let text = format!("{kind}: it allows nothing any more.");
        ui.label(large(view, text).family(style::strong()).color(ink));
        for reason in &void.voids {
            ui.label(reading(view, format!("• {reason}")).color(ink));
        }
    });
    let name = void.path.file_name().unwrap_or_default().to_string_lossy();
    let who = void.permit.issue.as_ref();
    let who = who.map(|i| format!(", was issued on {} by {}", i.on, i.by)).unwrap_or_default();
    ui.label(aside(view, format!("{name}{who}. Its printed sheets have to come down.")));
    let page = void.path.with_extension("void.html");
    if signing.written.contains(&page) {
        ui.label(reading(view, format!("wrote {}", page.display())));
    } else if ui
        .button(reading(view, "Write a page that says so"))
        .on_hover_text("to hang in the place of the sheet")
        .clicked()
    {
        out.push(Intent::Guide(Wish::VoidSheet));
    }
    ui.add_space(10.0);
}

/// The permit's files are as they were, and that is all that is said.
fn as_they_were(ui: &mut Ui, view: &View<'_>) {
    ui.label(aside(
        view,
        "Its files are as they were. Any change to them, a comment too, voids it; \
         `standwell permit verify` makes the whole check.",
    ));
}

/// A field that has the keyboard when it comes up empty, so that a name can be typed at once.
fn first_field(ui: &mut Ui, view: &View<'_>, name: &str, text: &mut String) -> bool {
    let response = edit(ui, view, name, text);
    let asked = ui.id().with("asked for the name");
    if !ui.data(|d| d.get_temp(asked).unwrap_or(false)) {
        ui.data_mut(|d| d.insert_temp(asked, true));
        response.request_focus();
    }
    response.changed()
}
