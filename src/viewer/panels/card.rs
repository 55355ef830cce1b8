//! The card: all there is to know of what is chosen, or of the stage where nothing is.

use super::{View, measures, signs, style};
use crate::assembly::MemberId;
use crate::findings::Finding;
use crate::review::Review;
use crate::viewer::state::{grade_of_stage, stands_at};
use crate::viewer::theme::Grade;
use crate::viewer::vocab::{Intent, Item};
use egui::{RichText, ScrollArea, Ui};

pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let Some(review) = &view.state.review else {
        if view.state.loading.is_none() {
            ui.label(style::soft(view, "Open a scene to begin: the menu Scene, or key P."));
        }
        return;
    };
    ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
        style::roll(ui, ui.input(|i| i.modifiers.ctrl));
        ui.add_space(4.0);
        match view.state.selection.chosen {
            Some(Item::Finding(i)) if review.findings.get(i).is_some() => {
                finding(ui, view, review, &review.findings[i], out);
            }
            Some(Item::Member(id)) if review.assembly.members.get(id.index()).is_some() => {
                super::member::ui(ui, view, review, id, out);
            }
            _ => stage(ui, view, review, out),
        }
        ui.add_space(12.0);
    });
}

fn finding(ui: &mut Ui, view: &View<'_>, review: &Review, f: &Finding, out: &mut Vec<Intent>) {
    let palette = view.palette;
    let grade = Grade::of(f.severity, f.unknown);
    ui.horizontal(|ui| {
        signs::inline(ui, 24.0, grade, palette);
        let word = RichText::new(grade.words()).size(view.text.heading).family(style::strong());
        ui.label(word.color(palette.grade(grade).mixed(palette.text, 0.25).egui()));
        ui.label(style::soft(view, format!("{} {}", f.code, f.hazard)));
    });
    ui.label(RichText::new(&f.headline).size(view.text.heading).family(style::strong()));
    ui.label(style::soft(view, when(review, f)));
    if !stands_at(f, view.state.stage) {
        ui.label(style::soft(view, "It does not stand at the stage shown."));
    }
    if let Some((reason, name)) = &f.accepted {
        ui.label(format!("Accepted by {name}: {reason}"));
    }
    chips(ui, view, review, "About", &f.subjects, out);
    if f.evidence.motion.is_some() {
        ui.add_space(4.0);
        let text = if view.state.moving { "■ Hold still" } else { "▶ Show how it moves" };
        if ui.button(text).on_hover_text("M").clicked() {
            out.push(Intent::Move(!view.state.moving));
        }
    }
    if !f.evidence.measures.is_empty() {
        style::heading(ui, view, "Numbers");
        for measure in &f.evidence.measures {
            measures::bar(ui, view, measure);
        }
    }
    if !f.evidence.notes.is_empty() {
        style::heading(ui, view, "How it comes about");
        for note in &f.evidence.notes {
            ui.label(note);
        }
    }
    if !f.evidence.path.is_empty() {
        chips(ui, view, review, "Path", &f.evidence.path, out);
    }
    if !f.cures.is_empty() {
        style::heading(ui, view, "What puts it right");
        for cure in &f.cures {
            ui.horizontal_top(|ui| {
                ui.label(RichText::new("✔").color(palette.step.egui()));
                ui.add(egui::Label::new(cure).wrap());
            });
        }
    }
    super::edits::finding(ui, view, review, f, out);
    super::basis::finding(ui, view, review, f, out);
    if let Some(why) = why(&f.code) {
        style::heading(ui, view, "Why it is dangerous");
        ui.label(why);
    }
    family(ui, view, review, f, out);
    if !f.sources.is_empty() {
        style::heading(ui, view, "Source");
        for s in &f.sources {
            let seen = crate::report::words::seen(&s.seen);
            ui.label(style::soft(view, format!("{}, {} ({seen})", s.title, s.locator)));
        }
    }
    if f.sample_data {
        ui.label(style::soft(view, "Rests on sample equipment data: use your supplier's table."));
    }
}

/// The paragraph of the hazard's own page.
fn why(code: &str) -> Option<String> {
    let hazard = crate::viewer::rooms::register().iter().find(|h| h.code == code)?;
    let after = hazard.doc.split("## Why it is dangerous").nth(1)?;
    let section = after.split("##").next()?;
    let text = section.split_whitespace().collect::<Vec<_>>().join(" ");
    (!text.is_empty()).then_some(text)
}

fn when(review: &Review, f: &Finding) -> String {
    let mut text = format!("From stage {}, step {}", f.from_stage, f.from_step);
    match &f.cured_by {
        Some(step) => text.push_str(&format!(", until step {step}")),
        None if f.last_stage + 1 >= review.sequence.stages.len() => text.push_str(", to the end"),
        None => text.push_str(&format!(", to stage {}", f.last_stage)),
    }
    text
}

fn family(ui: &mut Ui, view: &View<'_>, review: &Review, f: &Finding, out: &mut Vec<Intent>) {
    if let Some(root) = f.root.and_then(|r| review.findings.get(r).map(|f| (r, f))) {
        style::heading(ui, view, "Follows from");
        link(ui, view, root.0, root.1, out);
    }
}

/// A finding as a line to click.
pub(super) fn link(ui: &mut Ui, view: &View<'_>, index: usize, f: &Finding, out: &mut Vec<Intent>) {
    let clicked = ui
        .horizontal_top(|ui| {
            signs::inline(ui, 15.0, Grade::of(f.severity, f.unknown), view.palette);
            ui.add(egui::Label::new(&f.headline).wrap().sense(egui::Sense::click())).clicked()
        })
        .inner;
    if clicked {
        out.push(Intent::Choose(Some(Item::Finding(index))));
        out.push(Intent::LookAt(Item::Finding(index)));
    }
}

/// A member's name to click.
pub(super) fn chip(
    ui: &mut Ui,
    view: &View<'_>,
    review: &Review,
    id: MemberId,
    out: &mut Vec<Intent>,
) {
    let text = RichText::new(review.assembly.name(id)).size(view.text.small);
    let response = ui.add(egui::Button::new(text).small());
    let item = Item::Member(id);
    if response.clicked() {
        super::basis::choose(id, out);
    } else if response.hovered() && view.state.selection.hovered != Some(item) {
        out.push(Intent::Hover(Some(item)));
    }
}

/// Member names to click.
pub(super) fn chips(
    ui: &mut Ui,
    view: &View<'_>,
    review: &Review,
    title: &str,
    names: &[String],
    out: &mut Vec<Intent>,
) {
    const MOST: usize = 14;
    if names.is_empty() {
        return;
    }
    style::heading(ui, view, title);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(4.0, 4.0);
        for name in names.iter().take(MOST) {
            match review.assembly.find(name) {
                Some(id) => chip(ui, view, review, id, out),
                None => drop(ui.label(style::soft(view, name))),
            }
        }
        if names.len() > MOST {
            ui.label(style::soft(view, format!("and {} more", names.len() - MOST)));
        }
    });
}

fn stage(ui: &mut Ui, view: &View<'_>, review: &Review, out: &mut Vec<Intent>) {
    let at = view.state.stage;
    let Some(stage) = review.sequence.stages.get(at) else { return };
    let assembly = &review.assembly;
    ui.label(RichText::new(&assembly.scene.title).size(view.text.heading).family(style::strong()));
    if !assembly.scene.about.is_empty() {
        ui.label(style::soft(view, &assembly.scene.about));
    }
    ui.separator();
    ui.horizontal(|ui| {
        if let Some(grade) = grade_of_stage(review, at) {
            signs::inline(ui, 22.0, grade, view.palette);
        }
        ui.label(
            RichText::new(format!("Stage {at}")).size(view.text.heading).family(style::strong()),
        );
    });
    if review.sequence.finished_only {
        ui.label("The scene has no sequence: only the finished stage is judged.");
    } else {
        ui.label(format!("After step {}. {}", stage.step, stage.title));
    }
    let there = stage.members.iter().filter(|s| s.is_there()).count();
    let held = stage.members.iter().filter(|s| s.is_held()).count();
    ui.label(format!("{there} of {} members are there, {held} in hand.", assembly.members.len()));
    if stage.hands_needed > 0 {
        ui.label(format!("The step needs {} of {} hands.", stage.hands_needed, stage.crew));
    }
    for load in &stage.loads {
        ui.label(style::soft(view, format!("Load: {}", load.text.name)));
    }
    if let Some(judged) = review.stages.get(at) {
        style::heading(ui, view, "Does it stand");
        super::verdict::ui(ui, view, review, &judged.mechanics);
    }
    super::edits::stage(ui, view, review, out);
    super::pinned::ui(ui, view, review, out);
    let names: Vec<String> = stage.touched.iter().map(|&id| assembly.name(id).to_owned()).collect();
    chips(ui, view, review, "In this step", &names, out);
    let held: Vec<String> = (0..stage.members.len())
        .filter(|&i| stage.members[i].is_held())
        .map(|i| assembly.members[i].name.clone())
        .collect();
    chips(ui, view, review, "In hand", &held, out);
}
