//! Diagonals of a block: cross braces in elevation and braces in plan.

use super::block::{LEVEL_WITHIN, Layout, NewMember, PostPlace};
use super::draft::{Draft, NOTHING, NewJoint};
use super::model::{JointKind, MemberId, Point, Role};
use crate::equipment::lookup::PartKind;
use crate::equipment::model::{Brace, Passes};
use crate::scene::model::{Axis, Override};
use crate::scene::{GridPoint, LinesError};
use std::collections::BTreeSet;

/// A brace fixed at an end: push and pull along it, and its own weight.
const FIXED: Passes = Passes { bearing: true, along: true, across: false, uplift: None };

/// Makes the braces of a block.
pub(super) fn lay_out(draft: &mut Draft<'_>, layout: &Layout<'_>) {
    let bays = bays(draft, layout);
    for &(axis, at) in &bays {
        let Some(far) = layout.next(at, axis) else { continue };
        for (half, rising) in [("a", true), ("b", false)] {
            elevation(draft, layout, at, far, half, rising);
        }
    }
    for (i, text) in layout.block.plan_braced.iter().enumerate() {
        match layout.grid.area(text).and_then(|_| layout.grid.run(text)) {
            Ok((a, b)) => plan(draft, layout, a.min(b), a.max(b)),
            Err(error) => {
                draft.problem(
                    &format!("{}.plan_braced[{i}]", layout.path),
                    error.to_string(),
                    None,
                );
            }
        }
    }
}

/// All bays with cross braces, each once, by the axis they run along and their lower post.
fn bays(draft: &mut Draft<'_>, layout: &Layout<'_>) -> BTreeSet<(Axis, GridPoint)> {
    let mut bays = BTreeSet::new();
    for (i, text) in layout.block.braced.iter().enumerate() {
        match layout.grid.straight(text) {
            Ok((a, b)) if a.y == b.y => {
                bays.extend((a.x..b.x).map(|x| (Axis::X, GridPoint { x, ..a })));
            }
            Ok((a, b)) => bays.extend((a.y..b.y).map(|y| (Axis::Y, GridPoint { y, ..a }))),
            Err(error) => {
                let help = matches!(error, LinesError::Slanted(_))
                    .then(|| "a diagonal in plan belongs in `plan_braced`".to_owned());
                draft.problem(&format!("{}.braced[{i}]", layout.path), error.to_string(), help);
            }
        }
    }
    match layout.block.brace_every {
        None => {}
        Some(0) => draft.problem(
            &format!("{}.brace_every", layout.path),
            "`brace_every` must be at least 1".to_owned(),
            None,
        ),
        Some(every) => {
            for axis in [Axis::X, Axis::Y] {
                every_line(layout, axis, every as usize, &mut bays);
            }
        }
    }
    if !bays.is_empty() && layout.block.brace.is_none() {
        let message =
            format!("block \"{}\" has braced bays but names no `brace`", layout.block.name);
        draft.problem(&layout.path, message, None);
        bays.clear();
    }
    bays
}

/// The first bay of each line and every so-many-th after it, counted from its first post.
fn every_line(
    layout: &Layout<'_>,
    axis: Axis,
    every: usize,
    bays: &mut BTreeSet<(Axis, GridPoint)>,
) {
    let lines = layout.count(super::block::other(axis));
    for line in 0..lines {
        let on_line = |along: usize| match axis {
            Axis::X => GridPoint { x: along, y: line },
            Axis::Y => GridPoint { x: line, y: along },
        };
        let stands = |along: &usize| layout.posts.contains_key(&on_line(*along));
        let Some(first) = (0..layout.count(axis)).find(stands) else { continue };
        let last = layout.count(axis) - 1;
        bays.extend((first..last).step_by(every).map(|along| (axis, on_line(along))));
    }
}

/// The brace's part and data; none, with a problem, where the equipment lacks it.
fn part<'l>(
    draft: &mut Draft<'l>,
    layout: &Layout<'_>,
    edit: &Override,
) -> Option<(String, &'l Brace)> {
    let library = draft.library;
    let name = edit.part.as_ref().or(layout.block.brace.as_ref())?;
    let found = library.braces.get(name);
    if found.is_none() {
        let field = if edit.part.is_some() { "overrides" } else { "brace" };
        let path = format!("{}.{field}", layout.path);
        if !draft.problems.iter().any(|p| p.path == path) {
            draft.no_part(&path, PartKind::Brace, name);
        }
    }
    found.map(|brace| (name.clone(), brace))
}

/// Whether a brace can be drawn out to a length; says so where it cannot.
fn reaches(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    what: &str,
    part: &str,
    brace: &Brace,
    length: f64,
) -> bool {
    let (least, most) = (brace.length.0.si(), brace.length.1.si());
    let fits = (least - 0.005..=most + 0.005).contains(&length);
    if !fits {
        let say = |m| layout.units.length(m);
        let (due, least, most) = (say(length), say(least), say(most));
        let text = format!("{what} is {due} long, but {part} spans {least} to {most}");
        draft.leave_out(text, Vec::new(), &layout.written_at);
    }
    fits
}

fn elevation(
    draft: &mut Draft<'_>,
    layout: &Layout<'_>,
    at: GridPoint,
    far: GridPoint,
    half: &str,
    rising: bool,
) {
    let name = format!("{}.{half}", layout.between("brace", at, far));
    if layout.edits.omits(&name) {
        return;
    }
    let Some([a, b]) = layout.all_posts([at, far]) else { return };
    let edit = layout.edits.of(&name);
    let Some((part, brace)) = part(draft, layout, &edit) else { return };
    let stations = |draft: &Draft<'_>, post: &PostPlace, low: bool| {
        if low { post.brace_low } else { draft.member(post.id).length() - post.brace_high }
    };
    let (at_a, at_b) = (stations(draft, &a, rising), stations(draft, &b, !rising));
    let ends = [draft.member(a.id).at(at_a), draft.member(b.id).at(at_b)];
    if !reaches(draft, layout, &name, &part, brace, (ends[1] - ends[0]).norm()) {
        return;
    }
    let tension_only = edit.tension_only.unwrap_or(brace.compression.is_none());
    let new = NewMember { role: Role::Brace, grid: (at, far), part, ends, mass: brace.mass.si() };
    let mut member = layout.make(&name, new, &edit);
    member.tension_only = tension_only;
    let id = draft.add(member);
    let length = draft.member(id).length();
    coupler(draft, (id, 0.0), (a.id, at_a), ends[0], false);
    coupler(draft, (id, length), (b.id, at_b), ends[1], false);
}

/// Joins a brace's end to a post. Nothing passes until somebody fixes it.
pub(super) fn coupler(
    draft: &mut Draft<'_>,
    member: (MemberId, f64),
    carrier: (MemberId, f64),
    at: Point,
    found: bool,
) {
    draft.join(NewJoint {
        kind: JointKind::Coupler,
        member,
        carrier: Some(carrier),
        at,
        clip: None,
        passes: [NOTHING, FIXED, NOTHING],
        found,
    });
}

fn plan(draft: &mut Draft<'_>, layout: &Layout<'_>, a: GridPoint, b: GridPoint) {
    let name = layout.between("plan", a, b);
    if layout.edits.omits(&name) {
        return;
    }
    let Some([from, to]) = layout.all_posts([a, b]) else { return };
    if (to.head.z - from.head.z).abs() > LEVEL_WITHIN {
        let text = format!("{name} would have to join heads at different levels");
        return draft.leave_out(text, Vec::new(), &layout.written_at);
    }
    let edit = layout.edits.of(&name);
    if edit.part.is_none() && layout.block.brace.is_none() {
        let text = "plan braces need a `brace` part".to_owned();
        return draft.problem(&layout.path, text, None);
    }
    let Some((part, brace)) = part(draft, layout, &edit) else { return };
    let ends = [from.head, to.head];
    if !reaches(draft, layout, &name, &part, brace, (ends[1] - ends[0]).norm()) {
        return;
    }
    let new = NewMember { role: Role::PlanBrace, grid: (a, b), part, ends, mass: brace.mass.si() };
    let mut member = layout.make(&name, new, &edit);
    member.tension_only = edit.tension_only.unwrap_or(brace.compression.is_none());
    let id = draft.add(member);
    let length = draft.member(id).length();
    for (station, post) in [(0.0, from), (length, to)] {
        let carrier_at = draft.member(post.id).length();
        coupler(draft, (id, station), (post.id, carrier_at), post.head, false);
    }
}
