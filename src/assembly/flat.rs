//! Sills and sheets in plan.

use super::draft::{Draft, NewJoint};
use super::meet::TOLERANCE;
use super::model::{JointKind, MemberId, Point};

/// Middle of the top face.
pub(super) fn middle(draft: &Draft<'_>, flat: MemberId) -> Point {
    nalgebra::center(&draft.member(flat).ends[0], &draft.member(flat).ends[1])
}

/// Directions of the sides in plan: the scene's, or those of its turned block.
fn sides(draft: &Draft<'_>, flat: MemberId) -> [[f64; 2]; 2] {
    let block = draft.member(flat).block.as_deref();
    let turned = block
        .and_then(|name| draft.scene.blocks.iter().find(|b| b.name == name))
        .map_or(0.0, |b| b.turned.si());
    let (sin, cos) = turned.sin_cos();
    [[cos, sin], [-sin, cos]]
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// A point seen from the first corner, along the two sides, and the size that way.
fn within(draft: &Draft<'_>, flat: MemberId, point: &Point) -> [(f64, f64); 2] {
    let [from, to] = draft.member(flat).ends;
    sides(draft, flat).map(|side| {
        let size = dot([to.x - from.x, to.y - from.y], side);
        let at = dot([point.x - from.x, point.y - from.y], side);
        if size < 0.0 { (-at, -size) } else { (at, size) }
    })
}

/// Whether a point lies over or under it in plan.
pub(super) fn holds(draft: &Draft<'_>, flat: MemberId, point: &Point) -> bool {
    within(draft, flat, point).iter().all(|(at, size)| (-1e-6..=size + 1e-6).contains(at))
}

/// Rests a sheet on a beam that runs along beneath it.
pub(super) fn sheet_on(draft: &mut Draft<'_>, sheet: MemberId, beam: MemberId) {
    let top = draft.member(sheet).ends[0].z;
    let thick = draft.library.sheets.get(&draft.member(sheet).part).map(|s| s.size.2.si());
    let depth = draft.library.beams.get(&draft.member(beam).part).map(|b| b.depth.si());
    let (Some(thick), Some(depth)) = (thick, depth) else { return };
    let level = draft.member(beam).ends[0].z;
    if !(top - thick - depth - TOLERANCE..=top + TOLERANCE).contains(&level) {
        return;
    }
    let Some((low, high)) = overlap(draft, sheet, beam) else { return };
    let carrier_at = (low + high) / 2.0;
    let at = draft.member(beam).at(carrier_at);
    // Metres across the beam from the sheet's first corner.
    let [a, b] = within(draft, sheet, &at);
    let run = draft.member(beam).direction();
    let [side, _] = sides(draft, sheet);
    let station = if dot([run.x, run.y], side).abs() < 0.5 { a.0 } else { b.0 };
    draft.join(NewJoint {
        kind: JointKind::Rest,
        member: (sheet, station.max(0.0)),
        carrier: Some((beam, carrier_at)),
        at,
        clip: None,
        passes: super::deck::SHEET_PASSES,
        found: true,
    });
}

/// Stations of a beam between which it lies under a sheet (edge included); none if that is less
/// than the tolerance.
fn overlap(draft: &Draft<'_>, sheet: MemberId, beam: MemberId) -> Option<(f64, f64)> {
    let member = draft.member(beam);
    let (from, to) = (within(draft, sheet, &member.ends[0]), within(draft, sheet, &member.ends[1]));
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    for (start, end) in from.iter().zip(&to) {
        let (size, run) = (start.1, end.0 - start.0);
        if run.abs() < 1e-9 {
            if !(-TOLERANCE..=size + TOLERANCE).contains(&start.0) {
                return None;
            }
            continue;
        }
        let (a, b) = ((0.0 - start.0) / run, (size - start.0) / run);
        low = low.max(a.min(b));
        high = high.min(a.max(b));
    }
    let length = member.length();
    (high - low > TOLERANCE / length.max(TOLERANCE)).then_some((low * length, high * length))
}
