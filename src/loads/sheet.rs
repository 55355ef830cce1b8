//! Deck sheets: area and point loads handed to the joists and fillers beneath, strip by strip.
//!
//! A sheet spans square to what it rests on. Each strip between two neighbouring supports is a
//! simple span; a strip past the last support turns about it (lever rule on the last two), so that
//! the support behind is relieved or lifts. Along a support the load spreads over the stretch it
//! lies on.

use super::area::{Plan, extent, half_plane, rectangle, size_and_centre};
use super::{BeamLoad, RESTS, carriers};
use crate::assembly::{Assembly, JointId, Member, MemberId};
use crate::sequence::Stage;

/// Something on a sheet.
#[derive(Clone, Debug)]
pub(super) enum SheetLoad {
    /// A polygon in plan with its total, newtons.
    Patch(Vec<Plan>, f64),
    Point(Plan, f64),
}

/// What a sheet hands down.
#[derive(Debug, Default)]
pub(super) struct HandedDown {
    pub to: Vec<(JointId, BeamLoad)>,
    pub lifting: Vec<(JointId, f64)>,
    /// It rests on nothing, or on one line that is not under its load.
    pub no_path: bool,
}

/// Plan axis along which a member's block lies: x turned with the block.
pub(crate) fn axis_of(assembly: &Assembly, member: &Member) -> Plan {
    let turned = member
        .block
        .as_deref()
        .and_then(|name| assembly.scene.blocks.iter().find(|b| b.name == name))
        .map_or(0.0, |b| b.turned.si());
    [turned.cos(), turned.sin()]
}

/// A sheet's outline in plan, anticlockwise.
pub(crate) fn outline(assembly: &Assembly, sheet: &Member) -> Vec<Plan> {
    let plan = |i: usize| [sheet.ends[i].x, sheet.ends[i].y];
    rectangle(plan(0), plan(1), axis_of(assembly, sheet))
}

/// One stretch of a support under a sheet.
struct Part {
    joint: JointId,
    /// Coordinates along the support's direction of the carrier's two ends, and its length.
    ends: (f64, f64),
    length: f64,
    holds: f64,
}

impl Part {
    fn station(&self, v: f64) -> f64 {
        let run = self.ends.1 - self.ends.0;
        if run.abs() > 1e-9 { (v - self.ends.0) / run * self.length } else { 0.0 }
    }
    fn overlap(&self, (low, high): (f64, f64)) -> (f64, f64) {
        (low.max(self.ends.0.min(self.ends.1)), high.min(self.ends.0.max(self.ends.1)))
    }
}

/// Supports on one line, at one distance across.
struct Line {
    s: f64,
    parts: Vec<Part>,
}

/// The lines a sheet rests on, sorted across; direction along them and across them.
fn lines(
    assembly: &Assembly,
    stage: &Stage,
    supports: &[JointId],
) -> Option<(Plan, Plan, Vec<Line>)> {
    let direction = |j: JointId| -> Option<Plan> {
        let d = assembly.member(assembly.joint(j).carrier?).direction();
        let run = d.x.hypot(d.y);
        (run > 0.1).then(|| [d.x / run, d.y / run])
    };
    let parallel = |a: Plan, b: Plan| (a[0] * b[1] - a[1] * b[0]).abs() < 0.1;
    let directions: Vec<(JointId, Plan)> =
        supports.iter().filter_map(|&j| Some((j, direction(j)?))).collect();
    // The direction most supports share; the first where they tie.
    let along = directions
        .iter()
        .enumerate()
        .max_by_key(|(i, (_, d))| {
            let alike = directions.iter().filter(|(_, e)| parallel(*d, *e)).count();
            (alike, std::cmp::Reverse(*i))
        })
        .map(|(_, &(_, d))| d)?;
    let across = [-along[1], along[0]];
    let dot = |p: Plan, q: Plan| p[0] * q[0] + p[1] * q[1];
    let mut out: Vec<Line> = Vec::new();
    for &(joint, d) in &directions {
        if !parallel(d, along) {
            continue;
        }
        let carrier = assembly.member(assembly.joint(joint).carrier?);
        let plan = |i: usize| [carrier.ends[i].x, carrier.ends[i].y];
        let part = Part {
            joint,
            ends: (dot(plan(0), along), dot(plan(1), along)),
            length: carrier.length(),
            holds: carriers::passes(assembly, stage, joint)
                .and_then(|p| p.uplift)
                .map_or(0.0, |f| f.si()),
        };
        let s = 0.5 * (dot(plan(0), across) + dot(plan(1), across));
        match out.iter_mut().find(|l| (l.s - s).abs() < 0.02) {
            Some(line) => line.parts.push(part),
            None => out.push(Line { s, parts: vec![part] }),
        }
    }
    out.sort_by(|a, b| a.s.total_cmp(&b.s));
    Some((along, across, out))
}

/// Where a sheet's supports lie across it: stations of the lines, and its own two edges.
pub(crate) struct Across {
    /// Sorted, with the joints of each line.
    pub lines: Vec<(f64, Vec<JointId>)>,
    pub edges: (f64, f64),
    /// Its size along the lines.
    pub width: f64,
}

pub(crate) fn across(assembly: &Assembly, stage: &Stage, sheet: MemberId) -> Option<Across> {
    let supports: Vec<JointId> = assembly
        .joints_of(sheet)
        .iter()
        .copied()
        .filter(|&j| {
            let joint = assembly.joint(j);
            joint.member == sheet && carriers::bears(assembly, stage, joint)
        })
        .collect();
    let (along, across, lines) = lines(assembly, stage, &supports)?;
    let outline = outline(assembly, assembly.member(sheet));
    let (v0, v1) = extent(&outline, along);
    Some(Across {
        lines: lines
            .into_iter()
            .map(|l| (l.s, l.parts.iter().map(|p| p.joint).collect()))
            .collect(),
        edges: extent(&outline, across),
        width: v1 - v0,
    })
}

/// A piece of load after cutting at the supports.
struct Cut {
    s: f64,
    v: (f64, f64),
    centre: f64,
    force: f64,
}

pub(super) fn hand_down(
    assembly: &Assembly,
    stage: &Stage,
    sheet: MemberId,
    supports: &[JointId],
    loads: &[SheetLoad],
) -> HandedDown {
    let mut out = HandedDown::default();
    let Some((along, across, mut lines)) = lines(assembly, stage, supports) else {
        out.no_path = true;
        return out;
    };
    loop {
        let cuts = cut(loads, along, across, &lines);
        let sums = line_sums(&cuts, &lines);
        let noise = 1e-9 * (1.0 + cuts.iter().map(|c| c.force.abs()).sum::<f64>());
        let worst = sums
            .iter()
            .enumerate()
            .filter(|(i, r)| {
                let holds: f64 = lines[*i].parts.iter().map(|p| p.holds).sum();
                **r < -noise && -**r > holds + noise
            })
            .min_by(|a, b| a.1.total_cmp(b.1))
            .map(|(i, r)| (i, *r));
        if let Some((i, r)) = worst.filter(|_| lines.len() > 1) {
            let line = lines.remove(i);
            let share = r / line.parts.len() as f64;
            out.lifting.extend(line.parts.iter().map(|p| (p.joint, share)));
            continue;
        }
        if let [only] = &lines[..] {
            let moment: f64 = cuts.iter().map(|c| c.force * (c.s - only.s)).sum();
            out.no_path = moment.abs() > 1e-6 * (1.0 + sums[0].abs());
        }
        for c in &cuts {
            for (line, share) in shares(&lines, c.s) {
                if share != 0.0 {
                    along_line(&lines[line], c, c.force * share, sheet, &mut out.to);
                }
            }
        }
        return out;
    }
}

/// Cuts areas at every inner support line.
fn cut(loads: &[SheetLoad], along: Plan, across: Plan, lines: &[Line]) -> Vec<Cut> {
    let dot = |p: Plan, q: Plan| p[0] * q[0] + p[1] * q[1];
    let mut out = Vec::new();
    for load in loads {
        match load {
            SheetLoad::Point(at, force) => {
                let v = dot(*at, along);
                out.push(Cut { s: dot(*at, across), v: (v, v), centre: v, force: *force });
            }
            SheetLoad::Patch(polygon, force) => {
                let whole = size_and_centre(polygon).0;
                if whole <= 0.0 {
                    continue;
                }
                let mut rest = polygon.clone();
                let inner = if lines.len() > 2 { &lines[1..lines.len() - 1] } else { &[] };
                for limit in inner.iter().map(|l| Some(l.s)).chain([None]) {
                    let strip = match limit {
                        Some(s) => {
                            let strip = half_plane(&rest, across, s);
                            rest = half_plane(&rest, [-across[0], -across[1]], -s);
                            strip
                        }
                        None => std::mem::take(&mut rest),
                    };
                    let (area, centre) = size_and_centre(&strip);
                    if area > 1e-9 {
                        out.push(Cut {
                            s: dot(centre, across),
                            v: extent(&strip, along),
                            centre: dot(centre, along),
                            force: force * area / whole,
                        });
                    }
                }
            }
        }
    }
    out
}

/// The one or two lines that carry a load at a distance across, by lever.
fn shares(lines: &[Line], s: f64) -> [(usize, f64); 2] {
    if lines.len() < 2 {
        return [(0, 1.0), (0, 0.0)];
    }
    let mut i = 0;
    while i + 2 < lines.len() && s > lines[i + 1].s {
        i += 1;
    }
    let second = (s - lines[i].s) / (lines[i + 1].s - lines[i].s);
    [(i, 1.0 - second), (i + 1, second)]
}

fn line_sums(cuts: &[Cut], lines: &[Line]) -> Vec<f64> {
    let mut sums = vec![0.0; lines.len()];
    for c in cuts {
        for (line, share) in shares(lines, c.s) {
            sums[line] += c.force * share;
        }
    }
    sums
}

/// Puts a force on the stretches of a line that lie beside it; on the nearest one if none does.
fn along_line(
    line: &Line,
    cut: &Cut,
    force: f64,
    sheet: MemberId,
    out: &mut Vec<(JointId, BeamLoad)>,
) {
    let covered: f64 =
        line.parts.iter().map(|p| p.overlap(cut.v)).map(|(a, b)| (b - a).max(0.0)).sum();
    if covered > 1e-6 {
        let single = line.parts.len() == 1;
        for part in &line.parts {
            let (a, b) = part.overlap(cut.v);
            if b - a <= 1e-6 {
                continue;
            }
            let (from, to) = (part.station(a), part.station(b));
            let span = (from.min(to), from.max(to));
            let mut load =
                BeamLoad::spread(RESTS.into(), Some(sheet), span, force * (b - a) / covered);
            if single && (cut.centre - 0.5 * (cut.v.0 + cut.v.1)).abs() > 1e-9 {
                load.centre = part.station(cut.centre.clamp(a, b));
            }
            put(out, part.joint, load);
        }
        return;
    }
    let gap = |p: &Part| {
        let (a, b) = p.overlap(cut.v);
        (a - b).max(0.0)
    };
    if let Some(part) = line.parts.iter().min_by(|a, b| gap(a).total_cmp(&gap(b))) {
        let at = part.station(cut.centre).clamp(0.0, part.length);
        put(out, part.joint, BeamLoad::point(RESTS.into(), Some(sheet), at, force));
    }
}

/// Adds to an equal stretch of the same joint, so that lists stay short.
fn put(out: &mut Vec<(JointId, BeamLoad)>, joint: JointId, load: BeamLoad) {
    let alike = |l: &BeamLoad| {
        (l.from - load.from).abs() < 1e-9
            && (l.to - load.to).abs() < 1e-9
            && (l.centre - load.centre).abs() < 1e-9
    };
    match out.iter_mut().find(|(j, l)| *j == joint && alike(l)) {
        Some((_, l)) => l.force += load.force,
        None => out.push((joint, load)),
    }
}
