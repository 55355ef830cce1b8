//! Joints of single members, found where they meet something within a tolerance.
//!
//! A joint is made where axis and point lie within [`TOLERANCE`]. What comes close and does not
//! meet is told by [`super::near`], never joined.

use super::beams::head_passes;
use super::braces::coupler;
use super::draft::{BEARS, Draft, NOTHING, NewJoint};
use super::ground;
use super::model::{JointKind, MemberId, Point, Role};
use super::near::SHORT;
use super::solids::Neighbours;
use super::{flat, permanent};
use crate::equipment::model::Passes;

/// Members this close, in metres, meet: the play of a head, a lug, a coupler.
pub const TOLERANCE: f64 = 0.025;

/// Nearest station of a member's axis to a point, in metres along it, and the distance.
pub(super) fn nearest(draft: &Draft<'_>, member: MemberId, point: &Point) -> (f64, f64) {
    let member = draft.member(member);
    let along = (point - member.ends[0]).dot(&member.direction());
    let station = along.clamp(0.0, member.length());
    (station, (member.at(station) - point).norm())
}

pub(super) fn is_beam(role: Role) -> bool {
    matches!(role, Role::Ledger | Role::Joist | Role::Filler | Role::DropBeam)
}

pub(super) fn is_brace(role: Role) -> bool {
    matches!(role, Role::Brace | Role::PlanBrace | Role::TieIn)
}

/// Finds the joints of all single members, and of blocks' members with them.
pub(super) fn join(draft: &mut Draft<'_>, neighbours: &Neighbours) {
    let ids: Vec<MemberId> = draft.members.iter().map(|m| m.id).collect();
    let beams = |draft: &Draft<'_>, id: MemberId, near: Vec<MemberId>| -> Vec<MemberId> {
        near.into_iter()
            .filter(|&b| is_beam(draft.member(b).role) && pair_is_found(draft, id, b))
            .collect()
    };
    for &id in &ids {
        let near = neighbours.of(draft, id);
        match draft.member(id).role {
            Role::Post | Role::Prop => {
                foot(draft, id, &near);
                for beam in beams(draft, id, near) {
                    head(draft, beam, id);
                }
            }
            role if is_brace(role) => brace_ends(draft, id, &near),
            Role::Sill if draft.member(id).block.is_none() => on_floor(draft, id),
            _ => {}
        }
    }
    // Ends lie on other beams only where no head takes them.
    for &id in &ids {
        let near = neighbours.of(draft, id);
        match draft.member(id).role {
            role if is_beam(role) => {
                for other in beams(draft, id, near) {
                    lies_on(draft, id, other);
                }
            }
            Role::Sheet => {
                for beam in beams(draft, id, near) {
                    flat::sheet_on(draft, id, beam);
                }
            }
            Role::Clip if draft.member(id).block.is_none() => clip(draft, id, &near),
            _ => {}
        }
    }
}

/// Blocks declare their joints; only pairs with a single member are looked at.
pub(super) fn pair_is_found(draft: &Draft<'_>, a: MemberId, b: MemberId) -> bool {
    a != b && (draft.member(a).block.is_none() || draft.member(b).block.is_none())
}

fn found(
    kind: JointKind,
    member: (MemberId, f64),
    carrier: Option<(MemberId, f64)>,
    at: Point,
    passes: [Passes; 3],
) -> NewJoint {
    NewJoint { kind, member, carrier, at, clip: None, passes, found: true }
}

/// A beam in a post's head, at its end or where it passes over.
fn head(draft: &mut Draft<'_>, beam: MemberId, post: MemberId) {
    let seat = draft.member(post).ends[1];
    let (station, gap) = nearest(draft, beam, &seat);
    if gap > TOLERANCE {
        return;
    }
    let Some(part) = draft.library.posts.get(&draft.member(post).part) else { return };
    let top = draft.member(post).length();
    let passes = head_passes(&part.head);
    draft.join(found(JointKind::Head, (beam, station), Some((post, top)), seat, passes));
}

/// What a single post stands on: its own sill, another sill, another post's head, a floor.
fn foot(draft: &mut Draft<'_>, post: MemberId, near: &[MemberId]) {
    let member = draft.member(post);
    let stands = draft.joints.iter().any(|j| j.member == post && j.kind == JointKind::Foot);
    if stands || member.block.is_some() {
        return;
    }
    let at = member.ends[0];
    let mut on_sill: Vec<(f64, MemberId)> = near
        .iter()
        .filter(|&&s| draft.member(s).role == Role::Sill && pair_is_found(draft, post, s))
        .filter(|&&s| (draft.member(s).ends[0].z - at.z).abs() <= TOLERANCE)
        .filter(|&&s| flat::holds(draft, s, &at))
        .map(|&s| ((flat::middle(draft, s) - at).norm(), s))
        .collect();
    on_sill.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    if let Some(&(_, sill)) = on_sill.first() {
        let middle = flat::middle(draft, sill);
        draft.members[post.index()].off_sill = [at.x - middle.x, at.y - middle.y];
        let station = draft.member(sill).length() / 2.0;
        draft.join(found(JointKind::Foot, (post, 0.0), Some((sill, station)), at, [BEARS; 3]));
        return;
    }
    let below = near.iter().copied().find(|&p| {
        draft.member(p).is_post()
            && pair_is_found(draft, post, p)
            && (draft.member(p).ends[1] - at).norm() <= TOLERANCE
    });
    if let Some(below) = below {
        let head = draft.library.posts.get(&draft.member(below).part).map(|p| &p.head);
        let passes = head.map_or([BEARS; 3], head_passes);
        let top = draft.member(below).length();
        draft.join(found(JointKind::Splice, (post, 0.0), Some((below, top)), at, passes));
    } else if ground::at(draft.scene, &at, TOLERANCE).is_some() {
        draft.join(found(JointKind::Ground, (post, 0.0), None, at, [BEARS; 3]));
    }
}

/// A single sill on a floor.
fn on_floor(draft: &mut Draft<'_>, sill: MemberId) {
    let Some(thick) = draft.library.sills.get(&draft.member(sill).part).map(|s| s.size.2.si())
    else {
        return;
    };
    let at = flat::middle(draft, sill);
    let under = Point::new(at.x, at.y, at.z - thick);
    if ground::at(draft.scene, &under, TOLERANCE).is_some() {
        let middle = draft.member(sill).length() / 2.0;
        draft.join(found(JointKind::Ground, (sill, middle), None, at, [BEARS; 3]));
    }
}

/// Ends of a brace, plan brace or tie-in: on the nearest post, or on the permanent works.
fn brace_ends(draft: &mut Draft<'_>, brace: MemberId, near: &[MemberId]) {
    if draft.member(brace).block.is_some() {
        return;
    }
    for end in 0..2 {
        let at = draft.member(brace).ends[end];
        let station = if end == 0 { 0.0 } else { draft.member(brace).length() };
        let mut posts: Vec<(f64, MemberId, f64)> = near
            .iter()
            .filter(|&&p| draft.member(p).is_post())
            .map(|&p| (nearest(draft, p, &at), p))
            .filter(|((_, gap), _)| *gap <= TOLERANCE)
            .map(|((along, gap), p)| (gap, p, along))
            .collect();
        posts.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        if let Some(&(_, post, along)) = posts.first() {
            coupler(draft, (brace, station), (post, along), at, true);
            continue;
        }
        let ties = draft.member(brace).role == Role::TieIn;
        let wall = draft.scene.permanent.iter().any(|p| permanent::gap(p, &at) <= TOLERANCE);
        if ties && wall {
            let held = Passes { along: true, ..BEARS };
            let passes = [NOTHING, held, NOTHING];
            draft.join(found(JointKind::Tie, (brace, station), None, at, passes));
        } else {
            let member = draft.member(brace);
            let (what, written_at) = (
                format!("{} meets nothing at its {} end", member.name, ["first", "second"][end]),
                member.written_at.clone(),
            );
            draft.leave_out(what, vec![brace], &written_at);
        }
    }
}

/// What lies on what where two beams cross: bearers lowest, then ledgers, joists, fillers.
fn tier(role: Role) -> u8 {
    match role {
        Role::DropBeam => 0,
        Role::Ledger => 1,
        Role::Joist => 2,
        _ => 3,
    }
}

/// An end of a beam lying on another beam; and a beam that crosses one of a lower tier.
fn lies_on(draft: &mut Draft<'_>, beam: MemberId, other: MemberId) {
    let length = draft.member(beam).length();
    let cross = draft.member(beam).direction().cross(&draft.member(other).direction()).norm();
    if cross < 0.1 {
        return;
    }
    let mut places: Vec<f64> = vec![0.0, length];
    if tier(draft.member(beam).role) > tier(draft.member(other).role) {
        places.push(super::solids::crossing(draft, beam, other));
    }
    for station in places {
        let at = draft.member(beam).at(station);
        let (along, gap) = nearest(draft, other, &at);
        let taken = |j: &super::model::Joint| {
            j.member == beam && (j.at - at).norm() <= 2.0 * TOLERANCE
                || j.member == other && j.carrier == Some(beam)
                // So close to a head it was meant for the head.
                || j.member == other && j.kind == JointKind::Head && (j.at - at).norm() <= SHORT
        };
        if gap > TOLERANCE || draft.joints.iter().any(taken) {
            continue;
        }
        let resting = draft.library.beams.get(&draft.member(beam).part).map(|b| b.resting);
        let passes = [resting.unwrap_or(BEARS); 3];
        draft.join(found(JointKind::Rest, (beam, station), Some((other, along)), at, passes));
    }
}

/// A single clip: at a post's head, on the one beam there that runs on past a post, or on the
/// beam its `to` names.
fn clip(draft: &mut Draft<'_>, clip: MemberId, near: &[MemberId]) {
    use crate::scene::model::Place;
    let member = draft.member(clip);
    let (at, written_at, name) = (member.ends[0], member.written_at.clone(), member.name.clone());
    let uplift = draft.library.clips.get(&member.part).map(|c| c.uplift);
    let post = near
        .iter()
        .copied()
        .find(|&p| draft.member(p).is_post() && (draft.member(p).ends[1] - at).norm() <= TOLERANCE);
    let written = draft.scene.members.iter().find(|m| m.name == name).and_then(|m| m.to.as_ref());
    let named = match written {
        Some(Place::On(beam, _)) => draft.find(beam),
        _ => None,
    };
    let runs_on = |draft: &Draft<'_>, beam: MemberId| {
        let stations: Vec<f64> = draft
            .joints
            .iter()
            .filter(|j| j.member == beam && j.kind == JointKind::Head)
            .map(|j| j.member_at)
            .collect();
        let low = stations.iter().copied().fold(f64::INFINITY, f64::min);
        let high = stations.iter().copied().fold(0.0, f64::max);
        low > TOLERANCE || high < draft.member(beam).length() - TOLERANCE
    };
    let beams: Vec<MemberId> = match named {
        Some(beam) => vec![beam],
        None => near
            .iter()
            .copied()
            .filter(|&b| is_beam(draft.member(b).role) && nearest(draft, b, &at).1 <= TOLERANCE)
            .filter(|&b| runs_on(draft, b))
            .collect(),
    };
    let (Some(post), [beam], Some(uplift)) = (post, &beams[..], uplift) else {
        let what = match post {
            None => format!("clip {name} is at no post's head"),
            Some(_) if beams.is_empty() => format!("clip {name} meets no beam that runs on"),
            Some(_) => format!("clip {name} could hold several beams: name one in `to`"),
        };
        return draft.leave_out(what, vec![clip], &written_at);
    };
    let (station, gap) = nearest(draft, *beam, &at);
    if gap > TOLERANCE {
        let what = format!("clip {name} does not meet {}", draft.member(*beam).name);
        return draft.leave_out(what, vec![clip], &written_at);
    }
    let top = draft.member(post).length();
    let passes = [NOTHING, Passes { uplift: Some(uplift), ..NOTHING }, NOTHING];
    let mut joint = found(JointKind::Clip, (*beam, station), Some((post, top)), at, passes);
    joint.clip = Some(clip);
    draft.join(joint);
}
