//! A shape on the drawing board: triangles with a shade of grey for each piece, and drawn edges.

use bevy::asset::RenderAssetUsages;
use bevy::camera::primitives::Aabb;
use bevy::mesh::{Indices, Mesh, PrimitiveTopology};
use bevy::prelude::Vec3;
use std::f32::consts::TAU;

/// Triangles and edges in metres, in the member's own frame.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Draft {
    pub(super) positions: Vec<[f32; 3]>,
    pub(super) normals: Vec<[f32; 3]>,
    pub(super) shades: Vec<[f32; 4]>,
    pub(super) indices: Vec<u32>,
    /// Pairs of points.
    pub edges: Vec<[f32; 3]>,
}

impl Draft {
    /// A closed tube along +Y. `shade` multiplies the member's colour.
    pub fn tube(&mut self, from: f32, to: f32, radius: f32, sides: u32, shade: f32) {
        self.mantle(from, to, radius, sides, shade);
        self.disc(to, radius, sides, 1.0, shade);
        self.disc(from, radius, sides, -1.0, shade);
    }

    /// A tube along +Y without its ends.
    pub fn mantle(&mut self, from: f32, to: f32, radius: f32, sides: u32, shade: f32) {
        let first = self.count();
        for side in 0..=sides {
            let angle = TAU * side as f32 / sides as f32;
            let (sin, cos) = angle.sin_cos();
            for y in [from, to] {
                self.vertex([radius * cos, y, radius * sin], [cos, 0.0, sin], shade);
            }
        }
        for side in 0..sides {
            let a = first + 2 * side;
            self.indices.extend([a, a + 1, a + 2, a + 2, a + 1, a + 3]);
        }
    }

    /// A rectangle from a line at `y` 0 along +Y, seen from where `normal` points.
    pub fn strip(&mut self, line: [Vec3; 2], length: f32, normal: Vec3, shade: f32) {
        let first = self.count();
        let up = Vec3::Y * length;
        for p in [line[0], line[1], line[1] + up, line[0] + up] {
            self.vertex(p.to_array(), normal.to_array(), shade);
        }
        let i = |k: u32| first + k;
        let faces_out = (line[1] - line[0]).cross(Vec3::Y).dot(normal) > 0.0;
        self.indices.extend(if faces_out {
            [i(0), i(1), i(2), i(0), i(2), i(3)]
        } else {
            [i(0), i(2), i(1), i(0), i(3), i(2)]
        });
    }

    fn disc(&mut self, y: f32, radius: f32, sides: u32, up: f32, shade: f32) {
        let middle = self.count();
        self.vertex([0.0, y, 0.0], [0.0, up, 0.0], shade);
        for side in 0..=sides {
            let (sin, cos) = (TAU * side as f32 / sides as f32).sin_cos();
            self.vertex([radius * cos, y, radius * sin], [0.0, up, 0.0], shade);
        }
        for side in 0..sides {
            let (a, b) = (middle + 1 + side, middle + 2 + side);
            self.indices.extend(if up > 0.0 { [middle, b, a] } else { [middle, a, b] });
        }
    }

    /// A circle about +Y, as an edge.
    pub fn rim(&mut self, y: f32, radius: f32, sides: u32) {
        let point = |side: u32| {
            let (sin, cos) = (TAU * side as f32 / sides as f32).sin_cos();
            [radius * cos, y, radius * sin]
        };
        for side in 0..sides {
            self.edges.extend([point(side), point(side + 1)]);
        }
    }

    /// A box with drawn edges.
    pub fn block(&mut self, low: Vec3, high: Vec3, shade: f32) {
        self.faces(low, high, shade);
        self.outline(low, high);
    }

    /// A box without drawn edges.
    pub fn faces(&mut self, low: Vec3, high: Vec3, shade: f32) {
        let sign = [-1.0f32, 1.0];
        for axis in 0..3 {
            for s in sign {
                let mut normal = [0.0; 3];
                normal[axis] = s;
                let (u, v) = ((axis + 1) % 3, (axis + 2) % 3);
                let at = |x: f32, y: f32| {
                    let mut p = [0.0; 3];
                    p[axis] = if s > 0.0 { high[axis] } else { low[axis] };
                    p[u] = if x > 0.0 { high[u] } else { low[u] };
                    p[v] = if y > 0.0 { high[v] } else { low[v] };
                    p
                };
                let first = self.count();
                for (x, y) in [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)] {
                    self.vertex(at(x, y), normal, shade);
                }
                let q = |k: u32| first + k;
                self.indices.extend(if s > 0.0 {
                    [q(0), q(1), q(2), q(0), q(2), q(3)]
                } else {
                    [q(0), q(2), q(1), q(0), q(3), q(2)]
                });
            }
        }
    }

    /// The twelve edges of a box.
    pub fn outline(&mut self, low: Vec3, high: Vec3) {
        let corner = |k: usize| {
            [
                if k & 1 == 0 { low.x } else { high.x },
                if k & 2 == 0 { low.y } else { high.y },
                if k & 4 == 0 { low.z } else { high.z },
            ]
        };
        for k in 0..8usize {
            for bit in [1, 2, 4] {
                if k & bit == 0 {
                    self.edges.extend([corner(k), corner(k | bit)]);
                }
            }
        }
    }

    /// A flat polygon (convex or not) as a slab of some thickness under `y`.
    pub fn prism(&mut self, outline: &[[f32; 2]], top: f32, bottom: f32, shade: f32) {
        let n = outline.len();
        if n < 3 {
            return;
        }
        for (y, up) in [(top, 1.0), (bottom, -1.0)] {
            let first = self.count();
            for p in outline {
                self.vertex([p[0], y, p[1]], [0.0, up, 0.0], shade);
            }
            for [a, b, c] in triangles(outline) {
                let (a, b, c) = (first + a, first + b, first + c);
                self.indices.extend(if up > 0.0 { [a, b, c] } else { [a, c, b] });
            }
        }
        let clockwise = area(outline) < 0.0;
        for k in 0..n {
            let (p, q) = (outline[k], outline[(k + 1) % n]);
            let along = Vec3::new(q[0] - p[0], 0.0, q[1] - p[1]);
            let Some(along) = along.try_normalize() else { continue };
            let out = if clockwise { along.cross(Vec3::Y) } else { Vec3::Y.cross(along) };
            let first = self.count();
            for (point, y) in [(p, bottom), (q, bottom), (q, top), (p, top)] {
                self.vertex([point[0], y, point[1]], out.to_array(), shade);
            }
            let i = |k: u32| first + k;
            self.indices.extend(if clockwise {
                [i(0), i(1), i(2), i(0), i(2), i(3)]
            } else {
                [i(0), i(2), i(1), i(0), i(3), i(2)]
            });
            self.edges.extend([[p[0], top, p[1]], [q[0], top, q[1]]]);
            self.edges.extend([[p[0], bottom, p[1]], [q[0], bottom, q[1]]]);
            self.edges.extend([[p[0], top, p[1]], [p[0], bottom, p[1]]]);
        }
    }

    /// Adds another draft, moved.
    pub fn add(&mut self, other: &Self, by: Vec3) {
        let first = self.count();
        let moved = |p: &[f32; 3]| [p[0] + by.x, p[1] + by.y, p[2] + by.z];
        self.positions.extend(other.positions.iter().map(moved));
        self.normals.extend(&other.normals);
        self.shades.extend(&other.shades);
        self.indices.extend(other.indices.iter().map(|i| i + first));
        self.edges.extend(other.edges.iter().map(moved));
    }

    /// Raises every point by a height that depends on its place. Normals stay as they are: slopes
    /// of ground are small.
    pub fn lift(&mut self, height: impl Fn(f32, f32) -> f32) {
        let raise = |p: &mut [f32; 3]| p[1] += height(p[0], p[2]);
        self.positions.iter_mut().for_each(raise);
        self.edges.iter_mut().for_each(raise);
    }

    /// Puts a shape drawn about the origin in place: where its X, Y and Z go, and its origin.
    pub fn place(&mut self, x: Vec3, y: Vec3, z: Vec3, origin: Vec3) {
        let turned = |v: &[f32; 3]| x * v[0] + y * v[1] + z * v[2];
        for n in &mut self.normals {
            *n = turned(n).to_array();
        }
        for p in self.positions.iter_mut().chain(&mut self.edges) {
            *p = (turned(p) + origin).to_array();
        }
        // A mirrored frame turns every triangle inside out.
        if x.cross(y).dot(z) < 0.0 {
            for t in self.indices.chunks_exact_mut(3) {
                t.swap(1, 2);
            }
        }
    }

    /// Box about all points.
    #[must_use]
    pub fn bounds(&self) -> Aabb {
        let points = self.positions.iter().chain(&self.edges).map(|p| Vec3::from_array(*p));
        let low = points.clone().reduce(Vec3::min).unwrap_or(Vec3::ZERO);
        let high = points.reduce(Vec3::max).unwrap_or(Vec3::ZERO);
        Aabb::from_min_max(low, high)
    }

    #[must_use]
    pub fn solid(self) -> Mesh {
        Mesh::new(PrimitiveTopology::TriangleList, RenderAssetUsages::RENDER_WORLD)
            .with_inserted_attribute(Mesh::ATTRIBUTE_POSITION, self.positions)
            .with_inserted_attribute(Mesh::ATTRIBUTE_NORMAL, self.normals)
            .with_inserted_attribute(Mesh::ATTRIBUTE_COLOR, self.shades)
            .with_inserted_indices(Indices::U32(self.indices))
    }

    /// How many triangles it has.
    #[must_use]
    pub fn triangles(&self) -> usize {
        self.indices.len() / 3
    }

    /// Every triangle as three points, for tests of winding and closure.
    pub fn corners(&self) -> impl Iterator<Item = ([Vec3; 3], Vec3)> + '_ {
        self.indices.chunks_exact(3).map(|t| {
            let p = |k: usize| Vec3::from_array(self.positions[t[k] as usize]);
            ([p(0), p(1), p(2)], Vec3::from_array(self.normals[t[0] as usize]))
        })
    }

    fn vertex(&mut self, position: [f32; 3], normal: [f32; 3], shade: f32) {
        self.positions.push(position);
        self.normals.push(normal);
        self.shades.push([shade, shade, shade, 1.0]);
    }

    fn count(&self) -> u32 {
        self.positions.len() as u32
    }
}

fn area(outline: &[[f32; 2]]) -> f32 {
    let n = outline.len();
    (0..n)
        .map(|k| {
            let (p, q) = (outline[k], outline[(k + 1) % n]);
            0.5 * (p[0] * q[1] - q[0] * p[1])
        })
        .sum()
}

/// Ear clipping; wound so that the normal is +Y when x goes right and z towards the viewer.
#[must_use]
pub fn triangles(outline: &[[f32; 2]]) -> Vec<[u32; 3]> {
    let mut left: Vec<usize> = (0..outline.len()).collect();
    if area(outline) > 0.0 {
        left.reverse();
    }
    let cross = |a: usize, b: usize, c: usize| {
        let (a, b, c) = (outline[a], outline[b], outline[c]);
        (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    };
    let mut out = Vec::new();
    while left.len() > 2 {
        let n = left.len();
        let ear = (0..n).find(|&k| {
            let (a, b, c) = (left[(k + n - 1) % n], left[k], left[(k + 1) % n]);
            cross(a, b, c) < 0.0
                && left.iter().all(|&p| {
                    p == a
                        || p == b
                        || p == c
                        || !(cross(a, b, p) <= 0.0
                            && cross(b, c, p) <= 0.0
                            && cross(c, a, p) <= 0.0)
                })
        });
        // Nothing to cut off: a line, or an outline that crosses itself. Draw what there is.
        let Some(k) = ear else { break };
        out.push([left[(k + n - 1) % n] as u32, left[k] as u32, left[(k + 1) % n] as u32]);
        left.remove(k);
    }
    out
}
