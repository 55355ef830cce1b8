//! Stations from findings, hold points and parts nobody has looked at.

use super::place::{eye, middle, route};
use super::words::look_for;
use crate::assembly::{Assembly, Member, MemberId};
use crate::by_eye::{self, When};
use crate::criteria::model::Seen;
use crate::findings::Severity;
use crate::permit::role_words;
use crate::record::model::{Record, Walked};
use crate::record::{PermitKind, hold_points, parts_at};
use crate::review::Review;
use crate::scene::model::LoadKind;
use crate::sequence::{SlabNow, Stage};
use serde::Serialize;
use std::collections::BTreeMap;

/// A walk-through of one stage.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Walk {
    pub job: String,
    /// Stage walked, and the last stage whose findings count.
    pub stage: usize,
    pub until: usize,
    pub step: String,
    /// In the order of the walk.
    pub stations: Vec<Station>,
}

/// What a station is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StationKind {
    HoldPoint,
    /// What only eyes on site can tell.
    ByEye,
    Finding,
    /// Parts the record does not cover.
    Parts,
}

/// One place to stop at.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Station {
    /// Stays the same as long as what it is about does.
    pub id: String,
    pub kind: StationKind,
    pub title: String,
    /// Findings: how bad, and whether it could not be judged.
    pub severity: Option<Severity>,
    pub unknown: bool,
    /// What to look at, in plain words.
    pub look: Vec<String>,
    /// What the record says of it already.
    pub known: Vec<String>,
    pub members: Vec<String>,
    /// Stage at which it is seen: that of the walk, or a later one where it only begins then.
    pub stage: usize,
    /// What is looked at and where one stands, in metres; none: it is read at the gathering place.
    pub at: Option<[f64; 3]>,
    pub eye: Option<[f64; 3]>,
    /// The last entry in the record; none: not walked yet.
    pub walked: Option<Walked>,
}

impl Walk {
    /// Stations seen to and in order.
    #[must_use]
    pub fn in_order(&self) -> usize {
        self.stations.iter().filter(|s| s.walked.as_ref().is_some_and(|w| w.in_order)).count()
    }

    /// The station of that id or, where none has it, of that number on the walk, from 1.
    #[must_use]
    pub fn find(&self, asked: &str) -> Option<&Station> {
        self.stations.iter().find(|s| s.id == asked).or_else(|| {
            let number: usize = asked.parse().ok()?;
            self.stations.get(number.checked_sub(1)?)
        })
    }
}

/// The walk at a stage, with findings that stand there or begin up to `until`.
///
/// Findings from *watch* up and all that is unknown have a station; what only follows from another is
/// counted there.
#[must_use]
pub fn walk(
    review: &Review,
    record: &Record,
    kind: PermitKind,
    (stage, until): (usize, usize),
) -> Walk {
    let mut stations = Vec::new();
    let Some(standing) = review.sequence.stages.get(stage) else {
        return Walk {
            job: review.assembly.scene.title.clone(),
            stage,
            until,
            step: String::new(),
            stations,
        };
    };
    hold(review, record, kind, stage, &mut stations);
    by_eye(review, kind, stage, &mut stations);
    findings(review, (stage, until), &mut stations);
    uninspected(review, record, stage, &mut stations);
    for station in &mut stations {
        station.walked = record.walked.iter().rev().find(|w| w.station == station.id).cloned();
        let ids: Vec<MemberId> =
            station.members.iter().filter_map(|name| review.assembly.find(name)).collect();
        if let Some(at) = middle(&review.assembly, &ids) {
            station.at = Some(at.coords.into());
            station.eye = Some(eye(&review.assembly, standing, &at).coords.into());
        }
    }
    Walk {
        job: review.assembly.scene.title.clone(),
        stage,
        until,
        step: standing.step.clone(),
        stations: route(stations),
    }
}

impl Station {
    fn new(id: String, kind: StationKind, title: String, stage: usize) -> Self {
        Self {
            id,
            kind,
            title,
            severity: None,
            unknown: false,
            look: Vec::new(),
            known: Vec::new(),
            members: Vec::new(),
            stage,
            at: None,
            eye: None,
            walked: None,
        }
    }
}

/// What only eyes can tell, as far as it belongs to this stage of the work.
fn by_eye(review: &Review, kind: PermitKind, stage: usize, stations: &mut Vec<Station>) {
    let standing = &review.sequence.stages[stage];
    let now = placing_now(standing, kind);
    for item in by_eye::items(&review.assembly).into_iter().filter(|i| now.contains(&i.when)) {
        let title = format!("By eye: {}", item.name.replace('-', " "));
        let mut station =
            Station::new(format!("eye:{}", item.name), StationKind::ByEye, title, stage);
        station.look = vec![item.look.to_owned(), item.why.to_owned()];
        let seen = match item.seen {
            Seen::Print => "",
            Seen::Memory => " (from memory)",
            Seen::Practice => " (common practice)",
        };
        station.known = vec![format!("{}{seen}", item.clause)];
        stations.push(station);
    }
}

/// Which items belong to a stage: while nothing is placed those of erecting and, before a permit to
/// load, those before placing; with concrete placed in this step those while placing; later those
/// after it.
fn placing_now(stage: &Stage, kind: PermitKind) -> Vec<When> {
    let concrete = stage.loads.iter().filter(|l| l.text.kind == LoadKind::Concrete);
    let newest = concrete.map(|l| l.since_step).max();
    let hard = stage.strip.slabs.iter().any(|s| matches!(s, SlabNow::Carries(_)));
    match newest {
        Some(step) if step == stage.index => vec![When::WhilePlacing],
        Some(_) => vec![When::AfterPlacing],
        None if kind == PermitKind::Strike && hard => vec![When::AfterPlacing],
        None if kind == PermitKind::Load => vec![When::Erecting, When::BeforePlacing],
        None => vec![When::Erecting],
    }
}

fn hold(
    review: &Review,
    record: &Record,
    kind: PermitKind,
    stage: usize,
    stations: &mut Vec<Station>,
) {
    for point in hold_points(record, kind, &review.sequence) {
        let mut station =
            Station::new(format!("hold:{}", point.id), StationKind::HoldPoint, point.title, stage);
        station.look = point.look;
        station.known = vec![match point.released {
            Some(r) => format!("released by {} on {}: {}", r.by, r.on, r.evidence.join("; ")),
            None => "not released".to_owned(),
        }];
        stations.push(station);
    }
}

fn findings(review: &Review, (stage, until): (usize, usize), stations: &mut Vec<Station>) {
    for (index, finding) in review.findings.iter().enumerate() {
        let there = finding.from_stage <= until && stage <= finding.last_stage;
        if !there
            || finding.root.is_some()
            || !(finding.unknown || finding.severity >= Severity::Watch)
        {
            continue;
        }
        let first = finding.subjects.first().map_or("", String::as_str);
        let id = format!("{}@{}:{first}", finding.code, finding.from_step);
        let mut station = Station::new(
            id,
            StationKind::Finding,
            finding.headline.clone(),
            finding.from_stage.max(stage),
        );
        station.severity = Some(finding.severity);
        station.unknown = finding.unknown;
        station.look = look_for(finding);
        station.members.clone_from(&finding.subjects);
        if let Some(cure) = finding.cures.first() {
            station.known.push(format!("What puts it right: {cure}"));
        }
        let follow = review.findings.iter().filter(|f| f.root == Some(index)).count();
        if follow > 0 {
            station.known.push(format!("{follow} more follow from it"));
        }
        if finding.from_stage > stage {
            station.known.push(format!("Not yet: it comes with step {}", finding.from_step));
        }
        if let Some((reason, by)) = &finding.accepted {
            station.known.push(format!("Accepted by {by}: {reason}"));
        }
        stations.push(station);
    }
}

/// Parts that are not inspected and in order, one station a grid line of a block.
fn uninspected(review: &Review, record: &Record, stage: usize, stations: &mut Vec<Station>) {
    let assembly = &review.assembly;
    let units = assembly.scene.units;
    let parts = parts_at(assembly, &review.sequence.stages[stage], record, &review.pack, units);
    let mut lines: BTreeMap<(String, usize), Vec<&crate::record::PartState>> = BTreeMap::new();
    for part in parts.parts.iter().filter(|p| !p.wants.is_empty()) {
        let member = assembly.member(part.member);
        let block = member.block.clone().unwrap_or_default();
        lines.entry((block, line_of(assembly, member))).or_default().push(part);
    }
    for ((block, line), parts) in lines {
        let name = assembly.grid_lines.get(line).map_or("", |l| l.name.as_str());
        let (id, title) = match (block.as_str(), name) {
            ("", _) => ("parts:single".to_owned(), "Single members to look at".to_owned()),
            (block, "") => (format!("parts:{block}"), format!("Parts of {block} to look at")),
            (block, name) => (
                format!("parts:{block}:{name}"),
                format!("Line {name} of {block}: parts to look at"),
            ),
        };
        let mut station = Station::new(id, StationKind::Parts, title, stage);
        let mut counts = BTreeMap::new();
        let mut reasons: BTreeMap<&str, usize> = BTreeMap::new();
        for part in &parts {
            *counts.entry(assembly.member(part.member).role).or_insert(0) += 1;
            part.wants.iter().for_each(|want| *reasons.entry(want).or_default() += 1);
        }
        let counted: Vec<String> =
            counts.iter().map(|(role, n)| format!("{} {n}", role_words(*role))).collect();
        station.look = vec![
            format!("{}.", crate::checks::support::words::sentence(&counted.join(", "))),
            "Posts: plumb both ways, pin and collar home, jack as drawn, plate flat on its sill."
                .to_owned(),
            "All else: the right part, undamaged, couplers, wedges and locks home.".to_owned(),
        ];
        station.known = reasons.iter().map(|(why, n)| format!("{n}: {why}")).collect();
        station.members = parts.iter().map(|p| assembly.name(p.member).to_owned()).collect();
        stations.push(station);
    }
}

/// The first of the grid lines through the member's first end, by its place in the list; past the end
/// of the list where there is none.
fn line_of(assembly: &Assembly, member: &Member) -> usize {
    let none = assembly.grid_lines.len();
    let (Some((grid, _)), Some(block)) = (&member.grid, &member.block) else { return none };
    let post = assembly.find(&format!("{block}.post.{grid}")).map(|id| assembly.member(id).ends[0]);
    let at = post.unwrap_or(member.ends[0]);
    assembly
        .grid_lines
        .iter()
        .position(|line| {
            let [a, b] = &line.ends;
            let (dx, dy) = (b.x - a.x, b.y - a.y);
            let length = dx.hypot(dy).max(1e-9);
            let aside = ((at.x - a.x) * dy - (at.y - a.y) * dx).abs() / length;
            &line.block == block && grid.starts_with(&line.name) && aside < 0.01
        })
        .unwrap_or(none)
}
