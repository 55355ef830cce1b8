//! Shapes: closed, outward, at their real sizes.

use super::site;
use bevy::math::Vec3;
use bevy::mesh::{Mesh, VertexAttributeValues};
use standwell::assembly::Role;
use standwell::viewer::shapes::bulk::{ATTRIBUTE_LIT, ATTRIBUTE_MEMBER, Bulk, For};
use standwell::viewer::shapes::draft::{Draft, triangles};
use standwell::viewer::shapes::{bars, key, post, shape};
use standwell::viewer::space::{self, Origin};
use std::collections::BTreeSet;

fn volume(d: &Draft) -> f32 {
    d.corners().map(|([a, b, c], _)| a.dot(b.cross(c)) / 6.0).sum()
}

fn faces_match_normals(d: &Draft) {
    for ([a, b, c], normal) in d.corners() {
        let face = (b - a).cross(c - a);
        assert!(face.length() < 1e-9 || face.dot(normal) > 0.0, "inside out at {a} {b} {c}");
    }
}

/// Volume by the divergence theorem: a closed surface, wound outwards, gives its volume.
#[test]
fn a_tube_and_a_box_are_closed_and_face_outwards() {
    let mut d = Draft::default();
    d.tube(0.5, 2.5, 0.3, 64, 1.0);
    faces_match_normals(&d);
    let exact = std::f32::consts::PI * 0.09 * 2.0;
    assert!((volume(&d) / exact - 1.0).abs() < 0.01, "{}", volume(&d));
    let mut d = Draft::default();
    d.block(Vec3::new(1.0, 2.0, 3.0), Vec3::new(1.5, 3.0, 5.0), 1.0);
    faces_match_normals(&d);
    assert!((volume(&d) - 1.0).abs() < 1e-4);
    assert_eq!(d.edges.len(), 24);
}

#[test]
fn a_prism_is_closed_whichever_way_its_outline_runs() {
    let l_shape = [[0.0, 0.0], [3.0, 0.0], [3.0, 1.0], [1.0, 1.0], [1.0, 2.0], [0.0, 2.0]];
    let mut backwards = l_shape;
    backwards.reverse();
    for outline in [l_shape, backwards] {
        let mut d = Draft::default();
        d.prism(&outline, 0.5, 0.0, 1.0);
        faces_match_normals(&d);
        assert!((volume(&d) - 4.0 * 0.5).abs() < 1e-4, "{}", volume(&d));
        assert_eq!(triangles(&outline).len(), 4);
    }
}

#[test]
fn an_outline_that_crosses_itself_or_is_a_line_does_no_harm() {
    for outline in [
        vec![[0.0, 0.0], [1.0, 1.0], [1.0, 0.0], [0.0, 1.0]],
        vec![[0.0, 0.0], [1.0, 0.0], [2.0, 0.0]],
        vec![[0.0, 0.0]; 5],
        vec![[f32::NAN, 0.0], [1.0, 0.0], [0.0, 1.0]],
    ] {
        let mut d = Draft::default();
        d.prism(&outline, 1.0, 0.0, 1.0);
    }
}

#[test]
fn a_mirrored_frame_keeps_faces_outwards() {
    let mut d = Draft::default();
    d.block(Vec3::ZERO, Vec3::ONE, 1.0);
    d.place(Vec3::NEG_X, Vec3::Y, Vec3::Z, Vec3::ZERO);
    faces_match_normals(&d);
    assert!((volume(&d) - 1.0).abs() < 1e-5);
}

#[test]
fn a_post_reaches_from_its_foot_to_its_head_seat() {
    let review = site::review(2, 2);
    let library = &review.assembly.library;
    for (name, part) in &library.posts {
        let (_, long) = part.reach;
        let d = post::draw(Some(part), long.si() as f32, None);
        let bounds = d.bounds();
        assert!(bounds.min().y.abs() < 1e-6, "{name} begins at its foot");
        let top = bounds.max().y - long.si() as f32;
        assert!((0.0..0.2).contains(&top), "{name}: the head ends at the seat, lugs aside: {top}");
        faces_match_normals(&d);
    }
}

#[test]
fn members_alike_share_a_shape() {
    let review = site::review(4, 3);
    let assembly = &review.assembly;
    let shapes: BTreeSet<_> = assembly.members.iter().map(|m| key(assembly, m)).collect();
    assert!(assembly.members.len() > 100, "{} members", assembly.members.len());
    assert!(shapes.len() <= 14, "{} shapes for {} members", shapes.len(), assembly.members.len());
    for member in &assembly.members {
        assert!(shape(assembly, member).draft.triangles() > 0, "{} has a body", member.name);
    }
}

/// +x stays +x, the model's up is the window's up, +y goes away from a viewer at the front.
#[test]
fn every_shape_lies_between_its_members_ends() {
    let review = site::review(3, 2);
    let origin = Origin::of(&review.assembly);
    assert_eq!(space::turn([1.0, 2.0, 3.0]), Vec3::new(1.0, 3.0, -2.0));
    for member in &review.assembly.members {
        if matches!(member.role, Role::Sheet | Role::Sill | Role::Clip) {
            continue;
        }
        let ends = member.ends.map(|e| origin.point(e));
        let length = member.length() as f32;
        let place = space::transform(member.role, ends, length, 0.0);
        let far = place.transform_point(Vec3::Y * length);
        assert!(far.distance(ends[1]) < 1e-3, "{}: {far} is not {}", member.name, ends[1]);
        if member.role == Role::Ledger {
            assert!(place.rotation.mul_vec3(Vec3::Z).y > 0.99, "upper side up");
        }
    }
}

#[test]
fn beams_without_a_part_still_have_a_size() {
    let d = bars::i_beam(1.8, 0.16, 0.08, 0.0, true);
    faces_match_normals(&d);
    let size = d.bounds().half_extents * 2.0;
    assert!((size.x - 0.08).abs() < 1e-5 && (size.z - 0.16).abs() < 1e-5);
}

/// From far off a member has to fill the same place: its length exactly, its width within the
/// couplers and handles that are left out, and with far fewer corners.
#[test]
fn a_far_shape_fills_the_place_of_the_near_one() {
    let review = site::review(3, 2);
    let assembly = &review.assembly;
    let (mut near, mut far) = (0, 0);
    for member in &assembly.members {
        let shape = shape(assembly, member);
        faces_match_normals(&shape.far);
        let [a, b] = [shape.draft.bounds(), shape.far.bounds()];
        let along = if matches!(member.role, Role::Sheet | Role::Sill) { 0 } else { 1 };
        let length = |d: bevy::camera::primitives::Aabb| d.half_extents[along] * 2.0;
        assert!((length(a) - length(b)).abs() < 0.13, "{}: {a:?} and {b:?}", member.name);
        for axis in 0..3 {
            assert!(b.half_extents[axis] <= a.half_extents[axis] + 0.013, "{}", member.name);
        }
        near += shape.draft.triangles();
        far += shape.far.triangles();
    }
    assert!(far * 4 < near, "{far} triangles from far off, {near} near");
}

/// Put in place among others, a shape's corners are where the member's transform puts them, and its
/// surfaces face the way they did.
#[test]
fn many_shapes_in_one_mesh_keep_their_places() {
    let review = site::review(2, 2);
    let (assembly, origin) = (&review.assembly, Origin::of(&review.assembly));
    let mut bulk = Bulk::default();
    let (mut low, mut high) = (Vec3::INFINITY, Vec3::NEG_INFINITY);
    let (mut count, mut corners, mut facing) = (0, Vec::new(), Vec::new());
    for (i, member) in assembly.members.iter().enumerate() {
        let shape = shape(assembly, member);
        let ends = member.ends.map(|e| origin.point(e));
        let place = space::transform(member.role, ends, member.length() as f32, 0.0);
        bulk.solid(&shape.draft, &place, For::default().tag(i as u32));
        for (triangle, normal) in shape.draft.corners() {
            let moved = triangle.map(|p| place.transform_point(p));
            moved.iter().for_each(|p| (low, high) = (low.min(*p), high.max(*p)));
            count += 1;
            corners.push(moved);
            facing.push(place.rotation * normal);
        }
    }
    let bounds = bulk.bounds();
    assert!(Vec3::from(bounds.min()).distance(low) < 1e-4);
    assert!(Vec3::from(bounds.max()).distance(high) < 1e-4);
    let mesh = bulk.mesh();
    let Some(VertexAttributeValues::Float32x3(at)) = mesh.attribute(Mesh::ATTRIBUTE_POSITION)
    else {
        panic!("no places")
    };
    let Some(VertexAttributeValues::Snorm16x4(lit)) = mesh.attribute(ATTRIBUTE_LIT) else {
        panic!("no directions")
    };
    let Some(VertexAttributeValues::Uint32(tags)) = mesh.attribute(ATTRIBUTE_MEMBER) else {
        panic!("no members")
    };
    let indices: Vec<usize> = mesh.indices().unwrap().iter().collect();
    assert_eq!(indices.len(), 3 * count);
    for (k, t) in indices.chunks_exact(3).enumerate() {
        assert!(t.iter().all(|&v| tags[v] == tags[t[0]]), "one triangle, one member");
        for (v, p) in t.iter().zip(corners[k]) {
            assert!(Vec3::from_array(at[*v]).distance(p) < 1e-4);
        }
        let normal = [0, 1, 2].map(|c| f32::from(lit[t[0]][c]) / 32767.0);
        assert!(Vec3::from_array(normal).dot(facing[k]) > 0.999);
    }
    assert_eq!(tags.iter().map(|t| t >> 2).max(), Some(assembly.members.len() as u32 - 1));
}
