//! Members at their real sizes, in recognisable shapes. One shape is made for all members alike.

pub mod bars;
pub mod bulk;
pub mod draft;
pub mod edge;
mod far;
pub mod post;
pub mod site;

use crate::assembly::model::Member;
use crate::assembly::{Assembly, Role};
use crate::viewer::space::{self, Lie};
use draft::Draft;

/// What tells two shapes apart. Lengths in millimetres.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ShapeKey {
    role: Role,
    part: String,
    length: i64,
    size: [i64; 2],
    jack: Option<(String, i64)>,
}

/// A member's shape with its drawn edges, the same from far off, and its outline while it is still
/// to come.
#[derive(Clone, Debug)]
pub struct Shape {
    pub draft: Draft,
    pub far: Draft,
    pub ghost: Vec<[f32; 3]>,
}

/// The shape a member has, without its place.
#[must_use]
pub fn key(assembly: &Assembly, member: &Member) -> ShapeKey {
    let mm = |v: f64| if v.is_finite() { (v * 1000.0).round() as i64 } else { 0 };
    let flat = space::lie(member.role) == Lie::Flat;
    ShapeKey {
        role: member.role,
        part: member.part.clone(),
        length: if flat { 0 } else { mm(member.length()) },
        size: if flat { flat_size(assembly, member).map(mm) } else { [0, 0] },
        jack: member.jack.as_ref().map(|(part, out)| (part.clone(), mm(*out))),
    }
}

/// Sides of a sheet or sill along the block's x and y, from its corners.
fn flat_size(assembly: &Assembly, member: &Member) -> [f64; 2] {
    let across = member.ends[1] - member.ends[0];
    let (sin, cos) = f64::from(space::turned(assembly, member)).sin_cos();
    let size = [(across.x * cos + across.y * sin).abs(), (across.y * cos - across.x * sin).abs()];
    let (x, y) = assembly
        .library
        .sills
        .get(&member.part)
        .map_or((0.3, 0.3), |s| (s.size.0.si(), s.size.1.si()));
    // A sill given by one point only is as large as its part.
    if size[0] < 1e-6 && size[1] < 1e-6 { [x, y] } else { size }
}

/// Height of a beam's middle above its axis. The axis is where it sits in its heads.
#[must_use]
pub fn middle(_role: Role, _depth: f32) -> f32 {
    0.0
}

/// Draws a member.
#[must_use]
pub fn shape(assembly: &Assembly, member: &Member) -> Shape {
    let library = &assembly.library;
    let length = member.length() as f32;
    let beam = library.beams.get(&member.part);
    let depth = beam.map_or(0.16, |b| b.depth.si() as f32).clamp(0.02, 2.0);
    let width = beam.map_or(0.08, |b| b.width.si() as f32).clamp(0.02, 2.0);
    let middle = middle(member.role, depth);
    let axis = vec![[0.0, 0.0, middle], [0.0, length, middle]];
    match member.role {
        Role::Post | Role::Prop => {
            let part = library.posts.get(&member.part);
            let jack =
                member.jack.as_ref().map(|(name, out)| (library.jacks.get(name), *out as f32));
            let plate = part.map_or(0.15, |p| p.base_plate.si() as f32);
            let ghost = post::ghost(length, plate);
            Shape {
                draft: post::draw(part, length, jack),
                far: post::far(part, length, jack),
                ghost,
            }
        }
        Role::Ledger | Role::Joist | Role::Filler => {
            let nailer = member.role == Role::Joist;
            Shape {
                draft: bars::i_beam(length, depth, width, middle, nailer),
                far: bars::far_i_beam(length, depth, width, middle, nailer),
                ghost: axis,
            }
        }
        Role::DropBeam => Shape {
            draft: bars::box_beam(length, depth, width, middle),
            far: bars::far_box_beam(length, depth, width, middle),
            ghost: axis,
        },
        Role::Brace | Role::PlanBrace | Role::TieIn => {
            let outside = library.braces.get(&member.part).map_or(0.042, |b| b.outside.si() as f32);
            Shape {
                draft: bars::tube(length, outside),
                far: bars::far_tube(length, outside),
                ghost: axis,
            }
        }
        Role::Clip => {
            let draft = bars::clip(0.2, 0.1);
            Shape { far: draft.clone(), draft, ghost: Vec::new() }
        }
        Role::Sill | Role::Sheet => {
            let [x, y] = flat_size(assembly, member).map(|v| v as f32);
            let thickness = if member.role == Role::Sill {
                library.sills.get(&member.part).map_or(0.05, |s| s.size.2.si() as f32)
            } else {
                library.sheets.get(&member.part).map_or(0.018, |s| s.size.2.si() as f32)
            };
            Shape {
                draft: bars::plate(x, y, thickness),
                far: bars::far_plate(x, y, thickness),
                ghost: Vec::new(),
            }
        }
    }
}
