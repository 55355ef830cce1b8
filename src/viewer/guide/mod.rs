//! Teach, walk and sign in the window: one panel takes the card's place, in large type, and can be
//! gone through with the keyboard or a clicker alone.
//!
//! While a trainee is asked something the answer must not be on the screen: no signs, no colours of
//! hazards, no list of findings. [`Guide::conceals`] says so to the rest of the window.

pub mod act;
pub mod keys;
pub mod lookout;
pub mod paint;
pub mod permit;
pub mod play;
pub mod renew;
pub mod shot;
pub mod sign;
pub mod teach;
pub mod walk;

use crate::assembly::MemberId;
use crate::lessons::{Replay, Session, Shown};
use crate::permit::{Lying, Permit};
use crate::record::{MissingPhoto, PermitKind, Record};
use crate::review::Review;
use crate::viewer::panels::{View, style};
use crate::viewer::vocab::Intent;
use crate::walk::Walk;
use egui::Ui;
use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::Arc;

/// What a person wants of the guide.
#[derive(Clone, Debug, PartialEq)]
pub enum Wish {
    /// A lesson that comes with the program, by name.
    Lesson(String),
    /// A lesson made from the scene on screen.
    LessonHere,
    Walk,
    Permit(PermitKind),
    Leave,
    Next,
    Back,
    /// Mark a member, or take the mark off.
    Mark(MemberId),
    AnswerMarks,
    GoOn(bool),
    Pick(usize),
    Replay(bool),
    /// Write all results as CSV, beside the file they are kept in.
    Export,
    /// Seconds of the replay gone by.
    Tick(f64),
    /// What is typed into the fields of the guide.
    Fields(Fields),
    /// The station on screen was looked at: in order or not.
    Seen(bool),
    /// Draft the permit anew from the files; once it is issued, hold it against them.
    Draft,
    /// Issue it in the person's name, with a picture of the scene where there is a window.
    Issue,
    /// Issue it now, with this picture or none: the bytes of a PNG file.
    IssueWith(Option<Arc<Vec<u8>>>),
    /// Write the page that says that the permit on screen is void.
    VoidSheet,
}

/// What is typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Fields {
    /// Who is trained. It is nobody's name under a walk.
    pub trainee: String,
    /// Who walks.
    pub by: String,
    /// Who issues a permit.
    pub signer: String,
    pub role: String,
    pub note: String,
    pub photo: String,
    pub valid_until: String,
}

/// What the guide is doing.
#[derive(Default)]
pub enum Mode {
    #[default]
    Off,
    Teach(Box<Teaching>),
    Walk(Box<Walking>),
    Permit(Box<Signing>),
}

/// The guide's state.
#[derive(Default)]
pub struct Guide {
    pub mode: Mode,
    pub fields: Fields,
    /// Something that did not work, for the person.
    pub problem: Option<String>,
    /// The file the answers of lessons are put down in; none: they are not.
    pub results: Option<PathBuf>,
    /// Where they were written as CSV.
    pub exported: Option<PathBuf>,
    /// Files that changed on the disk while a walk or a permit was on, and what came of it.
    pub news: Option<String>,
    /// There is a window that a picture can be taken of.
    pub has_window: bool,
    /// The picture of a permit that is to be issued is on its way.
    pub picture_due: bool,
    /// The photo that is typed was looked for: where, and whether it is there.
    pub photo: Option<(PathBuf, bool)>,
}

/// A lesson under way.
pub struct Teaching {
    pub session: Session,
    pub marks: BTreeSet<String>,
    /// The replay on screen, and its seconds.
    pub replay: Option<(Replay, f64)>,
    /// What was on screen before the lesson, to go back to.
    pub before: Option<(PathBuf, Arc<Review>, usize)>,
}

/// A walk-through under way.
pub struct Walking {
    pub walk: Walk,
    pub at: usize,
    pub kind: PermitKind,
    pub record: Record,
    /// Where it lies, and its text as last read; none: there is none yet.
    pub path: PathBuf,
    pub known: Option<String>,
    pub missing_photos: Vec<MissingPhoto>,
}

/// A permit being drafted.
pub struct Signing {
    pub kind: PermitKind,
    pub permit: Option<Permit>,
    /// Files written when it was issued.
    pub written: Vec<PathBuf>,
    /// The issued permit of this kind that lies beside the scene.
    pub lying: Option<Lying>,
    /// Photos that the record names and that are not there.
    pub missing_photos: Vec<MissingPhoto>,
}

impl Signing {
    /// The permit on screen, once it is issued.
    #[must_use]
    pub fn issued(&self) -> Option<&Permit> {
        self.permit.as_ref().filter(|p| p.issue.is_some())
    }

    /// The permit beside the scene, where it is void.
    #[must_use]
    pub fn void(&self) -> Option<&Lying> {
        self.lying.as_ref().filter(|l| !l.voids.is_empty())
    }
}

impl Guide {
    #[must_use]
    pub fn is_on(&self) -> bool {
        !matches!(self.mode, Mode::Off)
    }

    /// The answer to what is asked must not be on the screen.
    #[must_use]
    pub fn conceals(&self) -> bool {
        match &self.mode {
            Mode::Teach(t) => {
                let asked = t.session.card().is_some_and(|c| c.question().is_some());
                asked && t.session.told.is_none()
            }
            _ => false,
        }
    }

    /// A lesson is on: lists of findings stay away.
    #[must_use]
    pub fn teaches(&self) -> bool {
        matches!(self.mode, Mode::Teach(_))
    }

    /// A walk-through is on.
    #[must_use]
    pub fn walks(&self) -> bool {
        matches!(self.mode, Mode::Walk(_))
    }

    /// Members the trainee has marked.
    #[must_use]
    pub fn marks(&self) -> Option<&BTreeSet<String>> {
        match &self.mode {
            Mode::Teach(t) if !t.marks.is_empty() => Some(&t.marks),
            _ => None,
        }
    }

    /// While the answer is concealed, the members marked; none: nothing is concealed.
    #[must_use]
    pub fn veil(&self) -> Option<Vec<String>> {
        let marks = || self.marks().into_iter().flatten().cloned().collect();
        self.conceals().then(marks)
    }

    /// What the replay shows now.
    #[must_use]
    pub fn shown(&self) -> Option<(&Replay, Shown)> {
        match &self.mode {
            Mode::Teach(t) => t.replay.as_ref().map(|(r, clock)| (r, Replay::shown(*clock))),
            _ => None,
        }
    }
}

/// A heading, as large as what is read below it.
fn heading(ui: &mut Ui, view: &View<'_>, text: &str) {
    ui.add_space(6.0);
    ui.label(reading(view, text).family(style::strong()).color(view.palette.accent.egui()));
}

/// The panel: what to read and to do, and below it, always in sight, the way on and out.
pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    egui::Panel::bottom("guide way")
        .resizable(false)
        .frame(egui::Frame::new().inner_margin(egui::Margin {
            top: 8,
            bottom: 4,
            ..Default::default()
        }))
        .show(ui, |ui| way(ui, view, out));
    egui::ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
        // No field or button has the keyboard.
        style::roll(ui, ui.memory(|m| m.focused().is_none()));
        ui.add_space(4.0);
        if let Some(problem) = &view.state.guide.problem {
            ui.label(reading(view, format!("✖ {problem}")).color(view.palette.stop.egui()));
        }
        if let Some(news) = &view.state.guide.news {
            ui.label(reading(view, format!("↻ {news}")).color(view.palette.accent.egui()));
        }
        match &view.state.guide.mode {
            Mode::Off => {}
            Mode::Teach(t) => teach::ui(ui, view, t, out),
            Mode::Walk(w) => walk::ui(ui, view, w, out),
            Mode::Permit(s) => permit::ui(ui, view, s, out),
        }
        ui.add_space(16.0);
    });
}

/// Back, on, and out.
fn way(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let steps = match &view.state.guide.mode {
        Mode::Off | Mode::Permit(_) => None,
        Mode::Teach(t) => {
            let over = t.session.card().is_none();
            Some((t.session.at > 0, !over && t.session.may_go_on(), "Page down"))
        }
        Mode::Walk(w) => Some((w.at > 0, w.at + 1 < w.walk.stations.len(), "Page down, Space")),
    };
    ui.horizontal(|ui| {
        if let Some((back, next, key)) = steps {
            let button = egui::Button::new(large(view, "◀ Back"));
            if ui.add_enabled(back, button).on_hover_text("Page up").clicked() {
                out.push(Intent::Guide(Wish::Back));
            }
            let button = egui::Button::new(large(view, "Next ▶"));
            if ui.add_enabled(next, button).on_hover_text(key).clicked() {
                out.push(Intent::Guide(Wish::Next));
            }
        }
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if ui.button("Leave").on_hover_text("Esc").clicked() {
                out.push(Intent::Guide(Wish::Leave));
            }
        });
    });
}

/// The entries of the bar's menu.
pub fn menu(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let mut wish = |ui: &mut Ui, wish: Wish| {
        out.push(Intent::Guide(wish));
        ui.close();
    };
    for lesson in crate::lessons::SHIPPED {
        if ui.button(format!("Lesson: {}", lesson.name.replace('-', " "))).clicked() {
            wish(ui, Wish::Lesson(lesson.name.to_owned()));
        }
    }
    if view.state.review.is_some() {
        if ui.button("Lesson from this scene").clicked() {
            wish(ui, Wish::LessonHere);
        }
        ui.separator();
        if ui.button("Walk-through").clicked() {
            wish(ui, Wish::Walk);
        }
        for kind in [PermitKind::Load, PermitKind::Strike] {
            if ui.button(crate::checks::support::words::sentence(kind.words())).clicked() {
                wish(ui, Wish::Permit(kind));
            }
        }
    }
}

/// A field with its name before it.
fn field(ui: &mut Ui, view: &View<'_>, name: &str, text: &mut String) -> bool {
    edit(ui, view, name, text).changed()
}

/// A field with its name before it, in reading size.
fn edit(ui: &mut Ui, view: &View<'_>, name: &str, text: &mut String) -> egui::Response {
    let label = ui.label(reading(view, name));
    let edit = egui::TextEdit::singleline(text)
        .font(egui::FontId::proportional(view.text.body * wide(view)))
        .desired_width(f32::INFINITY);
    ui.add(edit).labelled_by(label.id)
}

/// Large type: read from the back of a room.
fn large(view: &View<'_>, text: impl Into<String>) -> egui::RichText {
    egui::RichText::new(text).size(view.text.title * wide(view))
}

/// What is read at the table.
fn reading(view: &View<'_>, text: impl Into<String>) -> egui::RichText {
    egui::RichText::new(text).size(view.text.body * wide(view))
}

/// Less important, but not too small for a projector.
fn aside(view: &View<'_>, text: impl Into<String>) -> egui::RichText {
    style::soft(view, text).size(view.text.small * wide(view))
}

/// On a projector everything is larger.
fn wide(view: &View<'_>) -> f32 {
    if view.state.look == crate::viewer::theme::Look::Contrast { style::LARGE } else { 1.0 }
}
