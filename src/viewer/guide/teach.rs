//! The lesson's card: what to read, what is asked, what one is told.

use super::{Teaching, Wish, aside, large, reading};
use crate::lessons::{Answer, Card, Phase, Replay};
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
            ui.label(aside(view, format!("Kept in {}.", path.display())));
            if ui.button("Write all results as CSV").clicked() {
                wish(Wish::Export);
            }
        }
        if let Some(path) = &view.state.guide.exported {
            ui.label(aside(view, format!("wrote {}", path.display())));
        }
        return;
    };
    ui.label(aside(view, format!("{} of {}", session.at + 1, lesson.cards.len())));
    if session.at == 0 && view.state.guide.results.is_some() {
        let mut fields = view.state.guide.fields.clone();
        if super::field(
            ui,
            view,
            "Who is trained (for the results; may stay empty)",
            &mut fields.trainee,
        ) {
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
                let how = "Click members in the picture. Click again to take a mark off.";
                ui.label(reading(view, how));
                for name in &teaching.marks {
                    ui.label(large(view, format!("⚑ {name}")));
                }
                if !hint.is_empty() {
                    ui.collapsing(reading(view, "A hint"), |ui| ui.label(reading(view, hint)));
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
                    if ui.button(large(view, "1  Go on")).clicked() {
                        wish(Wish::GoOn(true));
                    }
                    if ui.button(large(view, "2  Stop")).clicked() {
                        wish(Wish::GoOn(false));
                    }
                });
            } else if let Some(Answer::GoOn(on)) = session.answered {
                let text = if on { "You said: go on" } else { "You said: stop" };
                ui.label(large(view, text).color(view.palette.text_soft.egui()));
            }
        }
        Card::Choose { question, choices, .. } => {
            ui.label(large(view, question).family(style::strong()));
            if session.told.is_none() {
                let rows = egui::Layout::top_down_justified(egui::Align::LEFT);
                ui.with_layout(rows, |ui| {
                    for (index, choice) in choices.iter().enumerate() {
                        let text = large(view, format!("{}  {}", index + 1, choice.text));
                        if ui.add(egui::Button::new(text).wrap()).clicked() {
                            wish(Wish::Pick(index));
                        }
                    }
                });
            } else {
                for (index, choice) in choices.iter().enumerate() {
                    let sign = if choice.right { "✔ " } else { "" };
                    let yours = session.answered == Some(Answer::Choice(index));
                    let yours = if yours { " (your answer)" } else { "" };
                    let text = format!("{sign}{}  {}{yours}", index + 1, choice.text);
                    let text = large(view, text);
                    let soft = view.palette.text_soft.egui();
                    ui.label(if choice.right { text } else { text.color(soft) });
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
        ui.label(aside(view, truth));
    }
    let text = if now.is_some() { "↺ Once more" } else { "▶ Let it happen, slowly" };
    if ui.button(large(view, text)).on_hover_text("Enter").clicked() {
        wish(Wish::Replay(true));
    }
}
