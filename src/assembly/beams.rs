//! Ledgers and joists from post head to post head.

use super::block::{LEVEL_WITHIN, Layout, NewMember, PostPlace};
use super::draft::{Draft, NewJoint};
use super::model::{JointKind, MemberId, Point, Role};
use crate::equipment::FIT;
use crate::equipment::lookup::PartKind;
use crate::equipment::model::{Head, Passes};
use crate::scene::GridPoint;
use crate::scene::model::Axis;

/// Makes a beam in each bay of each line: ledgers one way, joists the other.
pub(super) fn lay_out(draft: &mut Draft<'_>, layout: &mut Layout<'_>) {
    let block = layout.block;
    let ways = [
        (layout.ledger_axis(), Role::Ledger, "ledger", &block.ledger),
        (layout.joist_axis(), Role::Joist, "joist", &block.joist),
    ];
    for (axis, role, word, parts) in ways {
        let mut known = true;
        for (i, part) in parts.iter().enumerate() {
            if !draft.library.beams.contains_key(part) {
                draft.no_part(&format!("{}.{word}[{i}]", layout.path), PartKind::Beam, part);
                known = false;
            }
        }
        if parts.is_empty() || !known {
            continue;
        }
        for at in layout.points() {
            if let Some(id) = one(draft, layout, axis, at, (role, word), parts) {
                layout.beams.insert((axis, at), id);
            }
        }
    }
}

fn one(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    axis: Axis,
    at: GridPoint,
    (role, word): (Role, &str),
    parts: &[String],
) -> Option<MemberId> {
    let far = layout.next(at, axis)?;
    let name = layout.between(word, at, far);
    if layout.edits.omits(&name) {
        return None;
    }
    let [a, b] = layout.all_posts([at, far])?;
    let step = b.head.z - a.head.z;
    if step.abs() > LEVEL_WITHIN {
        draft.broken_planes.push((a.id, b.id, step));
        return None;
    }
    let edit = layout.edits.of(&name);
    let span = layout.bay(at, axis);
    let part = choose(draft, layout, (axis, at), word, parts, edit.part.as_deref(), span)?;
    let mass = draft.library.beams.get(&part)?.mass.si();
    let new = NewMember { role, grid: (at, far), part, ends: [a.head, b.head], mass };
    let id = draft.add(layout.make(&name, new, &edit));
    let length = draft.member(id).length();
    head_joint(draft, (id, 0.0), &a, a.head);
    head_joint(draft, (id, length), &b, b.head);
    Some(id)
}

/// The part for a bay: the one an override names, or the first that fits.
pub(super) fn choose(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    (axis, at): (Axis, GridPoint),
    word: &str,
    parts: &[String],
    named: Option<&str>,
    span: f64,
) -> Option<String> {
    let bay = || {
        let lines = match axis {
            Axis::X => (&layout.grid.x[at.x], &layout.grid.x[at.x + 1]),
            Axis::Y => (&layout.grid.y[at.y], &layout.grid.y[at.y + 1]),
        };
        format!("bay {}-{} of {}", lines.0, lines.1, layout.units.length(span))
    };
    if let Some(named) = named {
        match draft.library.beams.get(named) {
            None => draft.no_part(&format!("{}.overrides", layout.path), PartKind::Beam, named),
            Some(beam) if (beam.length.si() - span).abs() > FIT => {
                let what = format!("{word} {named} does not fit {}", bay());
                draft.leave_out(what, Vec::new(), &layout.written_at);
            }
            Some(_) => return Some(named.to_owned()),
        }
        return None;
    }
    let fitting = draft.library.fitting(parts, span);
    // Fillers lie inside the bays and may be another make: the last part that fits.
    let found = if word == "filler" { fitting.last() } else { fitting.first() };
    if found.is_none() {
        let what = format!("no {word} of {} fits {}", parts.join(", "), bay());
        draft.leave_out(what, Vec::new(), &layout.written_at);
    }
    found.map(|part| (*part).to_owned())
}

/// Joins a beam to a post's head with what that head passes.
pub(super) fn head_joint(
    draft: &mut Draft<'_>,
    member: (MemberId, f64),
    post: &PostPlace,
    at: Point,
) {
    let Some(part) = draft.library.posts.get(&draft.member(post.id).part) else { return };
    let carrier_at = draft.member(post.id).length();
    draft.join(NewJoint {
        kind: JointKind::Head,
        member,
        carrier: Some((post.id, carrier_at)),
        at,
        clip: None,
        passes: head_passes(&part.head),
        found: false,
    });
}

pub(super) fn head_passes(head: &Head) -> [Passes; 3] {
    [head.hung, head.locked, head.lowered]
}
