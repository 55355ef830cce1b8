//! Single members: where their ends lie, and what they are made of.

use super::draft::{BEARS, Draft, NewJoint};
use super::model::{JointKind, Member, MemberId, Point, Role, Vector};
use super::permanent;
use super::posts::draw_out;
use crate::equipment::lookup::PartKind;
use crate::equipment::{FIT, GRAVITY};
use crate::scene::model::{Place, RoleName, SingleMember};
use crate::scene::suggest;

/// Makes the single members, those they refer to first. Their joints come later.
pub(super) fn lay_out(draft: &mut Draft<'_>) {
    let scene = draft.scene;
    let mut waiting: Vec<usize> = (0..scene.members.len()).collect();
    while !waiting.is_empty() {
        let before = waiting.len();
        waiting.retain(|&index| {
            let single = &scene.members[index];
            let ready = places(single).all(|place| match place {
                Place::Head(name) | Place::Foot(name) | Place::On(name, _) => {
                    draft.find(name).is_some()
                }
                Place::At(..) | Place::Permanent(..) => true,
            });
            if ready {
                one(draft, index, single);
            }
            !ready
        });
        if waiting.len() == before {
            return waiting.iter().for_each(|&index| nowhere(draft, index));
        }
    }
}

fn places(single: &SingleMember) -> impl Iterator<Item = &Place> {
    std::iter::once(&single.from).chain(&single.to)
}

/// A member whose place is taken from one that is not there, or that waits for this one.
fn nowhere(draft: &mut Draft<'_>, index: usize) {
    let single = &draft.scene.members[index];
    for (field, place) in [("from", Some(&single.from)), ("to", single.to.as_ref())] {
        let Some(Place::Head(name) | Place::Foot(name) | Place::On(name, _)) = place else {
            continue;
        };
        if draft.find(name).is_some() {
            continue;
        }
        let path = format!("members[{index}].{field}");
        if draft.scene.members.iter().any(|m| m.name == *name) {
            let message = format!("\"{}\" waits for the place of \"{name}\"", single.name);
            draft.problem(&path, message, None);
        } else {
            let help = suggest::closest(name, draft.members.iter().map(|m| m.name.as_str()));
            let help = help.map(|close| format!("did you mean \"{close}\"?"));
            draft.problem(&path, format!("there is no member \"{name}\" to start from"), help);
        }
    }
}

fn role(name: RoleName) -> (Role, PartKind) {
    match name {
        RoleName::Post => (Role::Post, PartKind::Post),
        RoleName::Prop => (Role::Prop, PartKind::Post),
        RoleName::Ledger => (Role::Ledger, PartKind::Beam),
        RoleName::Joist => (Role::Joist, PartKind::Beam),
        RoleName::DropBeam => (Role::DropBeam, PartKind::Beam),
        RoleName::Brace => (Role::Brace, PartKind::Brace),
        RoleName::PlanBrace => (Role::PlanBrace, PartKind::Brace),
        RoleName::TieIn => (Role::TieIn, PartKind::Brace),
        RoleName::Clip => (Role::Clip, PartKind::Clip),
        RoleName::Sill => (Role::Sill, PartKind::Sill),
        RoleName::Sheet => (Role::Sheet, PartKind::Sheet),
    }
}

/// Where a place lies. `other` is the member's other end, for the nearest face of a wall.
fn point(draft: &Draft<'_>, place: &Place, other: Option<Point>) -> Option<Point> {
    let member = |name: &str| draft.find(name).map(|id| draft.member(id));
    match place {
        Place::At(x, y, z) => Some(Point::new(x.si(), y.si(), z.si())),
        Place::Head(name) => member(name).map(|m| m.ends[1]),
        Place::Foot(name) => member(name).map(|m| m.ends[0]),
        Place::On(name, height) => member(name).map(|m| m.at(height.si())),
        Place::Permanent(name, level) => {
            let found = draft.scene.permanent.iter().find(|p| p.name == *name)?;
            Some(permanent::nearest(found, other.map(|p| [p.x, p.y])?, level.si()))
        }
    }
}

fn one(draft: &mut Draft<'_>, index: usize, single: &SingleMember) {
    let path = format!("members[{index}]");
    let (role, kind) = role(single.role);
    let Some(mass) = draft.library.mass(kind, &single.part) else {
        return draft.no_part(&format!("{path}.part"), kind, &single.part);
    };
    let free = |place: &Place| match place {
        Place::Permanent(..) => None,
        place => point(draft, place, None),
    };
    let (near, far) = (free(&single.from), single.to.as_ref().and_then(free));
    let from = near.or_else(|| point(draft, &single.from, far));
    let to = match &single.to {
        Some(place) => far.or_else(|| point(draft, place, near)),
        None => from.and_then(|from| sized(draft, role, &single.part, from)),
    };
    let (Some(from), Some(to)) = (from, to) else {
        let message = format!(
            "cannot tell where \"{}\" lies: say `from` and `to`, and one of them not on the permanent works",
            single.name
        );
        return draft.problem(&path, message, None);
    };
    let mut member = Member {
        id: MemberId(0),
        name: single.name.clone(),
        role,
        block: None,
        grid: None,
        part: single.part.clone(),
        ends: ends(draft, role, &single.part, [from, to]),
        weight: mass.si() * GRAVITY,
        damaged: single.damaged,
        tension_only: draft
            .library
            .braces
            .get(&single.part)
            .is_some_and(|brace| kind == PartKind::Brace && brace.compression.is_none()),
        jack: None,
        off_sill: [0.0, 0.0],
        written_at: draft.range(&path),
    };
    let sill = single.sill.as_ref().and_then(|part| own_sill(draft, &mut member, part, &path));
    let what = does_not_fit(draft, &member);
    let (foot, written_at) = (member.ends[0], member.written_at.clone());
    let id = draft.add(member);
    if let Some(sill) = sill {
        let middle = draft.member(sill).length() / 2.0;
        draft.join(NewJoint {
            kind: JointKind::Foot,
            member: (id, 0.0),
            carrier: Some((sill, middle)),
            at: foot,
            clip: None,
            passes: [BEARS; 3],
            found: false,
        });
    }
    if let Some(what) = what {
        draft.leave_out(what, vec![id], &written_at);
    }
}

/// The other corner of what has a size of its own, from the point written.
fn sized(draft: &Draft<'_>, role: Role, part: &str, from: Point) -> Option<Point> {
    match role {
        Role::Clip | Role::Sill => Some(from),
        Role::Sheet => {
            let size = draft.library.sheets.get(part)?.size;
            Some(from + Vector::new(size.0.si(), size.1.si(), 0.0))
        }
        _ => None,
    }
}

/// Sills are written by the middle of their underside; posts from foot to head, either way round.
fn ends(draft: &Draft<'_>, role: Role, part: &str, [from, to]: [Point; 2]) -> [Point; 2] {
    match (role, draft.library.sills.get(part)) {
        (Role::Sill, Some(sill)) if from == to => {
            let half = Vector::new(sill.size.0.si() / 2.0, sill.size.1.si() / 2.0, 0.0);
            let top = from + Vector::z() * sill.size.2.si();
            [top - half, top + half]
        }
        (Role::Post | Role::Prop, _) if from.z > to.z => [to, from],
        _ => [from, to],
    }
}

/// Puts a sill of its own under a post, whose foot rises by its thickness.
fn own_sill(draft: &mut Draft<'_>, post: &mut Member, part: &str, path: &str) -> Option<MemberId> {
    let Some(sill) = draft.library.sills.get(part) else {
        draft.no_part(&format!("{path}.sill"), PartKind::Sill, part);
        return None;
    };
    let mass = sill.mass.si();
    let floor = post.ends[0];
    post.ends[0].z += sill.size.2.si();
    let member = Member {
        name: format!("{}.sill", post.name),
        role: Role::Sill,
        part: part.to_owned(),
        ends: ends(draft, Role::Sill, part, [floor; 2]),
        weight: mass * GRAVITY,
        damaged: false,
        tension_only: false,
        ..post.clone()
    };
    Some(draft.add(member))
}

/// Why a part cannot be as long as its member.
fn does_not_fit(draft: &Draft<'_>, member: &Member) -> Option<String> {
    let (length, units) = (member.length(), draft.scene.units);
    let (name, part) = (&member.name, &member.part);
    let is = format!("{name} is {} long", units.length(length));
    match member.role {
        Role::Post | Role::Prop => {
            let post = draft.library.posts.get(part)?;
            let (least, most) = (units.length(post.reach.0.si()), units.length(post.reach.1.si()));
            draw_out(post, None, length)
                .is_err()
                .then(|| format!("{is}, but {part} reaches from {least} to {most}"))
        }
        Role::Brace | Role::PlanBrace | Role::TieIn => {
            let (least, most) = draft.library.braces.get(part)?.length;
            let fits = least.si() - FIT <= length && length <= most.si() + FIT;
            let (least, most) = (units.length(least.si()), units.length(most.si()));
            (!fits).then(|| format!("{is}, but {part} spans {least} to {most}"))
        }
        Role::Ledger | Role::Joist | Role::Filler | Role::DropBeam => {
            let beam = draft.library.beams.get(part)?;
            let most =
                beam.length.si() + beam.may_overhang.map_or(0.0, super::super::units::Length::si);
            (length > most + FIT)
                .then(|| format!("{is}, but {part} is {} at most", units.length(most)))
        }
        Role::Sheet => {
            let size = draft.library.sheets.get(part)?.size;
            let run = member.ends[1] - member.ends[0];
            let (x, y) = (run.x.abs(), run.y.abs());
            let fits =
                |along: f64, across: f64| along <= size.0.si() + FIT && across <= size.1.si() + FIT;
            (!fits(x, y) && !fits(y, x)).then(|| format!("{name} is larger than its part {part}"))
        }
        Role::Clip | Role::Sill => None,
    }
}
