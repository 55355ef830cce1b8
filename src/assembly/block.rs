//! A block on its way to members: grid, geometry, and what has been made so far.

use super::draft::Draft;
use super::edits::Edits;
use super::model::{GridLine, Member, MemberId, Point, Role};
use super::{beams, braces, deck, overhangs, posts};
use crate::equipment::GRAVITY;
use crate::scene::model::{Axis, Block, Override};
use crate::scene::{Grid, GridPoint};
use crate::units::UnitSystem;
use std::collections::BTreeMap;
use std::ops::Range;

/// Head levels that differ by more than this many metres have no level beam between them.
pub const LEVEL_WITHIN: f64 = 0.010;

/// A post of the grid.
#[derive(Clone, Copy, Debug)]
pub(super) struct PostPlace {
    pub id: MemberId,
    pub head: Point,
    /// Metres above the foot, and below the head, of the brace couplers.
    pub brace_low: f64,
    pub brace_high: f64,
}

/// One block while it is laid out.
pub(super) struct Layout<'a> {
    pub block: &'a Block,
    /// `blocks[2]`.
    pub path: String,
    pub written_at: Range<usize>,
    pub grid: Grid,
    pub edits: Edits<'a>,
    pub units: UnitSystem,
    xs: Vec<f64>,
    ys: Vec<f64>,
    pub posts: BTreeMap<GridPoint, PostPlace>,
    /// Head-to-head beams by the axis they run along and their lower post.
    pub beams: BTreeMap<(Axis, GridPoint), MemberId>,
}

/// Lays a block out.
pub(super) fn lay_out(draft: &mut Draft<'_>, index: usize) {
    let block = &draft.scene.blocks[index];
    let path = format!("blocks[{index}]");
    let grid = match Grid::of(block) {
        Ok(grid) => grid,
        Err(error) => return draft.problem(&path, error.to_string(), None),
    };
    for (lines, axis) in [(&block.x, "x"), (&block.y, "y")] {
        if let Err(error) = lines.spacings() {
            return draft.problem(&format!("{path}.{axis}"), error.to_string(), None);
        }
    }
    let mut layout = Layout {
        block,
        written_at: draft.range(&path),
        path,
        grid,
        edits: Edits::new(block),
        units: draft.scene.units,
        xs: block.x.positions(),
        ys: block.y.positions(),
        posts: BTreeMap::new(),
        beams: BTreeMap::new(),
    };
    layout.bubbles(draft);
    posts::lay_out(draft, &mut layout);
    beams::lay_out(draft, &mut layout);
    overhangs::lay_out(draft, &layout);
    deck::lay_out(draft, &layout);
    braces::lay_out(draft, &layout);
    layout.edits.report_unmet(draft, &layout.path);
}

impl Layout<'_> {
    /// Number of lines along an axis.
    pub fn count(&self, axis: Axis) -> usize {
        match axis {
            Axis::X => self.xs.len(),
            Axis::Y => self.ys.len(),
        }
    }

    /// The next grid point along an axis.
    pub fn next(&self, at: GridPoint, axis: Axis) -> Option<GridPoint> {
        let next = match axis {
            Axis::X => GridPoint { x: at.x + 1, ..at },
            Axis::Y => GridPoint { y: at.y + 1, ..at },
        };
        (next.x < self.xs.len() && next.y < self.ys.len()).then_some(next)
    }

    pub fn points(&self) -> impl Iterator<Item = GridPoint> + use<> {
        let (x, y) = (self.xs.len(), self.ys.len());
        (0..x).flat_map(move |x| (0..y).map(move |y| GridPoint { x, y }))
    }

    pub fn point_name(&self, at: GridPoint) -> String {
        self.grid.name(at).unwrap_or_default()
    }

    /// Plan distance between two neighbouring lines, in metres.
    pub fn bay(&self, from: GridPoint, axis: Axis) -> f64 {
        match axis {
            Axis::X => self.xs[from.x + 1] - self.xs[from.x],
            Axis::Y => self.ys[from.y + 1] - self.ys[from.y],
        }
    }

    /// Plan position of a grid point.
    pub fn plan(&self, at: GridPoint) -> [f64; 2] {
        self.of_block(self.xs[at.x], self.ys[at.y])
    }

    /// From the block's own axes to the scene's.
    pub fn of_block(&self, x: f64, y: f64) -> [f64; 2] {
        let [x, y] = self.turn(x, y);
        [x + self.block.origin.0.si(), y + self.block.origin.1.si()]
    }

    /// A direction turned with the block.
    pub fn turn(&self, x: f64, y: f64) -> [f64; 2] {
        let (sin, cos) = self.block.turned.si().sin_cos();
        [x * cos - y * sin, x * sin + y * cos]
    }

    /// The axis ledgers run along, and the one joists run along.
    pub fn ledger_axis(&self) -> Axis {
        self.block.ledgers_run
    }
    pub fn joist_axis(&self) -> Axis {
        other(self.block.ledgers_run)
    }

    /// `ledger.C4-D4` in this block; the name in the scene has the block in front.
    pub fn between(&self, role: &str, a: GridPoint, b: GridPoint) -> String {
        format!("{role}.{}-{}", self.point_name(a), self.point_name(b))
    }

    /// The four corners of a bay, lowest first and highest last, if the grid goes so far.
    pub fn corners(&self, low: GridPoint) -> Option<[GridPoint; 4]> {
        let along = self.next(low, Axis::X)?;
        Some([low, along, self.next(low, Axis::Y)?, self.next(along, Axis::Y)?])
    }

    /// Posts at all these points, if none is missing.
    pub fn all_posts<const N: usize>(&self, at: [GridPoint; N]) -> Option<[PostPlace; N]> {
        let found: Vec<PostPlace> = at.iter().filter_map(|p| self.posts.get(p).copied()).collect();
        found.try_into().ok()
    }

    /// A member of this block, without its number.
    pub fn make(&self, name: &str, new: NewMember, edit: &Override) -> Member {
        Member {
            id: MemberId(0),
            name: format!("{}.{name}", self.block.name),
            role: new.role,
            block: Some(self.block.name.clone()),
            grid: Some((self.point_name(new.grid.0), self.point_name(new.grid.1))),
            part: new.part,
            ends: new.ends,
            weight: new.mass * GRAVITY,
            damaged: edit.damaged,
            tension_only: false,
            jack: None,
            off_sill: [0.0, 0.0],
            written_at: self.written_at.clone(),
        }
    }

    fn bubbles(&self, draft: &mut Draft<'_>) {
        let level = self.block.head.si();
        let (right, top) =
            (self.xs.last().copied().unwrap_or(0.0), self.ys.last().copied().unwrap_or(0.0));
        let at = |x, y| {
            let [x, y] = self.of_block(x, y);
            Point::new(x, y, level)
        };
        let along_y =
            self.grid.x.iter().zip(&self.xs).map(|(name, &x)| (name, at(x, 0.0), at(x, top)));
        let along_x =
            self.grid.y.iter().zip(&self.ys).map(|(name, &y)| (name, at(0.0, y), at(right, y)));
        draft.grid_lines.extend(along_y.chain(along_x).map(|(name, from, to)| GridLine {
            block: self.block.name.clone(),
            name: name.clone(),
            ends: [from, to],
        }));
    }
}

/// What [`Layout::make`] needs to know; mass in kilograms.
pub(super) struct NewMember {
    pub role: Role,
    pub grid: (GridPoint, GridPoint),
    pub part: String,
    pub ends: [Point; 2],
    pub mass: f64,
}

/// The axis across.
pub(super) fn other(axis: Axis) -> Axis {
    match axis {
        Axis::X => Axis::Y,
        Axis::Y => Axis::X,
    }
}
