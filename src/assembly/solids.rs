//! Solids of members, and who is near whom.

use super::draft::Draft;
use super::meet::{is_beam, is_brace};
use super::model::{Member, MemberId, Point, Role};
use crate::equipment::Library;
use parry3d::bounding_volume::Aabb;
use parry3d::math::{Mat3, Pose3, Rot3, Vec3};
use parry3d::partitioning::{Bvh, BvhBuildStrategy};
use parry3d::query;
use parry3d::shape::{Capsule, Cuboid, Segment, Shape};

/// How far around a member others are looked at, in metres beyond both solids.
const REACH: f64 = 0.35;

/// Length of a member's end, in metres, that belongs to its joint and is not part of the solid.
pub(super) const END_ZONE: f64 = 0.15;

fn vector(p: &Point) -> Vec3 {
    Vec3::new(p.x, p.y, p.z)
}

fn point(v: Vec3) -> Point {
    Point::new(v.x, v.y, v.z)
}

/// Greatest half-width of a member across its axis, half the thickness of flat ones, in metres.
pub(super) fn half_width(library: &Library, member: &Member) -> f64 {
    match member.role {
        Role::Post | Role::Prop => {
            library.posts.get(&member.part).map_or(0.0, |p| p.outer.outside.si() / 2.0)
        }
        role if is_beam(role) => {
            library.beams.get(&member.part).map_or(0.0, |b| b.depth.si().max(b.width.si()) / 2.0)
        }
        role if is_brace(role) => {
            library.braces.get(&member.part).map_or(0.0, |b| b.outside.si() / 2.0)
        }
        Role::Sheet => library.sheets.get(&member.part).map_or(0.0, |s| s.size.2.si() / 2.0),
        Role::Sill => library.sills.get(&member.part).map_or(0.0, |s| s.size.2.si() / 2.0),
        _ => 0.0,
    }
}

/// Boxes around all members, to ask who is near.
pub(super) struct Neighbours {
    tree: Bvh,
    boxes: Vec<Aabb>,
}

impl Neighbours {
    pub fn new(draft: &Draft<'_>) -> Self {
        let boxes: Vec<Aabb> = draft
            .members
            .iter()
            .map(|m| {
                let (a, b) = (vector(&m.ends[0]), vector(&m.ends[1]));
                let margin = Vec3::splat(half_width(draft.library, m) + REACH / 2.0);
                Aabb::new(a.min(b) - margin, a.max(b) + margin)
            })
            .collect();
        Self { tree: Bvh::from_leaves(BvhBuildStrategy::Binned, &boxes), boxes }
    }

    /// Members whose boxes meet this one's, in order, without itself. For a member of a block
    /// only what is not of that block.
    pub fn of(&self, draft: &Draft<'_>, id: MemberId) -> Vec<MemberId> {
        let block = draft.member(id).block.as_deref();
        let mut near: Vec<MemberId> = self
            .tree
            .intersect_aabb(&self.boxes[id.index()])
            .map(MemberId)
            .filter(|&other| other != id)
            .filter(|&other| block.is_none() || draft.member(other).block.as_deref() != block)
            .collect();
        near.sort_unstable();
        near
    }
}

/// Nearest points of two axes: stations on both, and the distance. Metres.
pub(super) fn closest(draft: &Draft<'_>, a: MemberId, b: MemberId) -> (f64, f64, f64) {
    let (first, second) = (draft.member(a), draft.member(b));
    let segment = |m: &Member| Segment::new(vector(&m.ends[0]), vector(&m.ends[1]));
    let (p, q) = nearest_points(&segment(first), &segment(second));
    let station = |m: &Member, p: Vec3| (p - vector(&m.ends[0])).length();
    (station(first, p), station(second, q), (p - q).length())
}

fn nearest_points(a: &Segment, b: &Segment) -> (Vec3, Vec3) {
    let (on_a, on_b) =
        query::details::closest_points_segment_segment_with_locations(&Pose3::identity(), a, b);
    (a.point_at(&on_a), b.point_at(&on_b))
}

/// Station of a member nearest to another's axis.
pub(super) fn crossing(draft: &Draft<'_>, member: MemberId, other: MemberId) -> f64 {
    closest(draft, member, other).0
}

/// How deep two solids lie in one another, in metres, and where; none where they do not.
///
/// Tubes are compared by the distance of their axes: general contact loses its direction where
/// axes meet exactly, which is where a person writes one member twice.
pub(super) fn depth(draft: &Draft<'_>, a: MemberId, b: MemberId) -> Option<(f64, Point)> {
    let (pose_a, solid_a) = solid(draft, a)?;
    let (pose_b, solid_b) = solid(draft, b)?;
    if let (Some(first), Some(second)) = (solid_a.as_capsule(), solid_b.as_capsule()) {
        let (p, q) = nearest_points(&first.segment, &second.segment);
        let deep = first.radius + second.radius - (p - q).length();
        return (deep > 0.0).then(|| (deep, point((p + q) / 2.0)));
    }
    let contact = query::contact(&pose_a, &*solid_a, &pose_b, &*solid_b, 0.0).ok().flatten();
    if let Some(contact) = contact.filter(|c| c.dist < 0.0) {
        return Some((-contact.dist, point((contact.point1 + contact.point2) / 2.0)));
    }
    let meet = query::intersection_test(&pose_a, &*solid_a, &pose_b, &*solid_b);
    let touch = contact.is_some_and(|c| c.dist >= 0.0);
    (!touch && meet.is_ok_and(|m| m.intersecting)).then(|| {
        // As deep as the thinner of them.
        let thin = |id| half_width(draft.library, draft.member(id));
        (thin(a).min(thin(b)), draft.member(a).at(closest(draft, a, b).0))
    })
}

/// A member's solid between its end zones; none for clips, and for what is all joint.
fn solid(draft: &Draft<'_>, id: MemberId) -> Option<(Pose3, Box<dyn Shape>)> {
    let member = draft.member(id);
    let library = draft.library;
    let length = member.length();
    match member.role {
        Role::Sheet | Role::Sill => {
            let thick = match member.role {
                Role::Sheet => library.sheets.get(&member.part)?.size.2.si(),
                _ => library.sills.get(&member.part)?.size.2.si(),
            };
            flat(draft, member, thick)
        }
        Role::Clip => None,
        _ if length <= 2.0 * END_ZONE => None,
        role if is_beam(role) => {
            let beam = library.beams.get(&member.part)?;
            let half =
                Vec3::new(length / 2.0 - END_ZONE, beam.width.si() / 2.0, beam.depth.si() / 2.0);
            let along = vector(&Point::from(member.direction()));
            let across = Vec3::new(-along.y, along.x, 0.0);
            let across = if across.length() > 1e-9 { across.normalize() } else { Vec3::Y };
            let up = along.cross(across);
            let turn = Rot3::from_mat3(&Mat3::from_cols(along, across, up));
            let middle = vector(&member.at(length / 2.0));
            Some((Pose3::from_parts(middle, turn), Box::new(Cuboid::new(half))))
        }
        _ => {
            let radius = half_width(library, member);
            let ends = [END_ZONE, length - END_ZONE].map(|s| vector(&member.at(s)));
            Some((Pose3::identity(), Box::new(Capsule::new(ends[0], ends[1], radius))))
        }
    }
}

fn flat(draft: &Draft<'_>, member: &Member, thick: f64) -> Option<(Pose3, Box<dyn Shape>)> {
    let block = member.block.as_deref();
    let turned = draft.scene.blocks.iter().find(|b| Some(b.name.as_str()) == block);
    let (sin, cos) = turned.map_or(0.0, |b| b.turned.si()).sin_cos();
    let run = member.ends[1] - member.ends[0];
    let along = (run.x * cos + run.y * sin).abs() / 2.0;
    let across = (run.y * cos - run.x * sin).abs() / 2.0;
    if along <= 0.0 || across <= 0.0 {
        return None;
    }
    let middle = nalgebra::center(&member.ends[0], &member.ends[1]);
    let middle = Vec3::new(middle.x, middle.y, middle.z - thick / 2.0);
    let turn = Rot3::from_mat3(&Mat3::from_cols(
        Vec3::new(cos, sin, 0.0),
        Vec3::new(-sin, cos, 0.0),
        Vec3::Z,
    ));
    Some((
        Pose3::from_parts(middle, turn),
        Box::new(Cuboid::new(Vec3::new(along, across, thick / 2.0))),
    ))
}
