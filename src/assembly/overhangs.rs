//! Ledgers and joists that run on past the edge posts, and the clips that hold them down.
//!
//! A beam that runs on tips about its edge post and lifts off the post behind it. The clip is
//! named after the edge post it belongs to and sits at the post behind, where it can hold.

use super::block::{Layout, NewMember};
use super::draft::{Draft, NOTHING, NewJoint};
use super::model::{JointKind, MemberId, Role};
use crate::equipment::lookup::PartKind;
use crate::equipment::model::Passes;
use crate::scene::GridPoint;
use crate::scene::model::{Axis, Overhang};
use crate::scene::suggest;

/// Lengthens the beams of each overhang and clips them down.
pub(super) fn lay_out(draft: &mut Draft<'_>, layout: &Layout<'_>) {
    for (i, overhang) in layout.block.overhangs.iter().enumerate() {
        let path = format!("{}.overhangs[{i}]", layout.path);
        if let Some(clip) = &overhang.clip
            && !draft.library.clips.contains_key(clip)
        {
            draft.no_part(&format!("{path}.clip"), PartKind::Clip, clip);
            continue;
        }
        let Some((line, posts)) = edge(draft, layout, overhang, &format!("{path}.along")) else {
            continue;
        };
        let mut any = false;
        for at in posts {
            any |= run_on(draft, layout, overhang, across(line), at);
        }
        if !any {
            let what = format!("no ledger or joist runs on past {}", overhang.along);
            draft.leave_out(what, Vec::new(), &layout.written_at);
        }
    }
}

/// Which way the line itself runs, so that beams cross it the other way.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Line {
    /// An x-line, such as `M`: its posts lie along y, beams pass it along x.
    OfX,
    OfY,
}

fn across(line: Line) -> Axis {
    match line {
        Line::OfX => Axis::X,
        Line::OfY => Axis::Y,
    }
}

/// The posts of an edge line, or of a run on it.
fn edge(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    overhang: &Overhang,
    path: &str,
) -> Option<(Line, Vec<GridPoint>)> {
    let along = overhang.along.as_str();
    let all = layout.points();
    if let Some(x) = layout.grid.x.iter().position(|l| l == along) {
        return Some((Line::OfX, all.filter(|p| p.x == x).collect()));
    }
    if let Some(y) = layout.grid.y.iter().position(|l| l == along) {
        return Some((Line::OfY, all.filter(|p| p.y == y).collect()));
    }
    match layout.grid.straight(along) {
        Ok((a, b)) if a.x == b.x => {
            Some((Line::OfX, (a.y..=b.y).map(|y| GridPoint { x: a.x, y }).collect()))
        }
        Ok((a, b)) => Some((Line::OfY, (a.x..=b.x).map(|x| GridPoint { x, y: a.y }).collect())),
        Err(error) => {
            let lines = layout.grid.x.iter().chain(&layout.grid.y).map(String::as_str);
            let help = suggest::help(along, lines);
            let message = format!("\"{along}\" is no line of the block and no run on one: {error}");
            draft.problem(path, message, help);
            None
        }
    }
}

/// Lengthens the beam that ends at an edge post. False where none ends there.
fn run_on(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    overhang: &Overhang,
    axis: Axis,
    at: GridPoint,
) -> bool {
    let behind = match axis {
        Axis::X => at.x.checked_sub(1).map(|x| GridPoint { x, ..at }),
        Axis::Y => at.y.checked_sub(1).map(|y| GridPoint { y, ..at }),
    };
    let inward = |from: GridPoint| layout.beams.get(&(axis, from)).copied();
    let (before, after) = (behind.and_then(inward), inward(at));
    let (beam, back, end) = match (before, after, behind, layout.next(at, axis)) {
        (Some(beam), None, Some(back), _) => (beam, back, 1),
        (None, Some(beam), _, Some(back)) => (beam, back, 0),
        _ => return false,
    };
    let by = overhang.by.si();
    lengthen(draft, layout, beam, end, by);
    clip(draft, layout, overhang, beam, at, back);
    true
}

fn lengthen(draft: &mut Draft<'_>, layout: &Layout<'_>, beam: MemberId, end: usize, by: f64) {
    let member = &mut draft.members[beam.index()];
    let (old, outward) = (member.length(), member.direction() * if end == 1 { 1.0 } else { -1.0 });
    member.ends[end] += outward * by;
    // The part is taken as uniform: a longer piece of it weighs more by its length.
    member.weight *= (old + by) / old;
    let (name, part) = (member.name.clone(), member.part.clone());
    if end == 0 {
        draft.joints.iter_mut().filter(|j| j.member == beam).for_each(|j| j.member_at += by);
    }
    let most = draft.library.beams.get(&part).and_then(|b| b.may_overhang);
    if most.is_none_or(|most| by > most.si() + 1e-9) {
        let allowed = match most {
            Some(most) => format!("may run on {} at most", layout.units.length(most.si())),
            None => "may not run on past a post".to_owned(),
        };
        let by = layout.units.length(by);
        let what = format!("{name} runs on by {by}: its part {part} {allowed}");
        draft.leave_out(what, vec![beam], &layout.written_at);
    }
}

fn clip(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    overhang: &Overhang,
    beam: MemberId,
    at: GridPoint,
    back: GridPoint,
) {
    let Some(part) = &overhang.clip else { return };
    let name = format!("clip.{}", layout.point_name(at));
    if layout.edits.omits(&name) {
        return;
    }
    let (Some(post), Some(clip)) = (layout.posts.get(&back), draft.library.clips.get(part)) else {
        return;
    };
    let passes = Passes { uplift: Some(clip.uplift), ..NOTHING };
    let new = NewMember {
        role: Role::Clip,
        grid: (back, at),
        part: part.clone(),
        ends: [post.head; 2],
        mass: clip.mass.si(),
    };
    let mut full = name;
    if draft.find(&format!("{}.{full}", layout.block.name)).is_some() {
        // A corner post with overhangs both ways has a clip for each.
        full = layout.between("clip", back, at);
    }
    let edit = layout.edits.of(&full);
    let id = draft.add(layout.make(&full, new, &edit));
    let station = (post.head - draft.member(beam).ends[0]).norm();
    let carrier_at = draft.member(post.id).length();
    draft.join(NewJoint {
        kind: JointKind::Clip,
        member: (beam, station),
        carrier: Some((post.id, carrier_at)),
        at: post.head,
        clip: Some(id),
        passes: [NOTHING, passes, NOTHING],
        found: false,
    });
}
