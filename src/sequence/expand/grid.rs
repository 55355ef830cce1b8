//! A block's members by their place on its grid.

use crate::assembly::{Assembly, MemberId, Role};
use crate::scene::lines::{Grid, GridPoint};
use crate::scene::model::{Axis, Block};
use crate::sequence::names;
use crate::sequence::trouble::Trouble;
use std::collections::BTreeMap;

/// Two neighbouring grid points on one line, the lower first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Bay {
    pub from: GridPoint,
    pub to: GridPoint,
}

impl Bay {
    /// The bay between two neighbours; none if they are no neighbours.
    #[must_use]
    pub fn between(a: GridPoint, b: GridPoint) -> Option<Self> {
        let (from, to) = (a.min(b), a.max(b));
        let apart = (to.x.abs_diff(from.x), to.y.abs_diff(from.y));
        matches!(apart, (1, 0) | (0, 1)).then_some(Self { from, to })
    }
    #[must_use]
    pub fn axis(self) -> Axis {
        if self.from.x == self.to.x { Axis::Y } else { Axis::X }
    }
}

/// A rectangle of grid points, both corners included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Region {
    pub low: GridPoint,
    pub high: GridPoint,
}

impl Region {
    #[must_use]
    pub fn contains(&self, p: GridPoint) -> bool {
        (self.low.x..=self.high.x).contains(&p.x) && (self.low.y..=self.high.y).contains(&p.y)
    }
}

/// The members of a block, by grid point and bay.
#[derive(Clone, Debug)]
pub struct BlockGrid<'a> {
    pub assembly: &'a Assembly,
    pub block: &'a Block,
    pub grid: Grid,
    pub posts: BTreeMap<GridPoint, MemberId>,
    pub sills: BTreeMap<GridPoint, MemberId>,
    /// Ledger or joist from head to head.
    pub beams: BTreeMap<Bay, MemberId>,
    pub braces: BTreeMap<Bay, Vec<MemberId>>,
    /// Plan braces, by lower and upper corner of their cell.
    pub plan: Vec<(GridPoint, GridPoint, MemberId)>,
    /// Fillers and sheets of the cell whose lowest corner this is.
    pub fillers: BTreeMap<GridPoint, Vec<MemberId>>,
    pub sheets: BTreeMap<GridPoint, Vec<MemberId>>,
    /// Clips, by the beam they hold down.
    pub clips: BTreeMap<MemberId, Vec<MemberId>>,
}

impl<'a> BlockGrid<'a> {
    /// # Errors
    /// When there is no such block.
    pub fn new(assembly: &'a Assembly, name: &str) -> Result<Self, Trouble> {
        let blocks = &assembly.scene.blocks;
        let block = blocks.iter().find(|b| b.name == name).ok_or_else(|| {
            let close = names::did_you_mean(name, blocks.iter().map(|b| b.name.as_str()));
            Trouble::new(format!("there is no block \"{name}\"")).help_maybe(close)
        })?;
        let grid = Grid::of(block).map_err(|e| Trouble::new(e.to_string()))?;
        let mut this = Self {
            assembly,
            block,
            grid,
            posts: BTreeMap::new(),
            sills: BTreeMap::new(),
            beams: BTreeMap::new(),
            braces: BTreeMap::new(),
            plan: Vec::new(),
            fillers: BTreeMap::new(),
            sheets: BTreeMap::new(),
            clips: BTreeMap::new(),
        };
        for member in assembly.members.iter().filter(|m| m.block.as_deref() == Some(name)) {
            this.sort_in(member.id);
        }
        for joint in &assembly.joints {
            if let Some(clip) = joint.clip {
                this.clips.entry(joint.member).or_default().push(clip);
            }
        }
        Ok(this)
    }

    /// Puts a member in its place by its name: `block.role.lines`, `block.role.lines.k`.
    fn sort_in(&mut self, id: MemberId) {
        let member = self.assembly.member(id);
        let Some(rest) = member.name.strip_prefix(&self.block.name) else { return };
        let Some(lines) = rest.split('.').nth(2) else { return };
        let role = member.role;
        if matches!(role, Role::Post | Role::Sill) {
            if let Ok(point) = self.grid.point(lines) {
                let map = if role == Role::Post { &mut self.posts } else { &mut self.sills };
                map.insert(point, id);
            }
            return;
        }
        let Ok((a, b)) = self.grid.run(lines) else { return };
        let low = GridPoint { x: a.x.min(b.x), y: a.y.min(b.y) };
        match (role, Bay::between(a, b)) {
            (Role::Ledger | Role::Joist, Some(bay)) => {
                self.beams.insert(bay, id);
            }
            (Role::Brace, Some(bay)) => self.braces.entry(bay).or_default().push(id),
            (Role::PlanBrace, None) => self.plan.push((a, b, id)),
            (Role::Filler, None) => self.fillers.entry(low).or_default().push(id),
            (Role::Sheet, None) => self.sheets.entry(low).or_default().push(id),
            _ => {}
        }
    }

    #[must_use]
    pub fn label(&self, p: GridPoint) -> String {
        self.grid.name(p).unwrap_or_default()
    }
    #[must_use]
    pub fn bay_label(&self, bay: Bay) -> String {
        format!("{}-{}", self.label(bay.from), self.label(bay.to))
    }
    /// The line a bay lies on: its y-line going along x, its x-line going along y.
    #[must_use]
    pub fn line_of(&self, bay: Bay) -> &str {
        match bay.axis() {
            Axis::X => &self.grid.y[bay.from.y],
            Axis::Y => &self.grid.x[bay.from.x],
        }
    }

    /// Neighbours of a point on the grid.
    pub fn neighbours(&self, p: GridPoint) -> impl Iterator<Item = GridPoint> + use<> {
        let (nx, ny) = (self.grid.x.len(), self.grid.y.len());
        let left = p.x.checked_sub(1).map(|x| GridPoint { x, ..p });
        let right = (p.x + 1 < nx).then_some(GridPoint { x: p.x + 1, ..p });
        let down = p.y.checked_sub(1).map(|y| GridPoint { y, ..p });
        let up = (p.y + 1 < ny).then_some(GridPoint { y: p.y + 1, ..p });
        [left, down, right, up].into_iter().flatten()
    }

    /// The rectangle written, or the whole block.
    ///
    /// # Errors
    /// When it is not two corners of this block.
    pub fn region(&self, text: Option<&str>) -> Result<Region, Trouble> {
        let Some(text) = text else {
            let high = GridPoint { x: self.grid.x.len() - 1, y: self.grid.y.len() - 1 };
            return Ok(Region { low: GridPoint { x: 0, y: 0 }, high });
        };
        // A part of one row or one post is as good as an area.
        let (a, b) = match self.grid.point(text) {
            Ok(point) => (point, point),
            Err(_) => self.grid.run(text).map_err(|e| Trouble::new(e.to_string()))?,
        };
        Ok(Region {
            low: GridPoint { x: a.x.min(b.x), y: a.y.min(b.y) },
            high: GridPoint { x: a.x.max(b.x), y: a.y.max(b.y) },
        })
    }

    /// The lower corner of a tower of four neighbouring posts.
    ///
    /// # Errors
    /// When the corners are no neighbours, or a post of the four is not in the block.
    pub fn tower(&self, text: &str) -> Result<GridPoint, Trouble> {
        let (low, high) = self.grid.area(text).map_err(|e| Trouble::new(e.to_string()))?;
        if high.x - low.x != 1 || high.y - low.y != 1 {
            return Err(Trouble::new(format!("the corners \"{text}\" are more than a bay apart"))
                .help("a tower is four neighbouring posts, such as \"A1-B2\""));
        }
        for p in corners(low) {
            if !self.posts.contains_key(&p) {
                return Err(Trouble::new(format!(
                    "the tower \"{text}\" has no post {}: the block leaves it out",
                    self.label(p)
                )));
            }
        }
        Ok(low)
    }

    /// Whether anything changes at a post's head when its lock goes home.
    #[must_use]
    pub fn has_lock(&self, post: MemberId) -> bool {
        self.assembly.head_of(post).is_some_and(|h| h.locks || h.hung != h.locked)
    }
}

/// The four corners of the cell with this lowest corner: first, along x, along y, across.
#[must_use]
pub fn corners(low: GridPoint) -> [GridPoint; 4] {
    let GridPoint { x, y } = low;
    [low, GridPoint { x: x + 1, y }, GridPoint { x, y: y + 1 }, GridPoint { x: x + 1, y: y + 1 }]
}
