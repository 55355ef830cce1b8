//! What comes close to a joint and is none: told, never joined.

use super::draft::Draft;
use super::meet::{TOLERANCE, is_beam, is_brace, nearest, pair_is_found};
use super::model::{JointKind, MemberId, NearMiss, NearMissKind, Point, Role};
use super::solids::{END_ZONE, Neighbours, closest, depth, half_width};
use std::collections::BTreeSet;

/// An end that stops short by no more than this, in metres, was meant to meet.
pub const SHORT: f64 = 0.150;

/// Solids may lie in one another by this much, in metres, before they are told: seats, lugs and
/// plates are not drawn.
const DEEP: f64 = 0.005;

/// Members joined to one another, either way round.
type Joined = BTreeSet<(MemberId, MemberId)>;

/// Finds the near misses of single members, and of blocks with one another.
pub(super) fn find(draft: &mut Draft<'_>, neighbours: &Neighbours) {
    let joined: Joined = draft
        .joints
        .iter()
        .filter_map(|j| j.carrier.map(|c| (j.member.min(c), j.member.max(c))))
        .collect();
    let mut found = Vec::new();
    for member in &draft.members {
        let id = member.id;
        let near = neighbours.of(draft, id);
        if near.is_empty() {
            continue;
        }
        match member.role {
            Role::Post | Role::Prop => short_head(draft, id, &near, &joined, &mut found),
            role if is_beam(role) => short_beam(draft, id, &near, &mut found),
            role if is_brace(role) => {
                short_brace(draft, id, &near, &mut found);
                passes(draft, id, &near, &joined, &mut found);
            }
            _ => {}
        }
        for &other in near.iter().filter(|&&other| other > id) {
            through(draft, id, other, &joined, &mut found);
        }
    }
    draft.near_misses.append(&mut found);
}

fn are_joined(joined: &Joined, a: MemberId, b: MemberId) -> bool {
    joined.contains(&(a.min(b), a.max(b)))
}

fn short(a: MemberId, b: MemberId, at: Point, gap: f64) -> NearMiss {
    NearMiss { a, b, at, gap, kind: NearMissKind::EndShort }
}

/// An end is taken care of by a joint this close to it.
fn has_joint(draft: &Draft<'_>, member: MemberId, at: &Point) -> bool {
    draft.joints.iter().any(|j| {
        (j.member == member || j.carrier == Some(member)) && (j.at - at).norm() <= 2.0 * TOLERANCE
    })
}

/// The nearest of what an end was meant to meet, if it stops just short of it.
fn nearest_short(candidates: impl Iterator<Item = (MemberId, f64)>) -> Option<(MemberId, f64)> {
    candidates
        .filter(|(_, gap)| *gap > TOLERANCE && *gap <= SHORT)
        .min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)))
}

/// A beam's end short of a post's head, or of a beam across it.
fn short_beam(draft: &Draft<'_>, beam: MemberId, near: &[MemberId], found: &mut Vec<NearMiss>) {
    for at in draft.member(beam).ends {
        if has_joint(draft, beam, &at) {
            continue;
        }
        let heads = near
            .iter()
            .filter(|&&p| draft.member(p).is_post() && pair_is_found(draft, beam, p))
            .filter(|&&p| !has_pair(draft, beam, p))
            .map(|&p| (p, (draft.member(p).ends[1] - at).norm()));
        let direction = draft.member(beam).direction();
        let across = near
            .iter()
            .filter(|&&b| is_beam(draft.member(b).role) && pair_is_found(draft, beam, b))
            .filter(|&&b| !has_pair(draft, beam, b) && !has_pair(draft, b, beam))
            .filter(|&&b| draft.member(b).direction().cross(&direction).norm() > 0.1)
            .map(|&b| (b, nearest(draft, b, &at).1));
        if let Some((other, gap)) = nearest_short(heads).or_else(|| nearest_short(across)) {
            found.push(short(beam, other, at, gap));
        }
    }
}

fn has_pair(draft: &Draft<'_>, member: MemberId, carrier: MemberId) -> bool {
    draft.joints.iter().any(|j| j.member == member && j.carrier == Some(carrier))
}

/// A post's head just below or beside a beam it was meant to carry.
fn short_head(
    draft: &Draft<'_>,
    post: MemberId,
    near: &[MemberId],
    joined: &Joined,
    found: &mut Vec<NearMiss>,
) {
    let head = draft.member(post).ends[1];
    let takes = |j: &super::model::Joint| j.carrier == Some(post) && j.kind == JointKind::Head;
    if draft.joints.iter().any(takes) {
        return;
    }
    let beams = near
        .iter()
        .filter(|&&b| is_beam(draft.member(b).role) && pair_is_found(draft, post, b))
        .filter(|&&b| !are_joined(joined, post, b))
        // An end that stops short is told from the beam's side.
        .filter(|&&b| {
            let (station, _) = nearest(draft, b, &head);
            station > SHORT && station < draft.member(b).length() - SHORT
        })
        .map(|&b| (b, nearest(draft, b, &head).1));
    if let Some((beam, gap)) = nearest_short(beams) {
        found.push(short(post, beam, head, gap));
    }
}

/// A brace's end just beside a post.
fn short_brace(draft: &Draft<'_>, brace: MemberId, near: &[MemberId], found: &mut Vec<NearMiss>) {
    for at in draft.member(brace).ends {
        if has_joint(draft, brace, &at) {
            continue;
        }
        let posts = near
            .iter()
            .filter(|&&p| draft.member(p).is_post() && pair_is_found(draft, brace, p))
            .map(|&p| (p, nearest(draft, p, &at).1));
        if let Some((post, gap)) = nearest_short(posts) {
            found.push(short(brace, post, at, gap));
        }
    }
}

/// A brace that touches a post on its way and is not fixed to it.
fn passes(
    draft: &Draft<'_>,
    brace: MemberId,
    near: &[MemberId],
    joined: &Joined,
    found: &mut Vec<NearMiss>,
) {
    for &post in near.iter().filter(|&&p| draft.member(p).is_post()) {
        if are_joined(joined, brace, post) || !pair_is_found(draft, brace, post) {
            continue;
        }
        let (station, height, gap) = closest(draft, brace, post);
        let widths = half_width(draft.library, draft.member(brace))
            + half_width(draft.library, draft.member(post));
        let length = draft.member(brace).length();
        let on_its_way = station > END_ZONE && station < length - END_ZONE;
        if gap <= widths && on_its_way {
            let at = draft.member(post).at(height);
            found.push(NearMiss { a: brace, b: post, at, gap, kind: NearMissKind::Passes });
        }
    }
}

/// Two members in the same place.
fn through(
    draft: &Draft<'_>,
    a: MemberId,
    b: MemberId,
    joined: &Joined,
    found: &mut Vec<NearMiss>,
) {
    if are_joined(joined, a, b) {
        return;
    }
    let (first, second) = (draft.member(a).role, draft.member(b).role);
    let either = |is: fn(Role) -> bool, other: fn(Role) -> bool| {
        is(first) && other(second) || is(second) && other(first)
    };
    let post = |role| matches!(role, Role::Post | Role::Prop);
    let sheet = |role| role == Role::Sheet;
    // Braces pass one another face to face; a brace at a post is told by `passes`; a sheet is
    // level with the beams it lies on to within their difference in depth.
    if either(is_brace, is_brace) || either(is_brace, post) || either(sheet, is_beam) {
        return;
    }
    if let Some((deep, at)) = depth(draft, a, b).filter(|(deep, _)| *deep > DEEP) {
        found.push(NearMiss { a, b, at, gap: -deep, kind: NearMissKind::Through });
    }
}
