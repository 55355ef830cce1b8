//! Slab edges: ledgers and joists that run past the edge line of a block, with what the scene says
//! of them.

use super::area::{Plan, rectangle};
use super::carriers::passes;
use crate::assembly::{Assembly, JointKind, Member, MemberId, Role};
use crate::scene::GridPoint;
use crate::scene::lines::Grid;
use crate::scene::model::{Axis, Block, Overhang};
use crate::sequence::Stage;

/// How the weight of an edge form is called among a member's loads.
pub const EDGE_FORM: &str = "edge form";

/// One beam's piece of a slab edge.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ledge<'a> {
    pub member: MemberId,
    /// Station of the edge post, and of the tip.
    pub from: f64,
    pub to: f64,
    pub overhang: &'a Overhang,
    /// Half the bay to the left and to the right of the direction from post to tip. At the block's
    /// end the missing side counts like the other, since a slab edge runs on round the corner.
    pub sides: [f64; 2],
}

impl Ledge<'_> {
    /// 1 where the tip is the member's second end, −1 where it is the first.
    pub fn outward(&self) -> f64 {
        if self.to > self.from { 1.0 } else { -1.0 }
    }
    /// Width of slab edge that falls to this beam.
    pub fn width(&self) -> f64 {
        self.sides[0] + self.sides[1]
    }
    /// The floor area that falls to it, anticlockwise.
    pub fn outline(&self, assembly: &Assembly) -> Vec<Plan> {
        let member = assembly.member(self.member);
        let (a, b) = (member.at(self.from), member.at(self.to));
        let run = (b.x - a.x).hypot(b.y - a.y).max(1e-9);
        let axis = [(b.x - a.x) / run, (b.y - a.y) / run];
        let left = [-axis[1], axis[0]];
        let [l, r] = self.sides;
        rectangle(
            [a.x - r * left[0], a.y - r * left[1]],
            [b.x + l * left[0], b.y + l * left[1]],
            axis,
        )
    }
}

/// All beams that are there and run past an edge line that the scene gives an overhang.
pub(crate) fn ledges<'a>(assembly: &'a Assembly, stage: &Stage) -> Vec<Ledge<'a>> {
    let mut out = Vec::new();
    for block in assembly.scene.blocks.iter().filter(|b| !b.overhangs.is_empty()) {
        let Ok(grid) = Grid::of(block) else { continue };
        for member in &assembly.members {
            let beam = matches!(member.role, Role::Ledger | Role::Joist);
            if beam
                && member.block.as_deref() == Some(&block.name)
                && stage.state(member.id).is_there()
            {
                out.extend(of_member(assembly, stage, (block, &grid), member));
            }
        }
    }
    out
}

fn of_member<'a>(
    assembly: &'a Assembly,
    stage: &Stage,
    (block, grid): (&'a Block, &Grid),
    member: &Member,
) -> Vec<Ledge<'a>> {
    let point = |name: &str| grid.point(name).ok();
    let Some((a, b)) = member.grid.as_ref().and_then(|(a, b)| Some((point(a)?, point(b)?))) else {
        return Vec::new();
    };
    let axis = if a.y == b.y { Axis::X } else { Axis::Y };
    let mut out = Vec::new();
    for &j in assembly.joints_of(member.id) {
        let joint = assembly.joint(j);
        if joint.member != member.id
            || joint.kind != JointKind::Head
            || passes(assembly, stage, j).is_none_or(|p| !p.bearing)
        {
            continue;
        }
        let post = joint.carrier.and_then(|c| assembly.member(c).grid.as_ref());
        let Some(at) = post.and_then(|g| point(&g.0)) else { continue };
        let Some(overhang) = block.overhangs.iter().find(|o| passes_line(o, grid, axis, at)) else {
            continue;
        };
        // The nearer end of the member is its tip.
        let length = member.length();
        let to = if joint.member_at > 0.5 * length { length } else { 0.0 };
        if (to - joint.member_at).abs() < 1e-6 {
            continue;
        }
        let outward = if to > 0.0 { 1.0 } else { -1.0 };
        let sides = sides(assembly, block, member, axis, at, outward);
        out.push(Ledge { member: member.id, from: joint.member_at, to, overhang, sides });
    }
    out
}

/// Whether beams along an axis pass the overhang's line at a grid point.
fn passes_line(overhang: &Overhang, grid: &Grid, axis: Axis, at: GridPoint) -> bool {
    let line = overhang.along.as_str();
    if let Some(x) = grid.x.iter().position(|l| l == line) {
        return axis == Axis::X && at.x == x;
    }
    if let Some(y) = grid.y.iter().position(|l| l == line) {
        return axis == Axis::Y && at.y == y;
    }
    grid.straight(line).is_ok_and(|(a, b)| match axis {
        Axis::X => a.x == b.x && at.x == a.x && (a.y..=b.y).contains(&at.y),
        Axis::Y => a.y == b.y && at.y == a.y && (a.x..=b.x).contains(&at.x),
    })
}

fn sides(
    assembly: &Assembly,
    block: &Block,
    member: &Member,
    axis: Axis,
    at: GridPoint,
    outward: f64,
) -> [f64; 2] {
    let (positions, i) = match axis {
        Axis::X => (block.y.positions(), at.y),
        Axis::Y => (block.x.positions(), at.x),
    };
    let here = positions.get(i).copied().unwrap_or(0.0);
    let before = i.checked_sub(1).and_then(|k| positions.get(k)).map(|p| here - p);
    let after = positions.get(i + 1).map(|p| p - here);
    let half = |side: Option<f64>, other: Option<f64>| 0.5 * side.or(other).unwrap_or(0.0);
    let (before, after) = (half(before, after), half(after, before));
    // The block's other axis, seen from the post towards the tip, is on the left or on the right.
    let x = super::axis_of(assembly, member);
    let other = match axis {
        Axis::X => [-x[1], x[0]],
        Axis::Y => x,
    };
    let d = member.direction() * outward;
    if d.x * other[1] - d.y * other[0] > 0.0 { [after, before] } else { [before, after] }
}

/// Whether a deck sheet rests on a member, directly or through fillers.
pub(crate) fn decked(assembly: &Assembly, stage: &Stage, member: MemberId) -> bool {
    assembly.joints_of(member).iter().map(|&j| assembly.joint(j)).any(|joint| {
        joint.carrier == Some(member)
            && passes(assembly, stage, joint.id).is_some_and(|p| p.bearing)
            && match assembly.member(joint.member).role {
                Role::Sheet => true,
                Role::Filler => decked(assembly, stage, joint.member),
                _ => false,
            }
    })
}
