//! What is tried: the list of changes, what the last one made better and worse, undo, redo, saving.

use super::{View, signs, style};
use crate::changes::words;
use crate::findings::Finding;
use crate::review::{Pair, Review, Turn};
use crate::viewer::theme::Grade;
use crate::viewer::trying::{Compared, Trying};
use crate::viewer::vocab::{EditIntent, Intent, Item};
use egui::{RichText, ScrollArea, Ui};
use std::path::PathBuf;
use std::sync::Arc;

/// Height of the dock in points.
pub const HEIGHT: f32 = 168.0;

/// Said where nothing can be written.
const ELSEWHERE: &str = "Your changes are still here: save them on another disk with “Save under…”, \
                         or make room and save again.";

fn send(out: &mut Vec<Intent>, edit: EditIntent) {
    out.push(Intent::Edit(edit));
}

pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let trying = &view.state.trying;
    bar(ui, view, trying, out);
    message(ui, view, trying, out);
    ui.columns(3, |columns| {
        list(&mut columns[0], view, trying, out);
        for (column, turn) in [(1, Turn::Worse), (2, Turn::Better)] {
            effect(&mut columns[column], view, trying, turn, out);
        }
    });
}

/// Undo, redo, save; how far the judging is.
fn bar(ui: &mut Ui, view: &View<'_>, trying: &Trying, out: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Tried").size(view.text.heading).family(style::strong()));
        let book = trying.book.as_ref();
        let undo = book.and_then(|b| b.undo_words()).map(str::to_owned);
        let redo = book.and_then(|b| b.redo_words()).map(str::to_owned);
        for (words, text, key, edit) in
            [(undo, "Undo", "Ctrl Z", EditIntent::Undo), (redo, "Redo", "Ctrl Y", EditIntent::Redo)]
        {
            let hint = words.as_ref().map_or(key.to_owned(), |w| format!("{w} ({key})"));
            let button = ui.add_enabled(words.is_some(), egui::Button::new(text));
            if button.on_hover_text(hint).clicked() {
                send(out, edit);
            }
        }
        if book.is_some_and(|b| b.path().is_some()) {
            let button = ui.add_enabled(trying.is_unsaved(), egui::Button::new("Save"));
            if button.on_hover_text("Ctrl S").clicked() {
                send(out, EditIntent::Save);
            }
        }
        save_as(ui, view, out);
        let told = if trying.is_unsaved() { "not saved" } else { "" };
        ui.label(style::soft(view, trying.told.as_deref().unwrap_or(told)));
        state_of_judging(ui, view, trying, out);
    });
}

/// A path to type.
fn save_as(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let id = egui::Id::new("save under");
    let proposal = || {
        let name = view.state.path.as_deref().map(super::top::name_of).unwrap_or_default();
        if name.ends_with(".ron") { name } else { format!("{name}.ron") }
    };
    let mut typed: String = ui.data(|d| d.get_temp(id)).unwrap_or_else(proposal);
    let was_open = id.with("open");
    let mut open: bool = ui.data(|d| d.get_temp(was_open)).unwrap_or(false);
    let mut now_open = false;
    ui.menu_button("Save under…", |ui| {
        ui.set_min_width(300.0);
        let field = ui.add(
            egui::TextEdit::singleline(&mut typed)
                .desired_width(f32::INFINITY)
                .hint_text("path/to/scene.ron"),
        );
        let entered = field.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
        // What is typed goes into it at once, and not to the window's keys.
        if !std::mem::replace(&mut open, true) {
            field.request_focus();
        }
        now_open = true;
        if (ui.button("Save").clicked() || entered) && !typed.trim().is_empty() {
            send(out, EditIntent::SaveAs(PathBuf::from(typed.trim())));
            ui.close();
        }
        ui.data_mut(|d| d.insert_temp(id, typed.clone()));
    });
    ui.data_mut(|d| d.insert_temp(was_open, now_open));
}

/// The stage on screen first, then how many are done.
fn state_of_judging(ui: &mut Ui, view: &View<'_>, trying: &Trying, out: &mut Vec<Intent>) {
    ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
        if let Some(glance) = &trying.glance {
            let worst = glance.worst();
            if let Some((_, headline)) = glance.seen.first() {
                ui.add(egui::Label::new(style::soft(view, headline)).truncate());
            }
            let word = worst.map_or("nothing found", Grade::words);
            ui.label(RichText::new(format!("This stage now: {word}")).family(style::strong()));
            if let Some(grade) = worst {
                signs::inline(ui, 16.0, grade, view.palette);
            }
        } else if trying.judging {
            ui.label(style::soft(view, "judging…"));
        } else if trying.stale {
            if ui.button("Judge").clicked() {
                send(out, EditIntent::Judge);
            }
            ui.label("What you see is without the last change.");
            signs::inline(ui, 16.0, Grade::Unknown, view.palette);
        }
    });
}

/// What keeps the text from being saved, and unsaved work of an earlier run.
fn message(ui: &mut Ui, view: &View<'_>, trying: &Trying, out: &mut Vec<Intent>) {
    if let Some(not_saved) = &trying.not_saved {
        ui.horizontal_wrapped(|ui| {
            signs::not_saved(ui, 18.0, view.palette);
            ui.label(&not_saved.why);
            if not_saved.elsewhere {
                ui.label(RichText::new(ELSEWHERE).family(style::strong()));
            }
            if not_saved.may_lay_over && ui.button("Lay my changes over theirs").clicked() {
                send(out, EditIntent::LayOver);
            }
            if not_saved.may_overwrite && ui.button("Write mine over it").clicked() {
                send(out, EditIntent::SaveAnyway);
            }
            if ui.button("Not now").clicked() {
                send(out, EditIntent::Dismiss);
            }
        });
    }
    if let Some((_, changed)) = &trying.left_over {
        ui.horizontal_wrapped(|ui| {
            signs::not_saved(ui, 18.0, view.palette);
            let since = if *changed { " The file has changed since." } else { "" };
            ui.label(format!("There is unsaved work on this scene from last time.{since}"));
            if ui.button("Take it up again").clicked() {
                send(out, EditIntent::TakeUp(true));
            }
            if ui.button("Throw it away").clicked() {
                send(out, EditIntent::TakeUp(false));
            }
        });
    }
}

fn list(ui: &mut Ui, view: &View<'_>, trying: &Trying, out: &mut Vec<Intent>) {
    let count = trying.changes.len();
    let title = if count == 1 { "1 change".to_owned() } else { format!("{count} changes") };
    ui.label(RichText::new(title).family(style::strong()));
    ScrollArea::vertical().id_salt("changes").auto_shrink([false, false]).show(ui, |ui| {
        // The last one first: it is the one just made.
        for (index, change) in trying.changes.iter().enumerate().rev() {
            ui.horizontal_top(|ui| {
                let hint = format!("take out: {}", change.name);
                let button = ui.small_button("✖").on_hover_text(&hint);
                button.widget_info(|| {
                    egui::WidgetInfo::labeled(egui::WidgetType::Button, true, &hint)
                });
                if button.clicked() {
                    send(out, EditIntent::TakeOut(index));
                }
                ui.vertical(|ui| {
                    ui.spacing_mut().item_spacing.y = 0.0;
                    let words = words::of(&change.change, view.state.units);
                    let label = ui.add(egui::Label::new(&words).wrap());
                    label.on_hover_text(format!("by hand: {}", words::by_hand(&change.change)));
                    if change.name != words {
                        ui.add(egui::Label::new(style::soft(view, &change.name)).wrap());
                    }
                });
            });
        }
    });
}

/// Findings that got worse, or better.
fn effect(ui: &mut Ui, view: &View<'_>, trying: &Trying, turn: Turn, out: &mut Vec<Intent>) {
    let title = if turn == Turn::Worse { "Worse" } else { "Better" };
    let Some(compared) = &trying.compared else {
        ui.label(style::soft(view, title));
        return;
    };
    let pairs: Vec<&Pair> = compared.differs.of_turn(turn).collect();
    let stages = compared.differs.stages.iter().filter(|s| s.worst == Some(turn)).count();
    let count = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    let title = match (pairs.len(), stages) {
        (0, 0) => format!("{title}: nothing"),
        (n, stages) => format!("{title}: {}, {}", count(n, "finding"), count(stages, "stage")),
    };
    ui.horizontal(|ui| {
        ui.label(RichText::new(title).family(style::strong()));
        ui.add(egui::Label::new(style::soft(view, &compared.title)).truncate());
    });
    ScrollArea::vertical().id_salt(("effect", turn as u8)).auto_shrink([false, false]).show(
        ui,
        |ui| {
            for pair in pairs.iter().take(60) {
                row(ui, view, compared, pair, out);
            }
            if pairs.len() > 60 {
                ui.label(style::soft(view, format!("and {} more", pairs.len() - 60)));
            }
        },
    );
}

fn row(ui: &mut Ui, view: &View<'_>, compared: &Compared, pair: &Pair, out: &mut Vec<Intent>) {
    let old = pair.before.and_then(|i| compared.before.findings.get(i));
    let new = pair.after.and_then(|i| compared.after.findings.get(i));
    let Some(finding) = new.or(old) else { return };
    let grade = |f: &Finding| Grade::of(f.severity, f.unknown);
    ui.horizontal_top(|ui| {
        if let Some(old) = old {
            signs::inline(ui, 14.0, grade(old), view.palette).on_hover_text("before");
        }
        ui.label(style::soft(
            view,
            match (old, new) {
                (None, _) => "new",
                (_, None) => "→ gone",
                _ => "→",
            },
        ));
        if let Some(new) = new {
            signs::inline(ui, 14.0, grade(new), view.palette).on_hover_text("now");
        }
        let label = egui::Label::new(style::soft(view, &finding.headline)).wrap();
        let label = ui.add(label.sense(egui::Sense::click()));
        // To be gone to is what is in the review on screen.
        let shown = |review: &Arc<Review>| {
            view.state.review.as_ref().is_some_and(|r| Arc::ptr_eq(r, review))
        };
        let after = pair.after.filter(|_| shown(&compared.after));
        let at = after.or(pair.before.filter(|_| shown(&compared.before)));
        if let Some(at) = at.filter(|_| label.clicked()) {
            out.push(Intent::Choose(Some(Item::Finding(at))));
            out.push(Intent::LookAt(Item::Finding(at)));
        }
    });
}
