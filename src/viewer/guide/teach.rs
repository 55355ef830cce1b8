//! The lesson's card: what to read, what is asked, what one is told.

use super::{Teaching, Wish, large};
use crate::lessons::{Card, Phase, Replay};
use crate::viewer::panels::{View, style};
use crate::viewer::vocab::Intent;
use egui::{RichText, Ui};

pub fn ui(ui: &mut Ui, view: &View<'_>, teaching: &Teaching, out: &mut Vec<Intent>) {
    let session = &teaching.session;
    let lesson = &session.opened.lesson;
    let mut wish = |wish| out.push(Intent::Guide(wish));
    ui.label(RichText::new(&lesson.title).size(view.text.title * 1.2).family(style::strong()));
    let Some(card) = session.card() else {
        let (right, all) = session.tally();
        ui.label(large(view, format!("{right} of {all} right.")));
        if let Some(path) = &view.state.guide.results {
            ui.label(style::soft(view, format!("Kept in {}.", path.display())));
            if ui.button("Write all results as CSV").clicked() {
                wish(Wish::Export);
            }
        }
        if let Some(path) = &view.state.guide.exported {
            ui.label(style::soft(view, format!("wrote {}", path.display())));
        }
        ui.add_space(8.0);
        if ui.button(large(view, "◀ Back")).on_hover_text("Page up").clicked() {
            wish(Wish::Back);
        }
        return;
    };
    ui.label(style::soft(view, format!("{} of {}", session.at + 1, lesson.cards.len())));
    if session.at == 0 && view.state.guide.results.is_some() {
        let mut fields = view.state.guide.fields.clone();
        if super::field(ui, "Who is trained (for the results; may stay empty)", &mut fields.by) {
            wish(Wish::Fields(fields));
        }
    }
    ui.add_space(6.0);
    match card {
        Card::Say { text, .. } => {
            ui.label(large(view, text));
        }
        Card::Mark { question, hint, .. } => {
            ui.label(large(view, question).family(style::strong()));
            if session.told.is_none() {
                ui.label("Click members in the picture. Click again to take a mark off.");
                for name in &teaching.marks {
                    ui.label(large(view, format!("⚑ {name}")));
                }
                if !hint.is_empty() {
                    ui.collapsing("A hint", |ui| ui.label(hint));
                }
                let text = if teaching.marks.is_empty() {
                    "Nothing is wrong here"
                } else {
                    "These are not safe"
                };
                if ui.button(large(view, text)).on_hover_text("Enter").clicked() {
                    wish(Wish::AnswerMarks);
                }
            }
        }
        Card::GoOn { question, .. } => {
            ui.label(large(view, question).family(style::strong()));
            if session.told.is_none() {
                ui.horizontal(|ui| {
                    if ui.button(large(view, "▶ Go on")).on_hover_text("1").clicked() {
                        wish(Wish::GoOn(true));
                    }
                    if ui.button(large(view, "■ Stop")).on_hover_text("2").clicked() {
                        wish(Wish::GoOn(false));
                    }
                });
            }
        }
        Card::Choose { question, choices, .. } => {
            ui.label(large(view, question).family(style::strong()));
            if session.told.is_none() {
                for (index, choice) in choices.iter().enumerate() {
                    let text = large(view, format!("{}  {}", index + 1, choice.text));
                    let button = egui::Button::new(text).wrap();
                    if ui.add_sized([ui.available_width(), 0.0], button).clicked() {
                        wish(Wish::Pick(index));
                    }
                }
            }
        }
        Card::Replay { wrong, right, .. } => {
            replay(ui, view, teaching, (wrong.as_str(), right.as_str()), &mut wish);
        }
    }
    if let Some(told) = &session.told {
        ui.add_space(8.0);
        let (sign, ink) = if told.right {
            ("✔ Right", view.palette.step)
        } else {
            ("✖ Not quite", view.palette.stop)
        };
        ui.label(large(view, sign).family(style::strong()).color(ink.egui()));
        for line in &told.lines {
            ui.label(large(view, line));
        }
    }
    ui.add_space(12.0);
    ui.horizontal(|ui| {
        let back = egui::Button::new(large(view, "◀ Back"));
        if ui.add_enabled(session.at > 0, back).on_hover_text("Page up").clicked() {
            wish(Wish::Back);
        }
        let next = egui::Button::new(large(view, "Next ▶"));
        if ui.add_enabled(session.may_go_on(), next).on_hover_text("Page down").clicked() {
            wish(Wish::Next);
        }
    });
}

fn replay(
    ui: &mut Ui,
    view: &View<'_>,
    teaching: &Teaching,
    (wrong, right): (&str, &str),
    wish: &mut impl FnMut(Wish),
) {
    let now = teaching.replay.as_ref().map(|(_, clock)| Replay::shown(*clock).phase);
    let words = match now {
        None => None,
        Some(Phase::Before) => Some("As it stands"),
        Some(Phase::Wrong) => Some("It goes"),
        Some(Phase::Gone) => Some("Gone"),
        Some(Phase::Right | Phase::Over) => Some("Done right"),
    };
    if let Some(words) = words {
        ui.label(large(view, words).family(style::strong()).color(view.palette.accent.egui()));
    }
    let is_right = matches!(now, Some(Phase::Right | Phase::Over));
    ui.label(large(view, if is_right { right } else { wrong }));
    if let Some(truth) = teaching.replay.as_ref().and_then(|(replay, _)| replay.in_truth()) {
        ui.label(style::soft(view, truth));
    }
    let text = if now.is_some() { "↺ Once more" } else { "▶ Let it happen, slowly" };
    if ui.button(large(view, text)).on_hover_text("Enter").clicked() {
        wish(Wish::Replay(true));
    }
}
