//! Hold points: those every permit asks for, those the record adds, and who released them.

use super::model::{PermitKind, Record};
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

/// The hold points of a permit: those planned for all first, then the record's own, each in its order.
/// The last word on each counts.
#[must_use]
pub fn hold_points(record: &Record, kind: PermitKind) -> Vec<HoldPointState> {
    let planned = PLANNED.iter().filter(|p| p.before == kind).map(|p| {
        (p.id.to_owned(), p.title.to_owned(), p.look.iter().map(|l| (*l).to_owned()).collect())
    });
    let own = record
        .hold_points
        .iter()
        .filter(|p| p.before == kind)
        .map(|p| (p.id.clone(), p.title.clone(), p.look.clone()));
    planned
        .chain(own)
        .map(|(id, title, look)| {
            let last = record.releases.iter().rev().find(|r| r.point == id);
            let released = last.filter(|r| !r.withdrawn).map(|r| Released {
                by: r.by.clone(),
                on: r.on.to_string(),
                evidence: r.evidence.clone(),
            });
            HoldPointState { id, title, look, released }
        })
        .collect()
}
