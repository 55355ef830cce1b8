//! Fillers and sheets inside the bays of a block.

use super::beams::choose;
use super::block::{LEVEL_WITHIN, Layout, NewMember, other};
use super::draft::{BEARS, Draft, NewJoint};
use super::model::{JointKind, MemberId, Point, Role, Vector};
use crate::equipment::lookup::PartKind;
use crate::equipment::model::Passes;
use crate::scene::GridPoint;
use crate::scene::model::Axis;

/// Nailed down: holds both ways in the plane of the deck.
const NAILED: Passes = Passes { bearing: true, along: true, across: true, uplift: None };

/// What a sheet's rests pass: merely laid, nailed, let down.
pub(super) const SHEET_PASSES: [Passes; 3] = [BEARS, NAILED, BEARS];

/// Makes fillers and sheets, bay after bay.
pub(super) fn lay_out(draft: &mut Draft<'_>, layout: &Layout<'_>) {
    let sheet = layout.block.sheet.as_deref();
    if let Some(part) = sheet.filter(|part| !draft.library.sheets.contains_key(*part)) {
        draft.no_part(&format!("{}.sheet", layout.path), PartKind::Sheet, part);
    }
    for low in layout.points() {
        let Some(corners) = layout.corners(low) else { continue };
        let lines = fillers(draft, layout, low, corners);
        if let Some(part) = sheet {
            sheets(draft, layout, low, corners, part, &lines);
        }
    }
}

/// A level bay with a post at each corner.
fn is_whole(draft: &Draft<'_>, layout: &Layout<'_>, corners: [GridPoint; 4]) -> bool {
    layout.all_posts(corners).is_some_and(|posts| {
        let levels = posts.map(|p| draft.member(p.id).ends[1].z);
        levels.iter().all(|z| (z - levels[0]).abs() <= LEVEL_WITHIN)
    })
}

/// The lines of support across a bay, from its first joist line to its last: share of the way
/// along the ledgers, and the joist or filler there.
type Lines = Vec<(f64, Option<MemberId>)>;

fn fillers(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    low: GridPoint,
    corners: [GridPoint; 4],
) -> Lines {
    let axis = layout.joist_axis();
    let along = other(axis);
    let joist = |at: Option<GridPoint>| at.and_then(|at| layout.beams.get(&(axis, at)).copied());
    let mut lines = vec![(0.0, joist(Some(low)))];
    let count = layout.block.fillers;
    let ledgers = [Some(low), layout.next(low, axis)]
        .map(|at| at.and_then(|at| layout.beams.get(&(along, at)).copied()));
    for k in 1..=count {
        let name = format!("{}.{k}", layout.between("filler", low, corners[3]));
        let omitted = layout.edits.omits(&name);
        let share = f64::from(k) / f64::from(count + 1);
        let made = match ledgers {
            [Some(a), Some(b)] if !omitted && is_whole(draft, layout, corners) => {
                filler(draft, layout, low, corners, &name, share, [a, b])
            }
            _ => None,
        };
        lines.push((share, made));
    }
    lines.push((1.0, joist(layout.next(low, along))));
    lines
}

fn filler(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    low: GridPoint,
    corners: [GridPoint; 4],
    name: &str,
    share: f64,
    ledgers: [MemberId; 2],
) -> Option<MemberId> {
    if layout.block.joist.is_empty() {
        let what = format!("block {} has fillers but names no joist part", layout.block.name);
        draft.leave_out(what, Vec::new(), &layout.written_at);
        return None;
    }
    let axis = layout.joist_axis();
    let edit = layout.edits.of(name);
    let span = layout.bay(low, axis);
    let parts = &layout.block.joist;
    if parts.iter().any(|part| !draft.library.beams.contains_key(part)) {
        return None;
    }
    let part = choose(draft, layout, (axis, low), "filler", parts, edit.part.as_deref(), span)?;
    let beam = draft.library.beams.get(&part)?;
    let far = layout.next(low, axis)?;
    let along = other(axis);
    let ends = [low, far].map(|line| {
        let next = layout.next(line, along).unwrap_or(line);
        let (a, b) = (layout.posts.get(&line), layout.posts.get(&next));
        a.zip(b).map(|(a, b)| a.head + (b.head - a.head) * share)
    });
    let [Some(from), Some(to)] = ends else { return None };
    let new = NewMember {
        role: Role::Filler,
        grid: (low, corners[3]),
        part,
        ends: [from, to],
        mass: beam.mass.si(),
    };
    let id = draft.add(layout.make(name, new, &edit));
    let length = draft.member(id).length();
    for (station, ledger, at) in [(0.0, ledgers[0], from), (length, ledgers[1], to)] {
        let carrier_at = (at - draft.member(ledger).ends[0]).norm();
        draft.join(NewJoint {
            kind: JointKind::Rest,
            member: (id, station),
            carrier: Some((ledger, carrier_at)),
            at,
            clip: None,
            passes: [beam.resting; 3],
            found: false,
        });
    }
    Some(id)
}

/// Covers a bay with sheets that end on lines of support, cut to fit.
fn sheets(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    low: GridPoint,
    corners: [GridPoint; 4],
    part: &str,
    lines: &Lines,
) {
    let Some(data) = draft.library.sheets.get(part) else { return };
    let axis = layout.joist_axis();
    let (span, width) = (layout.bay(low, axis), layout.bay(low, other(axis)));
    let spacing = width / (lines.len() - 1) as f64;
    let each = ((data.size.1.si() + 1e-6) / spacing).floor() as usize;
    if each == 0 {
        let say = |m| layout.units.length(m);
        let (wide, due) = (say(data.size.1.si()), say(spacing));
        let what =
            format!("sheet {part} is {wide} wide and does not reach over joists {due} apart");
        return draft.leave_out(what, Vec::new(), &layout.written_at);
    }
    let rows = ((span / data.size.0.si() - 1e-6).ceil() as usize).max(1);
    let columns = (lines.len() - 1).div_ceil(each);
    let whole = is_whole(draft, layout, corners);
    let mut number = 0;
    for column in 0..columns {
        let (first, last) = (column * each, ((column + 1) * each).min(lines.len() - 1));
        for row in 0..rows {
            number += 1;
            let name = format!("{}.{number}", layout.between("sheet", low, corners[3]));
            if layout.edits.omits(&name) || !whole {
                continue;
            }
            let share = |r: usize| r as f64 / rows as f64;
            let rows = (share(row), share(row + 1));
            sheet(draft, layout, (low, corners[3]), &name, part, &lines[first..=last], rows);
        }
    }
}

fn sheet(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    grid: (GridPoint, GridPoint),
    name: &str,
    part: &str,
    lines: &[(f64, Option<MemberId>)],
    rows: (f64, f64),
) {
    let edit = layout.edits.of(name);
    let part = edit.part.as_deref().unwrap_or(part).to_owned();
    let Some(data) = draft.library.sheets.get(&part) else {
        return draft.no_part(&format!("{}.overrides", layout.path), PartKind::Sheet, &part);
    };
    let (Some(first), Some(last)) = (lines.first(), lines.last()) else { return };
    let axis = layout.joist_axis();
    let (span, width) = (layout.bay(grid.0, axis), layout.bay(grid.0, other(axis)));
    let Frame { corner, joist_way, ledger_way } = frame(layout, grid.0);
    let carriers: Vec<MemberId> = lines.iter().filter_map(|(_, id)| *id).collect();
    let depth = carriers
        .iter()
        .filter_map(|id| draft.library.beams.get(&draft.member(*id).part))
        .map(|beam| beam.depth.si())
        .fold(0.0, f64::max);
    let rise = Vector::z() * (depth / 2.0 + data.size.2.si());
    let place = |along: f64, across: f64| {
        corner + joist_way * (along * span) + ledger_way * (across * width)
    };
    let ends = [place(rows.0, first.0) + rise, place(rows.1, last.0) + rise];
    let cut = (rows.1 - rows.0) * span * (last.0 - first.0) * width;
    let mass = data.mass.si() * cut / (data.size.0.si() * data.size.1.si());
    let new = NewMember { role: Role::Sheet, grid, part, ends, mass };
    let id = draft.add(layout.make(name, new, &edit));
    let middle = (rows.0 + rows.1) / 2.0;
    for (share, carrier) in lines {
        let Some(carrier) = *carrier else { continue };
        let at = place(middle, *share);
        rest(draft, id, (share - first.0) * width, carrier, at);
    }
    if carriers.len() < 2 {
        // No joists to speak of: what carries it is the ledgers at the bay's ends.
        let along = other(axis);
        for (row, line) in [(rows.0, Some(grid.0)), (rows.1, layout.next(grid.0, axis))] {
            let at_ledger = row <= 0.0 || row >= 1.0;
            let ledger = line.and_then(|at| layout.beams.get(&(along, at)).copied());
            if let (true, Some(ledger)) = (at_ledger, ledger) {
                let half = (first.0 + last.0) / 2.0;
                rest(draft, id, (half - first.0) * width, ledger, place(row, half));
            }
        }
    }
}

fn rest(draft: &mut Draft<'_>, sheet: MemberId, station: f64, carrier: MemberId, at: Point) {
    let carrier_at = (at - draft.member(carrier).ends[0]).norm();
    draft.join(NewJoint {
        kind: JointKind::Rest,
        member: (sheet, station),
        carrier: Some((carrier, carrier_at)),
        at,
        clip: None,
        passes: SHEET_PASSES,
        found: false,
    });
}

/// The head at a bay's lowest corner, and the plan directions joists and ledgers run in.
fn frame(layout: &Layout<'_>, low: GridPoint) -> Frame {
    let head = layout.posts.get(&low).map_or(layout.block.head.si(), |p| p.head.z);
    let [x, y] = layout.plan(low);
    let way = |axis| {
        let [x, y] = match axis {
            Axis::X => layout.turn(1.0, 0.0),
            Axis::Y => layout.turn(0.0, 1.0),
        };
        Vector::new(x, y, 0.0)
    };
    Frame {
        corner: Point::new(x, y, head),
        joist_way: way(layout.joist_axis()),
        ledger_way: way(layout.ledger_axis()),
    }
}

struct Frame {
    corner: Point,
    joist_way: Vector,
    ledger_way: Vector,
}
