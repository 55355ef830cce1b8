//! Where a station is, where one stands to look at it, and the order of the walk.

use super::stations::Station;
use crate::assembly::model::Point;
use crate::assembly::{Assembly, MemberId};
use crate::sequence::Stage;

/// Height of a person's eyes above the floor, in metres.
pub const EYE_LEVEL: f64 = 1.65;
/// How far one stands off, in metres.
const STAND_OFF: f64 = 3.0;

/// The middle of members; none where there are none.
pub(super) fn middle(assembly: &Assembly, ids: &[MemberId]) -> Option<Point> {
    if ids.is_empty() {
        return None;
    }
    let mut sum = Point::origin();
    for &id in ids {
        let member = assembly.member(id);
        sum += member.at(member.length() / 2.0).coords;
    }
    Some(Point::from(sum.coords / ids.len() as f64))
}

/// Where one stands: outwards from the middle of what stands, eyes above the lowest foot nearby.
pub(super) fn eye(assembly: &Assembly, stage: &Stage, at: &Point) -> Point {
    let posts: Vec<MemberId> = assembly
        .members
        .iter()
        .filter(|m| m.is_post() && stage.state(m.id).is_there())
        .map(|m| m.id)
        .collect();
    let centre = middle(assembly, &posts).unwrap_or(*at);
    let (mut dx, mut dy) = (at.x - centre.x, at.y - centre.y);
    let length = dx.hypot(dy);
    if length < 1e-6 {
        (dx, dy) = (0.0, -1.0);
    } else {
        (dx, dy) = (dx / length, dy / length);
    }
    // The floor is that of the nearest foot.
    let floor = posts
        .iter()
        .map(|&id| assembly.member(id).ends[0])
        .min_by(|a, b| plan_distance(a, at).total_cmp(&plan_distance(b, at)))
        .map_or(0.0, |foot| foot.z);
    Point::new(at.x + dx * STAND_OFF, at.y + dy * STAND_OFF, floor + EYE_LEVEL)
}

fn plan_distance(a: &Point, b: &Point) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}

/// The order of the walk: what is read at the gathering place first, then from the corner with the
/// least x + y always on to the nearest. Of two as near, the one whose id comes first.
#[must_use]
pub fn route(stations: Vec<Station>) -> Vec<Station> {
    let (mut on_paper, mut on_site): (Vec<Station>, Vec<Station>) =
        stations.into_iter().partition(|s| s.at.is_none());
    on_site.sort_by(|a, b| a.id.cmp(&b.id));
    let start =
        on_site.iter().filter_map(|s| s.at).min_by(|a, b| (a[0] + a[1]).total_cmp(&(b[0] + b[1])));
    let Some(mut here) = start else { return on_paper };
    while !on_site.is_empty() {
        let far = |station: &Station| {
            station.at.map_or(f64::INFINITY, |at| (at[0] - here[0]).hypot(at[1] - here[1]))
        };
        let next =
            (0..on_site.len()).min_by(|&a, &b| far(&on_site[a]).total_cmp(&far(&on_site[b])));
        let station = on_site.remove(next.unwrap_or(0));
        here = station.at.unwrap_or(here);
        on_paper.push(station);
    }
    on_paper
}
