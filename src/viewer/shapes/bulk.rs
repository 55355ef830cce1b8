//! Many shapes in one mesh. Every vertex knows its member; what the member looks like is looked up
//! when it is drawn, so that the mesh stays as it is from stage to stage.

use super::draft::Draft;
use bevy::asset::RenderAssetUsages;
use bevy::camera::primitives::Aabb;
use bevy::math::{Mat3, Vec3};
use bevy::mesh::{
    Indices, Mesh, MeshVertexAttribute, PrimitiveTopology, VertexAttributeValues, VertexFormat,
};
use bevy::prelude::Transform;

/// Number of the member, and what the vertex is for: see [`For`].
pub const ATTRIBUTE_MEMBER: MeshVertexAttribute =
    MeshVertexAttribute::new("StandwellMember", 0x5354_574c_0001, VertexFormat::Uint32);
/// Direction of the surface, and half the shade of grey that multiplies the member's colour.
pub const ATTRIBUTE_LIT: MeshVertexAttribute =
    MeshVertexAttribute::new("StandwellLit", 0x5354_574c_0002, VertexFormat::Snorm16x4);

/// When a vertex shows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct For {
    /// Only while the member is still to come; else only once it is there.
    pub to_come: bool,
    /// Only while the member moves, as part of the copy that moves; else only while it does not.
    pub moving: bool,
}

impl For {
    /// As the shader reads it.
    #[must_use]
    pub fn tag(self, member: u32) -> u32 {
        member << 2 | u32::from(self.moving) << 1 | u32::from(self.to_come)
    }
}

/// Shapes put in place, in the window's space.
#[derive(Clone, Debug)]
pub struct Bulk {
    positions: Vec<[f32; 3]>,
    members: Vec<u32>,
    lit: Vec<[i16; 4]>,
    indices: Vec<u32>,
    low: Vec3,
    high: Vec3,
}

impl Default for Bulk {
    fn default() -> Self {
        Self {
            positions: Vec::new(),
            members: Vec::new(),
            lit: Vec::new(),
            indices: Vec::new(),
            low: Vec3::INFINITY,
            high: Vec3::NEG_INFINITY,
        }
    }
}

fn snorm(value: f32) -> i16 {
    (value.clamp(-1.0, 1.0) * 32767.0).round() as i16
}

impl Bulk {
    /// Adds the triangles of a shape.
    pub fn solid(&mut self, draft: &Draft, place: &Transform, tag: u32) {
        let first = self.positions.len() as u32;
        self.points(&draft.positions, place, tag);
        let turn = Mat3::from_quat(place.rotation)
            * Mat3::from_diagonal(place.scale.max(Vec3::splat(1e-6)).recip());
        self.lit.extend(draft.normals.iter().zip(&draft.shades).map(|(n, shade)| {
            let n = (turn * Vec3::from_array(*n)).normalize_or_zero();
            [snorm(n.x), snorm(n.y), snorm(n.z), snorm(shade[0] * 0.5)]
        }));
        self.indices.extend(draft.indices.iter().map(|i| i + first));
    }

    /// Adds lines, as pairs of points.
    pub fn lines(&mut self, pairs: &[[f32; 3]], place: &Transform, tag: u32) {
        self.points(pairs, place, tag);
    }

    fn points(&mut self, points: &[[f32; 3]], place: &Transform, tag: u32) {
        let matrix = place.compute_affine();
        self.positions.extend(points.iter().map(|p| {
            let p = matrix.transform_point3(Vec3::from_array(*p));
            self.low = self.low.min(p);
            self.high = self.high.max(p);
            p.to_array()
        }));
        self.members.resize(self.positions.len(), tag);
    }

    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.positions.is_empty()
    }

    /// How many vertices it has.
    #[must_use]
    pub fn vertices(&self) -> usize {
        self.positions.len()
    }

    /// Box about all points.
    #[must_use]
    pub fn bounds(&self) -> Aabb {
        if self.is_empty() {
            return Aabb::default();
        }
        Aabb::from_min_max(self.low, self.high)
    }

    /// Triangles if any surface was added, else lines.
    #[must_use]
    pub fn mesh(self) -> Mesh {
        let topology = if self.lit.is_empty() {
            PrimitiveTopology::LineList
        } else {
            PrimitiveTopology::TriangleList
        };
        let mut mesh = Mesh::new(topology, RenderAssetUsages::RENDER_WORLD)
            .with_inserted_attribute(Mesh::ATTRIBUTE_POSITION, self.positions)
            .with_inserted_attribute(ATTRIBUTE_MEMBER, self.members);
        if !self.lit.is_empty() {
            mesh.insert_attribute(ATTRIBUTE_LIT, VertexAttributeValues::Snorm16x4(self.lit));
            mesh.insert_indices(Indices::U32(self.indices));
        }
        mesh
    }
}
