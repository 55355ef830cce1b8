//! What the scene says of an overhang at a slab edge, and who stands on it.

use super::Context;
use crate::assembly::{Member, MemberId};
use crate::criteria::Pack;
use crate::scene::lines::Grid;
use crate::scene::model::{Block, Overhang};

/// Height of the guard rail above the walkway, metres.
/// Source: 29 CFR 1926.502(b)(1), top edge 42 in ± 3 in (from memory).
pub const RAIL_HEIGHT: f64 = 1.07;

/// Distance between two people at work, metres: 18 in.
/// Source: 29 CFR 1926 Subpart L Appendix A, two persons 18 in either side of the middle (from
/// memory); taken as the closest two of them stand.
pub const PEOPLE_APART: f64 = 0.46;

/// What an overhang carries by the scene's design.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Edge {
    /// Metres from the last line, and newtons on this member.
    pub form: Option<(f64, f64)>,
    /// Width of the walkway, from the tip inwards.
    pub walkway: Option<f64>,
    pub rail: bool,
    /// Width of floor edge that falls to this member.
    pub width: f64,
}

/// The edge at a member's overhang beyond a post; none where the scene names no overhang there.
pub(super) fn edge(ctx: &Context<'_>, member: &Member, post: MemberId) -> Option<Edge> {
    let block = member.block.as_deref()?;
    let block = ctx.assembly.scene.blocks.iter().find(|b| b.name == block)?;
    if block.overhangs.is_empty() {
        return None;
    }
    let grid = Grid::of(block).ok()?;
    let (a, b) = member.grid.as_ref()?;
    let (a, b) = (grid.point(a).ok()?, grid.point(b).ok()?);
    let at = grid.point(&ctx.assembly.member(post).grid.as_ref()?.0).ok()?;
    let along_x = a.y == b.y;
    let overhang = block.overhangs.iter().find(|o| passes(o, &grid, along_x, at))?;
    let width = width(block, along_x, at);
    Some(Edge {
        form: overhang.edge_form.as_ref().map(|f| (f.at.si(), f.weight.si() * width)),
        walkway: overhang.walkway.map(|w| w.si()),
        rail: overhang.rail,
        width,
    })
}

fn passes(overhang: &Overhang, grid: &Grid, along_x: bool, at: crate::scene::GridPoint) -> bool {
    let line = overhang.along.as_str();
    if let Some(x) = grid.x.iter().position(|l| l == line) {
        return along_x && at.x == x;
    }
    if let Some(y) = grid.y.iter().position(|l| l == line) {
        return !along_x && at.y == y;
    }
    grid.straight(line).is_ok_and(|(a, b)| {
        if along_x {
            a.x == b.x && at.x == a.x && (a.y..=b.y).contains(&at.y)
        } else {
            a.y == b.y && at.y == a.y && (a.x..=b.x).contains(&at.x)
        }
    })
}

/// Half a bay on either side; at the block's end the missing side counts like the other, since an
/// edge form runs on round the corner.
fn width(block: &Block, along_x: bool, at: crate::scene::GridPoint) -> f64 {
    let (positions, i) =
        if along_x { (block.y.positions(), at.y) } else { (block.x.positions(), at.x) };
    let here = positions.get(i).copied().unwrap_or(0.0);
    let before = i.checked_sub(1).and_then(|k| positions.get(k)).map(|p| here - p);
    let after = positions.get(i + 1).map(|p| p - here);
    let each = |side: Option<f64>, other: Option<f64>| 0.5 * side.or(other).unwrap_or(0.0);
    each(before, after) + each(after, before)
}

/// Moment of the pack's workers at the tip, and words for where they stand.
///
/// The first stands at the tip, the others behind him as close as people work. On a deck they may
/// stand beside him instead: then this member takes a share by the spacing to its neighbour.
pub(super) fn workers(pack: &Pack, overhang: f64, beside: Option<f64>) -> (f64, Vec<f64>) {
    let weight = pack.worker_weight.value.si();
    let count = pack.workers_on_overhang.value;
    let behind: Vec<f64> = (0..count)
        .map(|k| overhang - PEOPLE_APART * f64::from(k))
        .take_while(|&arm| arm > 0.0)
        .collect();
    let abreast: Vec<f64> = match beside.filter(|&s| s > 0.0) {
        Some(spacing) => (0..count)
            .map(|k| {
                // One to the left, one to the right of the first, and so on.
                let aside = PEOPLE_APART * f64::from(k.div_ceil(2));
                overhang * (1.0 - aside / spacing).max(0.0)
            })
            .filter(|&arm| arm > 0.0)
            .collect(),
        None => Vec::new(),
    };
    let sum = |arms: &[f64]| weight * arms.iter().sum::<f64>();
    if sum(&abreast) > sum(&behind) { (sum(&abreast), abreast) } else { (sum(&behind), behind) }
}
