//! The least sideways force along the edge of a floor, while its concrete goes in.
//!
//! Codes ask for a least force per length of slab edge, square to the edge. There is a slab edge where
//! there is slab: the lengths are those of the fresh concrete on each block, along and across the
//! block, and the force is shared by what rests on the heads of that block.
//!
//! The text, California title 8 section 1717(a)(4) and the same in ACI 347 2.2.3: in each direction no less
//! than the greater of 100 lb per linear foot of floor edge and 2 % of the total dead load. It is written
//! for the forms of a slab; nothing in it says from which moment of the pour on. It is read to the
//! letter here: it acts as soon as fresh concrete is on, along the edge that this concrete has. On a
//! nearly empty deck that is a large force for the little weight there is, and findings that rest on
//! it say so. Before any concrete is on, the wind and the share of the weight count alone.
//!
//! Hand check for ACI 347, recomputed: a slab of 30 × 60 ft at 100 lb/ft has 6.00 kip square to its
//! long edge and 3.00 kip square to its short one; 2 % of its 189 kip are 3.78 kip.

use super::LoadState;
use super::area::{Plan, clip, extent, rectangle, size_and_centre};
use super::ledge::{Ledge, ledges};
use super::sheet::{axis_of, outline};
use crate::assembly::{Assembly, MemberId, Role};
use crate::chunks::Chunks;
use crate::criteria::Pack;
use crate::scene::model::{LoadKind, LoadPlace};
use crate::sequence::Stage;
use std::collections::BTreeMap;

/// What is gathered of one block.
struct Floor {
    axis: Plan,
    /// Extent of fresh concrete along and across.
    sides: [(f64, f64); 2],
    /// What rests on each post.
    posts: Vec<(MemberId, f64)>,
}

impl Floor {
    fn new(axis: Plan) -> Self {
        Self { axis, sides: [(f64::INFINITY, f64::NEG_INFINITY); 2], posts: Vec::new() }
    }
    fn widen(&mut self, part: &[Plan]) {
        if size_and_centre(part).0.abs() < 1e-9 {
            return;
        }
        let across = [-self.axis[1], self.axis[0]];
        for (side, direction) in self.sides.iter_mut().zip([self.axis, across]) {
            let (low, high) = extent(part, direction);
            *side = (side.0.min(low), side.1.max(high));
        }
    }
    /// Length of the concrete along or across.
    fn run(&self, k: usize) -> f64 {
        (self.sides[k].1 - self.sides[k].0).max(0.0)
    }
}

/// Force at each head, by member, along its block's axis and across it; empty where no fresh concrete
/// is on or the pack has no such rule.
pub(super) fn edge_lateral(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
) -> Chunks<[f64; 2]> {
    let fresh = fresh(stage);
    let Some(each) = pack.lateral_edge.value.filter(|_| !fresh.is_empty()) else {
        return Chunks::default();
    };
    let mut floors: BTreeMap<Option<&str>, Floor> = BTreeMap::new();
    let edges: Vec<Ledge<'_>> = ledges(assembly, stage);
    for member in &assembly.members {
        if !stage.state(member.id).is_there() {
            continue;
        }
        let floor = floors
            .entry(member.block.as_deref())
            .or_insert_with(|| Floor::new(axis_of(assembly, member)));
        if member.is_post() {
            let own = if member.weight.is_finite() { member.weight } else { 0.0 };
            floor.posts.push((member.id, (loads.at_foot[member.id.index()] - own).max(0.0)));
            continue;
        }
        let area = match member.role {
            Role::Sheet => outline(assembly, member),
            Role::DropBeam => {
                let plan = |i: usize| [member.ends[i].x, member.ends[i].y];
                // A bearer carries the concrete beside it; its own line is enough for the length.
                super::area::strip(plan(0), plan(1), 0.1).map(|s| s.0).unwrap_or_default()
            }
            _ => continue,
        };
        for rect in &fresh {
            floor.widen(&clip(&area, rect));
        }
    }
    for edge in &edges {
        let block = assembly.member(edge.member).block.as_deref();
        if let Some(floor) = floors.get_mut(&block) {
            for rect in &fresh {
                floor.widen(&clip(&edge.outline(assembly), rect));
            }
        }
    }
    let mut out = Chunks::filled([0.0; 2], assembly.members.len());
    for floor in floors.values() {
        let total: f64 = floor.posts.iter().map(|p| p.1).sum();
        if total <= 0.0 {
            continue;
        }
        // Square to an edge that runs across acts along, and the other way round.
        let force = [each.si() * floor.run(1), each.si() * floor.run(0)];
        for (post, above) in &floor.posts {
            out[post.index()] = force.map(|f| f * above / total);
        }
    }
    out
}

/// Plan rectangles of fresh concrete.
fn fresh(stage: &Stage) -> Vec<Vec<Plan>> {
    stage
        .loads
        .iter()
        .filter(|l| l.text.kind == LoadKind::Concrete)
        .filter_map(|load| match &load.text.on {
            LoadPlace::Area { from, to, .. }
            | LoadPlace::Pour { from, to, .. }
            | LoadPlace::Layer { from, to, .. } => {
                Some(rectangle([from.0.si(), from.1.si()], [to.0.si(), to.1.si()], [1.0, 0.0]))
            }
            _ => None,
        })
        .collect()
}
