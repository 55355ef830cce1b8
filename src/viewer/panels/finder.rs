//! Choosing a member by its name, without a pointer: in a lesson that marks it, while measuring its card
//! offers its ends.

use super::{View, style};
use crate::assembly::MemberId;
use crate::review::Review;
use crate::viewer::vocab::{Intent, Item};
use egui::Ui;

/// So many names are offered.
const MOST: usize = 8;

/// Members whose name has every typed word in it: what stands at the stage comes first, and a name that
/// begins with the first word before one that has it further on.
#[must_use]
pub fn matches(review: &Review, stage: usize, typed: &str) -> Vec<MemberId> {
    let typed = typed.to_lowercase();
    let words: Vec<&str> = typed.split_whitespace().collect();
    let Some(first) = words.first() else { return Vec::new() };
    let there =
        |id: MemberId| review.sequence.stages.get(stage).is_some_and(|s| s.state(id).is_there());
    let mut out: Vec<_> = review
        .assembly
        .members
        .iter()
        .filter_map(|m| {
            let name = m.name.to_lowercase();
            let all = words.iter().all(|w| name.contains(w));
            // Its own name, behind that of its block, may begin with it too.
            let own = name.split_once('.').map_or("", |(_, own)| own);
            let begins = name.starts_with(first) || own.starts_with(first);
            let ends = name.ends_with(words[words.len() - 1]);
            all.then(|| ((!there(m.id), !begins, !ends, m.id), m.id))
        })
        .collect();
    out.sort_by_key(|(order, _)| *order);
    out.into_iter().map(|(_, id)| id).collect()
}

/// The window that asks for the name.
pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let Some(review) = &view.state.review else {
        out.push(Intent::AskForName(false));
        return;
    };
    let id = egui::Id::new("name of a member");
    let mut typed: String = ui.data(|d| d.get_temp(id)).unwrap_or_default();
    ui.set_min_width(360.0);
    let label = ui.label("Name of a member, or parts of it");
    let edit =
        egui::TextEdit::singleline(&mut typed).desired_width(f32::INFINITY).hint_text("post C4");
    let field = ui.add(edit).labelled_by(label.id);
    let pressed = |key| ui.input(|i| i.key_pressed(key));
    let entered = field.lost_focus() && pressed(egui::Key::Enter);
    let mut chosen = None;
    let found = matches(review, view.state.stage, &typed);
    if pressed(egui::Key::Escape) {
        out.push(Intent::AskForName(false));
    } else if entered {
        chosen = found.first().copied();
    }
    if entered && chosen.is_none() || ui.memory(|m| m.focused().is_none()) {
        field.request_focus();
    }
    let stage = review.sequence.stages.get(view.state.stage);
    for &member in found.iter().take(MOST) {
        ui.horizontal(|ui| {
            if ui.button(review.assembly.name(member)).clicked() {
                chosen = Some(member);
            }
            if !stage.is_some_and(|s| s.state(member).is_there()) {
                ui.label(style::soft(view, "not there at this stage"));
            }
        });
    }
    let told = match found.len() {
        0 if typed.trim().is_empty() => "Enter takes the first".to_owned(),
        0 => "no member is called so".to_owned(),
        n if n > MOST => format!("and {} more", n - MOST),
        _ => String::new(),
    };
    ui.label(style::soft(view, told));
    if ui.button("Cancel").on_hover_text("Esc").clicked() {
        out.push(Intent::AskForName(false));
    }
    if let Some(member) = chosen {
        out.push(Intent::Choose(Some(Item::Member(member))));
        out.push(Intent::LookAt(Item::Member(member)));
        out.push(Intent::AskForName(false));
    }
    // The next time it comes up empty.
    if out.contains(&Intent::AskForName(false)) {
        typed.clear();
    }
    ui.data_mut(|d| d.insert_temp(id, typed));
}
