//! The card of one member: what it is, how long, what holds it each way, what it carries.

use super::{View, card, measures, style};
use crate::assembly::model::Member;
use crate::assembly::{JointKind, MemberId, Role};
use crate::equipment::model::Basis;
use crate::findings::{Dimension, Measure};
use crate::review::Review;
use crate::sequence::{JointState, MemberState, Stage};
use crate::viewer::state::stands_at;
use crate::viewer::strip_marks;
use crate::viewer::vocab::{Intent, Item};
use egui::{RichText, Ui};

pub fn ui(ui: &mut Ui, view: &View<'_>, review: &Review, id: MemberId, out: &mut Vec<Intent>) {
    let member = review.assembly.member(id);
    let Some(stage) = review.sequence.stages.get(view.state.stage) else { return };
    let units = view.state.units;
    ui.label(RichText::new(&member.name).size(view.text.heading).family(style::strong()));
    let mut what = format!("{}, {}", role_words(member.role), member.part);
    if let Some((a, b)) = &member.grid {
        what.push_str(&if a == b { format!(", at {a}") } else { format!(", {a} to {b}") });
    }
    ui.label(what);
    ui.label(format!("{} long, {}", units.length(member.length()), units.force(member.weight)));
    if let Some((jack, extension)) = &member.jack {
        ui.label(format!("{jack}, out by {}", units.length(*extension)));
    }
    ui.label(state_words(review, stage, id));
    if let Some(mark) = strip_marks::of(review, stage, id) {
        ui.horizontal(|ui| {
            let (rect, _) = ui.allocate_exact_size(egui::Vec2::splat(20.0), egui::Sense::hover());
            let (at, palette) = (rect.center(), view.palette);
            strip_marks::draw(ui.painter(), at, 20.0, mark, palette);
            let words = crate::checks::support::words::sentence(mark.words());
            ui.label(format!("{words}."));
        });
    }
    if member.damaged {
        ui.label(RichText::new("Marked as damaged: not counted on.").family(style::strong()));
    }
    super::history::ui(ui, view, id, out);
    super::edits::member(ui, view, review, id, out);
    if member.is_post() {
        holds(ui, view, review, id, out);
        post_load(ui, view, review, member);
    }
    super::basis::member(ui, view, review, id, out);
    joints(ui, view, review, stage, id);
    axial(ui, view, review, member);
    let about: Vec<usize> = (0..review.findings.len())
        .filter(|&i| {
            let f = &review.findings[i];
            stands_at(f, view.state.stage) && f.subjects.contains(&member.name)
        })
        .collect();
    if !about.is_empty() {
        style::heading(ui, view, "Findings about it at this stage");
        for i in about {
            card::link(ui, view, i, &review.findings[i], out);
        }
    }
    ends(ui, view, member, out);
    if ui.button("Bring into the middle").on_hover_text("Enter, or double click").clicked() {
        out.push(Intent::LookAt(Item::Member(id)));
    }
    if review.assembly.library.sample {
        ui.label(style::soft(view, "Sample equipment data: use your supplier's table."));
    }
}

/// While something is measured: its ends, for those who do not point at them.
fn ends(ui: &mut Ui, view: &View<'_>, member: &Member, out: &mut Vec<Intent>) {
    if view.state.measure.is_none() {
        return;
    }
    style::heading(ui, view, "Measure from");
    let [low, high] = match &member.grid {
        _ if member.is_post() => ["its foot".to_owned(), "its head".to_owned()],
        Some((a, b)) if a != b => [format!("its end at {a}"), format!("its end at {b}")],
        _ => ["its first end".to_owned(), "its last end".to_owned()],
    };
    ui.horizontal_wrapped(|ui| {
        for (words, end) in [low, high].into_iter().zip(member.ends) {
            if ui.button(words).clicked() {
                out.push(Intent::MeasureAt(end));
            }
        }
    });
}

#[must_use]
pub fn role_words(role: Role) -> &'static str {
    match role {
        Role::Post => "Post",
        Role::Prop => "Prop",
        Role::Ledger => "Ledger",
        Role::Joist => "Joist",
        Role::Filler => "Filler joist",
        Role::DropBeam => "Drop-beam bearer",
        Role::Brace => "Cross brace",
        Role::PlanBrace => "Plan brace",
        Role::TieIn => "Tie-in",
        Role::Clip => "Hold-down clip",
        Role::Sill => "Sill",
        Role::Sheet => "Deck sheet",
    }
}

fn state_words(review: &Review, stage: &Stage, id: MemberId) -> String {
    match stage.state(id) {
        MemberState::Standing => "In place at this stage.".to_owned(),
        MemberState::Held(1) => "Held by one hand at this stage: it holds nothing else.".to_owned(),
        MemberState::Held(n) => format!("Held by {n} hands at this stage: it holds nothing else."),
        MemberState::Absent => {
            let later =
                review.sequence.stages.iter().skip(stage.index).find(|s| s.state(id).is_there());
            match later {
                Some(s) => format!("Still to come: stage {}, step {}.", s.index, s.step),
                None => "Not there at this stage.".to_owned(),
            }
        }
    }
}

fn holds(ui: &mut Ui, view: &View<'_>, review: &Review, id: MemberId, out: &mut Vec<Intent>) {
    let Some(judged) = review.stages.get(view.state.stage) else { return };
    let mut any = false;
    for hold in judged.restraint.holds.iter().filter(|h| h.post == id) {
        if !any {
            style::heading(ui, view, "What holds its head");
            any = true;
        }
        let way = direction_words(hold.direction);
        let names = |ids: &[MemberId]| {
            ids.iter().map(|&m| review.assembly.name(m).to_owned()).collect::<Vec<_>>()
        };
        let (sign, ink, text) = if hold.path.is_empty() {
            ("✖", view.palette.stop, format!("{way}: nothing"))
        } else {
            ("✔", view.palette.step, format!("{way}: held"))
        };
        ui.horizontal(|ui| {
            ui.label(RichText::new(sign).family(style::strong()).color(ink.egui()));
            ui.label(RichText::new(text).family(style::strong()));
        });
        if hold.path.is_empty() {
            card::chips(ui, view, review, "Loose with it", &names(&hold.loose_line), out);
        } else {
            card::chips(ui, view, review, "Through", &names(&hold.path), out);
        }
    }
}

/// A plan direction in words.
#[must_use]
pub fn direction_words(d: [f64; 2]) -> String {
    let angle = d[1].atan2(d[0]).to_degrees().rem_euclid(180.0);
    if !(0.5..179.5).contains(&angle) {
        "Along x".to_owned()
    } else if (angle - 90.0).abs() < 0.5 {
        "Along y".to_owned()
    } else {
        format!("At {angle:.0}° to x")
    }
}

fn post_load(ui: &mut Ui, view: &View<'_>, review: &Review, member: &Member) {
    let Some(judged) = review.stages.get(view.state.stage) else { return };
    let Some(&load) = judged.loads.at_foot.get(member.id.index()) else { return };
    style::heading(ui, view, "What it carries");
    let post = review.assembly.library.posts.get(&member.part);
    let row = post.and_then(|p| {
        // A height between rows takes the next taller row.
        p.capacity.rows.iter().find(|(h, _)| h.si() >= member.length() - 1e-6)
    });
    let limit = row.filter(|_| post.is_some_and(|p| p.capacity.basis == Basis::SafeWorkingLoad));
    measures::bar(
        ui,
        view,
        &Measure {
            what: "Load at its foot".to_owned(),
            measured: load,
            limit: limit.map(|(_, f)| f.si()),
            at_least: false,
            dimension: Dimension::Force,
        },
    );
    if let (Some((height, force)), Some(post)) = (row, post) {
        let basis = match post.capacity.basis {
            Basis::SafeWorkingLoad => "safe working load",
            Basis::Characteristic => "characteristic, before factors",
            Basis::Ultimate => "ultimate, before factors",
        };
        let text = format!(
            "Table: {} up to {} ({basis}). What its unbraced length leaves of that is a finding where it is short.",
            view.state.units.force(force.si()),
            view.state.units.length(height.si()),
        );
        ui.label(style::soft(view, text));
    } else {
        ui.label(style::soft(view, "Its height is not in the capacity table: unknown."));
    }
}

fn axial(ui: &mut Ui, view: &View<'_>, review: &Review, member: &Member) {
    let range =
        review.stages.get(view.state.stage).and_then(|s| s.mechanics.axial.get(member.id.index()));
    let Some(range) = range.filter(|r| r.least != 0.0 || r.greatest != 0.0) else { return };
    let word = |f: f64| {
        let force = view.state.units.force(f.abs());
        if f < 0.0 { format!("{force} push") } else { format!("{force} pull") }
    };
    let text = format!(
        "Axial force over the load cases: {} to {}",
        word(range.least),
        word(range.greatest)
    );
    ui.label(style::soft(view, text));
}

fn joints(ui: &mut Ui, view: &View<'_>, review: &Review, stage: &Stage, id: MemberId) {
    const MOST: usize = 16;
    let assembly = &review.assembly;
    let mut lines = Vec::new();
    for &j in assembly.joints_of(id) {
        let joint = assembly.joint(j);
        let state = stage.joint(j);
        if state == JointState::Open && !stage.state(id).is_there() {
            continue;
        }
        let kind = match joint.kind {
            JointKind::Head => "head",
            JointKind::Rest => "rests",
            JointKind::Coupler => "coupler",
            JointKind::Foot => "foot",
            JointKind::Ground => "stands",
            JointKind::Splice => "splice",
            JointKind::Clip => "clip",
            JointKind::Tie => "tie",
        };
        let state = match state {
            JointState::Open => "open: holds nothing",
            JointState::Hung => "hung or resting",
            JointState::Locked => "locked",
            JointState::Lowered => "let down",
        };
        let other = if joint.member == id { joint.carrier } else { Some(joint.member) };
        let other = other.map_or("the floor", |o| assembly.name(o));
        lines.push(format!("{kind} with {other}: {state}"));
    }
    if lines.is_empty() {
        return;
    }
    style::heading(ui, view, "Joints");
    let more = lines.len().saturating_sub(MOST);
    for line in lines.into_iter().take(MOST) {
        ui.label(style::soft(view, line));
    }
    if more > 0 {
        ui.label(style::soft(view, format!("and {more} more")));
    }
}
