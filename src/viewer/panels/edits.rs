//! Things to try with what is chosen: buttons, and fields for a part, a level or a weight.

use super::{View, style};
use crate::assembly::{MemberId, Role};
use crate::changes::offers::{self, Here, Offer};
use crate::findings::Finding;
use crate::review::Review;
use crate::scene::model::{ChangeKind, LoadKind, LoadPlace, LoadText};
use crate::units::{Force, Length, UnitSystem};
use crate::viewer::vocab::{EditIntent, Intent};
use egui::Ui;
use std::str::FromStr;

fn send(out: &mut Vec<Intent>, change: ChangeKind) {
    out.push(Intent::Edit(EditIntent::Try(change)));
}

fn here<'a>(view: &View<'_>, review: &'a Review) -> Option<Here<'a>> {
    let stage = review.sequence.stages.get(view.state.stage)?;
    Some(Here { assembly: &review.assembly, sequence: &review.sequence, stage })
}

fn buttons(ui: &mut Ui, view: &View<'_>, all: &[Offer], out: &mut Vec<Intent>) {
    // Short ones side by side; where one takes more than a line they stand in rows, all alike.
    let room = ui.available_width();
    let wide =
        |offer: &Offer| offer.words.chars().count() as f32 * view.text.small * 0.52 + 20.0 > room;
    let rows = all.iter().any(wide);
    let list = |ui: &mut Ui| {
        ui.spacing_mut().item_spacing = egui::vec2(5.0, 5.0);
        for offer in all {
            let text = egui::RichText::new(&offer.words).size(view.text.small);
            let button = egui::Button::new(text);
            let button = if rows { button.wrap() } else { button };
            if ui.add(button).clicked() {
                send(out, offer.change.clone());
            }
        }
    };
    match rows {
        true => ui.with_layout(egui::Layout::top_down_justified(egui::Align::LEFT), list),
        false => ui.horizontal_wrapped(list),
    };
}

/// For a member.
pub fn member(ui: &mut Ui, view: &View<'_>, review: &Review, id: MemberId, out: &mut Vec<Intent>) {
    let Some(here) = here(view, review) else { return };
    style::heading(ui, view, "Try");
    buttons(ui, view, &offers::of_member(here, id), out);
    part(ui, view, review, id, out);
    let role = review.assembly.member(id).role;
    if role == Role::Post {
        head(ui, view, review, id, out);
    }
    let carries =
        matches!(role, Role::Post | Role::Ledger | Role::Joist | Role::Filler | Role::DropBeam);
    if carries && here.stage.state(id).is_there() && !review.sequence.finished_only {
        load(ui, view, review, id, out);
    }
}

/// For the step that leads to the stage.
pub fn stage(ui: &mut Ui, view: &View<'_>, review: &Review, out: &mut Vec<Intent>) {
    let Some(here) = here(view, review) else { return };
    let all = offers::of_stage(here);
    if !all.is_empty() {
        style::heading(ui, view, "Try");
        buttons(ui, view, &all, out);
    }
}

/// For the members a finding is about.
pub fn finding(ui: &mut Ui, view: &View<'_>, review: &Review, f: &Finding, out: &mut Vec<Intent>) {
    let Some(here) = here(view, review) else { return };
    let all = offers::of_finding(here, f);
    if !all.is_empty() {
        style::heading(ui, view, "Try");
        buttons(ui, view, &all, out);
    }
}

/// Another part of the same kind, and a sill under a post.
fn part(ui: &mut Ui, view: &View<'_>, review: &Review, id: MemberId, out: &mut Vec<Intent>) {
    let assembly = &review.assembly;
    let (library, member) = (&assembly.library, assembly.member(id));
    let parts: Vec<&String> = match member.role {
        Role::Post | Role::Prop => library.posts.keys().collect(),
        Role::Ledger | Role::Joist | Role::Filler | Role::DropBeam => {
            library.beams.keys().collect()
        }
        Role::Brace | Role::PlanBrace | Role::TieIn => library.braces.keys().collect(),
        Role::Clip => library.clips.keys().collect(),
        Role::Sill => library.sills.keys().collect(),
        Role::Sheet => library.sheets.keys().collect(),
    };
    style::row(ui, false, |ui| {
        ui.label(style::soft(view, "another part"));
        egui::ComboBox::from_id_salt("part").selected_text(&member.part).show_ui(ui, |ui| {
            for part in parts {
                if ui.selectable_label(*part == member.part, part).clicked() && *part != member.part
                {
                    let (member, part) = (member.name.clone(), part.clone());
                    send(out, ChangeKind::SetPart { member, part });
                }
            }
        });
    });
    if member.role == Role::Post && !library.sills.is_empty() {
        style::row(ui, false, |ui| {
            ui.label(style::soft(view, "a sill under it"));
            egui::ComboBox::from_id_salt("sill").selected_text("choose").show_ui(ui, |ui| {
                for sill in library.sills.keys() {
                    if ui.selectable_label(false, sill).clicked() {
                        let (post, sill) = (member.name.clone(), sill.clone());
                        send(out, ChangeKind::SetSill { post, sill });
                    }
                }
            });
        });
    }
}

/// A field for a quantity and its button.
struct Field<'a> {
    label: &'a str,
    button: &'a str,
    /// What stands in it first.
    shown: &'a str,
    /// Whether that can be given as it is.
    as_it_is: bool,
    key: &'a str,
}

/// The quantity, when Enter or the button is pressed; what does not read is said below.
fn field<T: FromStr>(ui: &mut Ui, view: &View<'_>, field: &Field<'_>) -> Option<T>
where
    T::Err: std::fmt::Display,
{
    let id = ui.id().with(("quantity", field.label, field.key));
    let mut text: String = ui.data(|d| d.get_temp(id)).unwrap_or_else(|| field.shown.to_owned());
    let mut given = None;
    style::row(ui, false, |ui| {
        ui.label(style::soft(view, field.label));
        let edit = egui::TextEdit::singleline(&mut text).desired_width(96.0).id(id.with("text"));
        let response = ui.add(edit);
        let entered = response.lost_focus() && ui.input(|i| i.key_pressed(egui::Key::Enter));
        let clicked = ui.small_button(field.button).clicked();
        if (entered || clicked) && (field.as_it_is || text.trim() != field.shown) {
            given = text.trim().parse::<T>().ok();
        }
    });
    if let Err(error) = text.trim().parse::<T>() {
        ui.label(style::soft(view, error.to_string()));
    }
    ui.data_mut(|d| d.insert_temp(id, text));
    given
}

/// The level of a post's head.
fn head(ui: &mut Ui, view: &View<'_>, review: &Review, id: MemberId, out: &mut Vec<Intent>) {
    let member = review.assembly.member(id);
    let level = member.ends[1].z;
    let shown = match view.state.units {
        UnitSystem::Metres => format!("{level:.3} m"),
        UnitSystem::Feet => view.state.units.length(level),
    };
    let asked = Field {
        label: "its head at level",
        button: "Set it",
        shown: &shown,
        as_it_is: false,
        key: &member.name,
    };
    if let Some(level) = field::<Length>(ui, view, &asked) {
        send(out, ChangeKind::SetHead { post: member.name.clone(), level });
    }
}

/// A weight in the middle of a beam, or on a post's head.
fn load(ui: &mut Ui, view: &View<'_>, review: &Review, id: MemberId, out: &mut Vec<Intent>) {
    let member = review.assembly.member(id);
    let shown = match view.state.units {
        UnitSystem::Metres => "1 kN",
        UnitSystem::Feet => "200 lb",
    };
    let label = if member.is_post() { "a weight on its head" } else { "a weight in its middle" };
    let asked = Field { label, button: "Put it on", shown, as_it_is: true, key: &member.name };
    if let Some(weight) = field::<Force>(ui, view, &asked) {
        let at = if member.is_post() { member.length() } else { member.length() / 2.0 };
        let stage = &review.sequence.stages[view.state.stage];
        let load = LoadText {
            name: format!("tried on {}", member.name),
            kind: LoadKind::Bundle,
            on: LoadPlace::Point { member: member.name.clone(), at: Length(at), weight },
            stack: None,
        };
        send(out, ChangeKind::SetLoad { load, from: stage.step.clone(), until: None });
    }
}
