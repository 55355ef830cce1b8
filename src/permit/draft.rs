//! The draft: everything a permit says, from the review and the record alone.

use super::model::{
    Accepted, FileBound, Look, PERMIT_VERSION, PartCount, Permit, StageNamed, Standing,
};
use super::refusal::{Refusal, acceptance, refusals, within};
use super::window::{Asked, Window, window};
use crate::criteria::model::Seen;
use crate::findings::Severity;
use crate::record::{LoadedRecord, Parts, PermitKind, Record, hold_points, parts_at};
use crate::report::CAUTIONS;
use crate::review::Review;
use crate::scene::FileStamp;
use std::collections::BTreeMap;
use std::path::Path;

/// What a permit is made from.
#[derive(Clone, Copy, Debug)]
pub struct Basis<'a> {
    pub review: &'a Review,
    /// None: there is no record, and no permit can be issued.
    pub record: Option<&'a LoadedRecord>,
    /// Stamps of the scene, its equipment and its criteria.
    pub files: &'a [FileStamp],
    /// Where the scene lies: paths in the permit start from its folder.
    pub scene: &'a Path,
    pub pictures: &'a [Picture],
}

/// A picture to go on the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    pub path: std::path::PathBuf,
    pub bytes: Vec<u8>,
}

/// Drafts a permit. What stands in its way is in its `refusals`.
#[must_use]
pub fn draft(basis: &Basis<'_>, kind: PermitKind, asked: &Asked) -> Permit {
    let review = basis.review;
    let scene = &review.assembly.scene;
    let none = Record::default();
    let record = basis.record.map_or(&none, |r| &r.record);
    let mut permit = Permit {
        permit_version: PERMIT_VERSION,
        kind,
        program: env!("CARGO_PKG_NAME").to_owned(),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        job: scene.title.clone(),
        about: scene.about.clone(),
        criteria: format!("{} ({})", review.pack.title, review.pack.region),
        equipment: review.assembly.library.title.clone(),
        drawing: record.drawing.as_ref().map(|d| format!("{}, revision {}", d.number, d.revision)),
        from: None,
        until: None,
        parts: Vec::new(),
        looked: Vec::new(),
        hold_points: hold_points(record, kind, &review.sequence),
        accepted: Vec::new(),
        standing: Vec::new(),
        refusals: Vec::new(),
        from_memory: from_memory(review),
        cautions: CAUTIONS.iter().map(|c| (*c).to_owned()).collect(),
        files: files(basis),
        pictures: basis
            .pictures
            .iter()
            .map(|p| bound(basis, &FileStamp::new(&p.path, &p.bytes)))
            .collect(),
        issue: None,
        seal: String::new(),
    };
    // Where the scene has no step for it the last stage is the one as built, so that the rest of what
    // stands in the way is said as well.
    let last = review.sequence.stages.len().saturating_sub(1);
    let window = window(review, kind, asked).unwrap_or_else(|why| {
        permit.refusals.push(Refusal::NotJudged { why });
        Window { from: last, until: last }
    });
    if review.sequence.stages.is_empty() {
        return permit;
    }
    permit.from = named(review, window.from);
    permit.until = named(review, window.until);
    let stage = &review.sequence.stages[window.from];
    let parts = parts_at(&review.assembly, stage, record, &review.pack, scene.units);
    permit.parts = counts(review, &parts);
    permit.looked = looked(record, &parts);
    (permit.accepted, permit.standing) = lower(basis, window);
    permit.refusals.extend(refusals(basis, kind, window, &parts));
    permit
}

fn named(review: &Review, stage: usize) -> Option<StageNamed> {
    let stage = review.sequence.stages.get(stage)?;
    Some(StageNamed { step: stage.step.clone(), title: stage.title.clone(), index: stage.index })
}

fn counts(review: &Review, parts: &Parts) -> Vec<PartCount> {
    let mut counts = BTreeMap::new();
    for part in &parts.parts {
        let role = review.assembly.member(part.member).role;
        let count = counts.entry(role).or_insert((0, 0));
        count.0 += 1;
        count.1 += usize::from(part.wants.is_empty());
    }
    counts
        .into_iter()
        .map(|(role, (there, in_order))| PartCount {
            kind: super::plan::role_words(role).to_owned(),
            there,
            in_order,
        })
        .collect()
}

/// Whose entries count, by person and day.
fn looked(record: &Record, parts: &Parts) -> Vec<Look> {
    let mut by: BTreeMap<(String, String), usize> = BTreeMap::new();
    for entry in parts.parts.iter().filter_map(|p| p.entry) {
        if let Some(seen) = record.inspections.get(entry) {
            *by.entry((seen.on.to_string(), seen.by.clone())).or_default() += 1;
        }
    }
    by.into_iter().map(|((on, by), parts)| Look { by, on, parts }).collect()
}

fn lower(basis: &Basis<'_>, window: Window) -> (Vec<Accepted>, Vec<Standing>) {
    let (mut accepted, mut standing) = (Vec::new(), Vec::new());
    for finding in within(basis, window) {
        let (code, severity) = (finding.code.clone(), finding.severity);
        let (headline, members) = (finding.headline.clone(), finding.subjects.clone());
        match acceptance(finding) {
            Some((reason, by)) => accepted.push(Accepted {
                code,
                severity,
                headline,
                members,
                by: by.to_owned(),
                reason: reason.to_owned(),
            }),
            None if severity <= Severity::Watch && !finding.unknown => {
                standing.push(Standing { code, severity, headline, members });
            }
            None => {}
        }
    }
    (accepted, standing)
}

fn from_memory(review: &Review) -> Vec<String> {
    review
        .pack
        .rules()
        .iter()
        .filter(|rule| rule.seen == Seen::Memory)
        .map(|rule| format!("{}: {}", rule.name, rule.source))
        .collect()
}

fn files(basis: &Basis<'_>) -> Vec<FileBound> {
    let record = basis.record.map(|r| &r.stamp);
    basis.files.iter().chain(record).map(|stamp| bound(basis, stamp)).collect()
}

/// The stamp with its path from the scene's folder.
fn bound(basis: &Basis<'_>, stamp: &FileStamp) -> FileBound {
    let folder = basis.scene.parent().unwrap_or(Path::new(""));
    let path = stamp.path.strip_prefix(folder).unwrap_or(&stamp.path);
    FileBound { path: path.to_string_lossy().replace('\\', "/"), sha256: stamp.sha256.clone() }
}
