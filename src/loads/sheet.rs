//! Deck sheets: area and point loads handed to the joists and fillers beneath, strip by strip.
//!
//! A sheet spans square to what it rests on. Each strip between two neighbouring supports is a
//! simple span; a strip past the last support turns about it (lever rule on the last two), so that
//! the support behind is relieved or lifts. Along a support the load spreads over the stretch it
//! lies on.

use super::area::{Plan, extent, half_plane, rectangle, size_and_centre};
use super::sheet_range::{people_bounds, people_on, ratios};
use super::{BeamLoad, RESTS, carriers};
use crate::assembly::{Assembly, JointId, Member, MemberId};
use crate::sequence::Stage;
use crate::units::Force;

/// Something on a sheet.
#[derive(Clone, Debug, PartialEq)]
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
pub(super) struct Line {
    pub s: f64,
    /// Their places in [`Lines::parts`].
    parts: std::ops::Range<usize>,
}

/// The lines a sheet rests on, sorted across.
pub(super) struct Lines {
    pub along: Plan,
    pub across: Plan,
    lines: Vec<Line>,
    parts: Vec<Part>,
}

fn dot(p: Plan, q: Plan) -> f64 {
    p[0] * q[0] + p[1] * q[1]
}

fn parallel(a: Plan, b: Plan) -> bool {
    (a[0] * b[1] - a[1] * b[0]).abs() < 0.1
}

/// Distance in metres within which two supports lie on one line.
const ONE_LINE: f64 = 0.02;

impl Lines {
    fn new(assembly: &Assembly, stage: &Stage, supports: &[JointId]) -> Option<Self> {
        let direction = |j: &JointId| -> Option<Plan> {
            let ends = &assembly.member(assembly.joint(*j).carrier?).ends;
            let (x, y) = (ends[1].x - ends[0].x, ends[1].y - ends[0].y);
            let run = x.hypot(y);
            (run > 0.1).then(|| [x / run, y / run])
        };
        let alike =
            |d: Plan| supports.iter().filter_map(direction).filter(|&e| parallel(d, e)).count();
        // The direction most supports share; the first where they tie.
        let mut along = supports.iter().find_map(direction)?;
        let mut most = alike(along);
        if most < supports.len() {
            for d in supports.iter().filter_map(direction) {
                let count = alike(d);
                if count > most {
                    (along, most) = (d, count);
                }
            }
        }
        let across = [-along[1], along[0]];
        let mut found: Vec<(f64, Part)> = Vec::with_capacity(supports.len());
        for &joint in supports {
            let Some(carrier) = assembly.joint(joint).carrier else { continue };
            if !direction(&joint).is_some_and(|d| parallel(d, along)) {
                continue;
            }
            let carrier = assembly.member(carrier);
            let plan = |i: usize| [carrier.ends[i].x, carrier.ends[i].y];
            let part = Part {
                joint,
                ends: (dot(plan(0), along), dot(plan(1), along)),
                length: carrier.length(),
                holds: carriers::passes(assembly, stage, joint)
                    .and_then(|p| p.uplift)
                    .map_or(0.0, Force::si),
            };
            found.push((0.5 * (dot(plan(0), across) + dot(plan(1), across)), part));
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.joint.cmp(&b.1.joint)));
        let mut lines: Vec<Line> = Vec::with_capacity(found.len());
        for (i, (s, _)) in found.iter().enumerate() {
            match lines.last_mut() {
                Some(line) if s - line.s < ONE_LINE => line.parts.end = i + 1,
                _ => lines.push(Line { s: *s, parts: i..i + 1 }),
            }
        }
        let parts = found.into_iter().map(|(_, part)| part).collect();
        Some(Self { along, across, lines, parts })
    }

    fn parts(&self, line: &Line) -> &[Part] {
        &self.parts[line.parts.clone()]
    }
}

/// Where a sheet's supports lie across it: stations of the lines, and its own two edges.
pub(crate) struct Across {
    /// Sorted, with the joints of each line.
    pub lines: Vec<(f64, Vec<JointId>)>,
    pub edges: (f64, f64),
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
    let found = Lines::new(assembly, stage, &supports)?;
    let outline = outline(assembly, assembly.member(sheet));
    Some(Across {
        lines: found
            .lines
            .iter()
            .map(|l| (l.s, found.parts(l).iter().map(|p| p.joint).collect()))
            .collect(),
        edges: extent(&outline, found.across),
    })
}

/// A piece of load after cutting at the supports.
pub(super) struct Cut {
    pub s: f64,
    /// How far it reaches across.
    pub reach: (f64, f64),
    pub v: (f64, f64),
    pub centre: f64,
    pub force: f64,
}

/// What a sheet hands down of its own weight, of loads, and of people that may be on it, newtons.
pub(super) fn hand_down(
    assembly: &Assembly,
    stage: &Stage,
    sheet: &Member,
    supports: &[JointId],
    loads: &[&SheetLoad],
    people: f64,
) -> HandedDown {
    let mut out = HandedDown::default();
    let Some(mut on) = Lines::new(assembly, stage, supports) else {
        out.no_path = true;
        return out;
    };
    let axis = axis_of(assembly, sheet);
    loop {
        let mut cuts = Vec::with_capacity(loads.len() + on.lines.len());
        if sheet.weight.is_finite() && sheet.weight > 0.0 {
            cut_weight(sheet, axis, &on, &mut cuts);
        }
        for load in loads {
            cut(load, &on, &mut cuts);
        }
        let sums = line_sums(&cuts, &on.lines);
        let noise = 1e-9 * (1.0 + cuts.iter().map(|c| c.force.abs()).sum::<f64>());
        let worst = sums
            .iter()
            .enumerate()
            .filter(|(i, r)| {
                **r < -noise && {
                    let holds: f64 = on.parts(&on.lines[*i]).iter().map(|p| p.holds).sum();
                    -**r > holds + noise
                }
            })
            .min_by(|a, b| a.1.total_cmp(b.1))
            .map(|(i, r)| (i, *r));
        if let Some((i, r)) = worst.filter(|_| on.lines.len() > 1) {
            let line = on.lines.remove(i);
            let share = r / line.parts.len() as f64;
            out.lifting.extend(on.parts(&line).iter().map(|p| (p.joint, share)));
            continue;
        }
        if let [only] = &on.lines[..] {
            let moment: f64 = cuts.iter().map(|c| c.force * (c.s - only.s)).sum();
            out.no_path = moment.abs() > 1e-6 * (1.0 + sums[0].abs());
        }
        out.to.reserve(2 * on.parts.len());
        let ratios = ratios(&cuts, &on.lines, &sums);
        for c in &cuts {
            for (line, share) in shares(&on.lines, c.s) {
                if share != 0.0 {
                    let parts = on.parts(&on.lines[line]);
                    let force = c.force * share;
                    let (a, b) = (force * ratios[line].0, force * ratios[line].1);
                    along_line(parts, c, [force, a.min(b), a.max(b)], sheet.id, &mut out.to);
                }
            }
        }
        if people > 0.0 {
            let whole = people_on(sheet, axis, &on, people);
            for (line, (least, greatest)) in
                people_bounds(&whole, &on.lines).into_iter().enumerate()
            {
                let parts = on.parts(&on.lines[line]);
                along_line(parts, &whole, [0.0, least, greatest], sheet.id, &mut out.to);
            }
        }
        return out;
    }
}

/// Inner support lines, where areas are cut.
fn inner(lines: &[Line]) -> &[Line] {
    if lines.len() > 2 { &lines[1..lines.len() - 1] } else { &[] }
}

/// A sheet's own weight: a rectangle, cut without polygons where it lies square to its supports.
fn cut_weight(sheet: &Member, axis: Plan, on: &Lines, out: &mut Vec<Cut>) {
    let plan = |i: usize| [sheet.ends[i].x, sheet.ends[i].y];
    let (a, b) = (plan(0), plan(1));
    let skew = dot(axis, on.along);
    if skew.abs() > 1e-9 && skew.abs() < 1.0 - 1e-9 {
        cut(&SheetLoad::Patch(rectangle(a, b, axis), sheet.weight), on, out);
        return;
    }
    let order = |p: f64, q: f64| (p.min(q), p.max(q));
    let (low, high) = order(dot(a, on.across), dot(b, on.across));
    let v = order(dot(a, on.along), dot(b, on.along));
    let mut from = low;
    for limit in inner(&on.lines).iter().map(|l| l.s).chain([f64::INFINITY]) {
        let to = high.min(limit);
        if to - from > 1e-9 {
            out.push(Cut {
                s: 0.5 * (from + to),
                reach: (from, to),
                v,
                centre: 0.5 * (v.0 + v.1),
                force: sheet.weight * (to - from) / (high - low),
            });
            from = to;
        }
    }
}

/// Cuts a load at every inner support line.
fn cut(load: &SheetLoad, on: &Lines, out: &mut Vec<Cut>) {
    let (along, across) = (on.along, on.across);
    match load {
        SheetLoad::Point(at, force) => {
            let v = dot(*at, along);
            let s = dot(*at, across);
            out.push(Cut { s, reach: (s, s), v: (v, v), centre: v, force: *force });
        }
        SheetLoad::Patch(polygon, force) => {
            let whole = size_and_centre(polygon).0;
            if whole <= 0.0 {
                return;
            }
            let mut rest = polygon.clone();
            for limit in inner(&on.lines).iter().map(|l| Some(l.s)).chain([None]) {
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
                        reach: extent(&strip, across),
                        v: extent(&strip, along),
                        centre: dot(centre, along),
                        force: force * area / whole,
                    });
                }
            }
        }
    }
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
    parts: &[Part],
    cut: &Cut,
    [force, least, greatest]: [f64; 3],
    sheet: MemberId,
    out: &mut Vec<(JointId, BeamLoad)>,
) {
    let covered: f64 = parts.iter().map(|p| p.overlap(cut.v)).map(|(a, b)| (b - a).max(0.0)).sum();
    if covered > 1e-6 {
        let single = parts.len() == 1;
        for part in parts {
            let (a, b) = part.overlap(cut.v);
            if b - a <= 1e-6 {
                continue;
            }
            let (from, to) = (part.station(a), part.station(b));
            let span = (from.min(to), from.max(to));
            let share = (b - a) / covered;
            let mut load = BeamLoad::spread(RESTS.into(), Some(sheet), span, force * share)
                .within(least * share, greatest * share);
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
    if let Some(part) = parts.iter().min_by(|a, b| gap(a).total_cmp(&gap(b))) {
        let at = part.station(cut.centre).clamp(0.0, part.length);
        let load = BeamLoad::point(RESTS.into(), Some(sheet), at, force);
        put(out, part.joint, load.within(least, greatest));
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
        Some((_, l)) => {
            l.force += load.force;
            l.least += load.least;
            l.greatest += load.greatest;
        }
        None => out.push((joint, load)),
    }
}
