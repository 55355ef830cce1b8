//! Hold points: those every permit asks for, those of the scene's steps, those the record adds, and who
//! released them. Every list of them comes from here.

use super::model::{PermitKind, Record};
use crate::scene::model::LoadKind;
use crate::sequence::model::Hold;
use crate::sequence::{Sequence, Stage};
use serde::{Deserialize, Serialize};

/// A hold point that every permit of its kind asks for, whatever the record plans.
#[derive(Clone, Copy, Debug)]
pub struct Planned {
    pub id: &'static str,
    pub title: &'static str,
    pub before: PermitKind,
    pub look: &'static [&'static str],
}

/// Common practice for falsework inspections; that shoring is inspected before erection, and
/// immediately before, during and after placing, is 29 CFR 1926.703(b)(1) and (b)(3) (wording from
/// memory, content seen at second hand). The division into these points is this project's own.
pub static PLANNED: &[Planned] = &[
    Planned {
        id: "ground",
        title: "What the posts stand on",
        before: PermitKind::Load,
        look: &[
            "Sills lie flat and full, nothing washed out or soft beneath them.",
            "Base plates sit in the middle of their sills.",
            "Where the posts stand on a slab: somebody answers for that slab carrying them.",
        ],
    },
    Planned {
        id: "built-to-drawing",
        title: "Built to the drawing in force",
        before: PermitKind::Load,
        look: &[
            "Every part is the part on the drawing, in its place, undamaged.",
            "Posts are plumb, pins and collars home, locks closed.",
        ],
    },
    Planned {
        id: "bracing",
        title: "Bracing and ties complete",
        before: PermitKind::Load,
        look: &[
            "Every diagonal and tie of the drawing is in, its couplers tight.",
            "Nothing was taken out again to let people or material through.",
        ],
    },
    Planned {
        id: "deck-and-edge",
        title: "Deck, edge form and edge protection",
        before: PermitKind::Load,
        look: &[
            "Sheets bear at both ends and are fastened; none ends past its last joist.",
            "Clips of everything that overhangs are home; guard rails stand.",
        ],
    },
    Planned {
        id: "placing-plan",
        title: "Order and rate of placing agreed",
        before: PermitKind::Load,
        look: &[
            "The crew knows where placing starts, how it goes on, and how high concrete may be heaped.",
            "Somebody watches from below at a safe place and can stop it.",
        ],
    },
    Planned {
        id: "strength",
        title: "Concrete strong enough to strike",
        before: PermitKind::Strike,
        look: &[
            "The strength the specification asks for was reached, shown by a test of this slab's concrete.",
            "What the slab carries when its posts go, loads from above included, was agreed by the engineer.",
        ],
    },
    Planned {
        id: "striking-order",
        title: "Order of striking agreed",
        before: PermitKind::Strike,
        look: &[
            "The crew knows which posts stay, which go first, and where nobody may stand.",
            "Posts that stay as undisturbed shores or reshores are marked.",
        ],
    },
];

/// Who released a hold point, on what.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Released {
    pub by: String,
    pub on: String,
    pub evidence: Vec<String>,
}

/// A hold point as it is now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HoldPointState {
    pub id: String,
    pub title: String,
    pub look: Vec<String>,
    /// None: open.
    pub released: Option<Released>,
}

/// What the id of a hold point of the scene's steps begins with; its name follows.
pub const OF_SCENE: &str = "scene:";
/// What a release that the scene itself writes has instead of a day; the step follows.
pub const IN_STEP: &str = "in step ";

/// The hold points of a permit: those planned for all first, then those that steps of the scene meet,
/// then the record's own, each in its order. The last word on each counts, the record's before the
/// scene's.
///
/// A scene's hold point is one to load up to the step that brings the first concrete, and one to
/// strike after it.
#[must_use]
pub fn hold_points(record: &Record, kind: PermitKind, sequence: &Sequence) -> Vec<HoldPointState> {
    let planned = PLANNED.iter().filter(|p| p.before == kind).map(|p| {
        (p.id.to_owned(), p.title.to_owned(), p.look.iter().map(|l| (*l).to_owned()).collect())
    });
    let own = record
        .hold_points
        .iter()
        .filter(|p| p.before == kind)
        .map(|p| (p.id.clone(), p.title.clone(), p.look.clone()));
    let with_record = |id: String, title: String, look: Vec<String>, scene: Option<Released>| {
        let last = record.releases.iter().rev().find(|r| r.point == id);
        let released = match last {
            Some(r) => (!r.withdrawn).then(|| Released {
                by: r.by.clone(),
                on: r.on.to_string(),
                evidence: r.evidence.clone(),
            }),
            None => scene,
        };
        HoldPointState { id, title, look, released }
    };
    let mut out: Vec<HoldPointState> =
        planned.map(|(id, title, look)| with_record(id, title, look, None)).collect();
    for hold in of_scene(sequence, kind) {
        let step = sequence.stages.get(hold.step).map_or("", |s| s.step.as_str());
        let id = format!("{OF_SCENE}{}", hold.text.name);
        let scene = hold.text.is_released().then(|| Released {
            by: hold.text.by.clone(),
            on: format!("{IN_STEP}{step}"),
            evidence: hold.text.evidence.clone(),
        });
        let (title, look) = words_of(hold, sequence);
        out.push(with_record(id, title, vec![look], scene));
    }
    out.extend(own.map(|(id, title, look)| with_record(id, title, look, None)));
    out
}

/// What a hold point of the scene is called, and what is to be looked at: a bare name such as "before"
/// says neither what was agreed nor which work waits for it.
///
/// It keeps back the work of its own step. Where that step does nothing but stop, it keeps back the
/// next one.
fn words_of(hold: &Hold, sequence: &Sequence) -> (String, String) {
    let name = &hold.text.name;
    let Some(stage) = sequence.stages.get(hold.step) else {
        return (format!("\"{name}\""), "Everything that it asks for.".to_owned());
    };
    let before = hold.step.checked_sub(1).and_then(|at| sequence.stages.get(at));
    let next = sequence.stages.get(hold.step + 1);
    let own = named(stage);
    if does_work(stage, before) {
        let title = format!("\"{name}\", before {own}");
        return (title, format!("Everything that has to be done before {own} begins."));
    }
    match next.map(named) {
        Some(next) => (
            format!("\"{name}\", met at {own}, before {next}"),
            format!("What is looked at in {own}; {next} waits for it."),
        ),
        None => (
            format!("\"{name}\", met at {own}"),
            format!("What is looked at in {own}, the last step."),
        ),
    }
}

/// A step as people call it, with its id.
fn named(stage: &Stage) -> String {
    match stage.title.trim() {
        "" => format!("step {}", stage.step),
        title => format!("\u{201c}{title}\u{201d} (step {})", stage.step),
    }
}

/// Whether anything stands, lies or is loaded otherwise after the step than before it.
fn does_work(stage: &Stage, before: Option<&Stage>) -> bool {
    let touched = !stage.touched.is_empty() || !stage.removed.is_empty();
    let loads = |s: &Stage| s.loads.iter().map(|l| l.text.name.clone()).collect::<Vec<_>>();
    touched || before.map(loads).unwrap_or_default() != loads(stage)
}

/// Hold points that steps of the scene meet, in their order; of one name the last.
fn of_scene(sequence: &Sequence, kind: PermitKind) -> Vec<&Hold> {
    let Some(last) = sequence.stages.last() else { return Vec::new() };
    let concrete = |s: &Stage| s.loads.iter().any(|l| l.text.kind == LoadKind::Concrete);
    let first = sequence.stages.iter().position(concrete).unwrap_or(usize::MAX);
    let mut out: Vec<&Hold> = Vec::new();
    for hold in &last.placing.holds {
        let before = if hold.step <= first { PermitKind::Load } else { PermitKind::Strike };
        if before == kind {
            out.retain(|h| h.text.name != hold.text.name);
            out.push(hold);
        }
    }
    out
}
