//! In which order the posts of a part of a block come up.

use super::cycle::Cycle;
use super::grid::{Bay, BlockGrid, Region};
use crate::scene::lines::GridPoint;
use crate::scene::model::Axis;

/// Posts in the order of the normal cycle: the strip of the tower's two lines away from the
/// tower, then row by row away from the strip. A row begins at its braced bay nearest to the
/// tower's columns, so that its first posts are in hand as short as can be.
#[must_use]
pub fn posts(
    cycle: &Cycle<'_, '_>,
    region: Region,
    tower: GridPoint,
    toward: Axis,
) -> Vec<GridPoint> {
    let turn = Turn(toward);
    let (low, high, tower) = (turn.place(region.low), turn.place(region.high), turn.place(tower));
    let mut order = Vec::new();
    let mut add = |u: usize, v: usize| {
        let p = turn.point(u, v);
        if region.contains(p) && cycle.grid.posts.contains_key(&p) && !cycle.post_there(p) {
            order.push(p);
        }
    };
    for u in outward(tower.0, low.0, high.0) {
        for v in [tower.1, tower.1 + 1] {
            add(u, v);
        }
    }
    for v in outward(tower.1, low.1, high.1) {
        if v == tower.1 || v == tower.1 + 1 {
            continue;
        }
        let start = first_braced(cycle.grid, turn, v, (low.0, high.0), tower.0);
        for u in outward(start, low.0, high.0) {
            add(u, v);
        }
    }
    order
}

/// Both of a pair first, then up to the end, then down to the other.
fn outward(start: usize, low: usize, high: usize) -> impl Iterator<Item = usize> {
    let up = start.max(low)..=high;
    up.chain((low..start.min(high + 1)).rev())
}

/// Lower post of the row's braced bay that is nearest to the tower's columns.
fn first_braced(
    grid: &BlockGrid<'_>,
    turn: Turn,
    v: usize,
    (low, high): (usize, usize),
    tower: usize,
) -> usize {
    (low..high)
        .filter(|&u| {
            Bay::between(turn.point(u, v), turn.point(u + 1, v))
                .is_some_and(|bay| grid.braces.contains_key(&bay))
        })
        .min_by_key(|&u| u.abs_diff(tower))
        .unwrap_or(tower)
}

/// Places along and across the direction of work.
#[derive(Clone, Copy)]
struct Turn(Axis);

impl Turn {
    fn place(self, p: GridPoint) -> (usize, usize) {
        match self.0 {
            Axis::X => (p.x, p.y),
            Axis::Y => (p.y, p.x),
        }
    }
    fn point(self, u: usize, v: usize) -> GridPoint {
        match self.0 {
            Axis::X => GridPoint { x: u, y: v },
            Axis::Y => GridPoint { x: v, y: u },
        }
    }
}
