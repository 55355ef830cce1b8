//! Frames of hinged bars for counting mechanisms.

use standwell::assembly::model::{Point, Vector};
use standwell::mechanics::frame::{Frame, FrameMember, Section, Support};
use standwell::mechanics::mechanisms;

/// Feet and heads of posts on a plan grid, bays 1.8 m × 2.4 m, 3 m high.
pub struct Posts {
    pub frame: Frame,
    beams: bool,
}

/// A post by the places of its foot and head in the frame's nodes.
#[derive(Clone, Copy)]
pub struct Post {
    pub foot: usize,
    pub head: usize,
}

pub fn section() -> Section {
    Section { e: 210e9, g: 81e9, a: 6e-4, iy: 1e-6, iz: 1e-6, j: 2e-6 }
}

impl Posts {
    /// Posts as axial bars, or as beams pinned at the foot (whose spin must then not count).
    pub fn new(beams: bool) -> Self {
        Self { frame: Frame { sections: vec![section()], ..Frame::default() }, beams }
    }

    pub fn post(&mut self, x: f64, y: f64) -> Post {
        let foot = self.frame.nodes.len();
        self.frame.nodes.push(Point::new(1.8 * x, 2.4 * y, 0.0));
        self.frame.nodes.push(Point::new(1.8 * x, 2.4 * y, 3.0));
        self.frame.supports.push(Support::pin(foot));
        let head = foot + 1;
        let member = if self.beams {
            FrameMember::beam(foot, head, 0, Vector::x())
        } else {
            FrameMember::bar(foot, head, 0)
        };
        self.frame.members.push(member);
        Post { foot, head }
    }

    fn bar(&mut self, i: usize, j: usize) {
        self.frame.members.push(FrameMember::bar(i, j, 0));
    }

    pub fn ledger(&mut self, a: Post, b: Post) {
        self.bar(a.head, b.head);
    }

    /// One diagonal in a vertical bay.
    pub fn wall(&mut self, a: Post, b: Post) {
        self.bar(a.foot, b.head);
    }

    /// A diagonal between heads.
    pub fn plan(&mut self, a: Post, b: Post) {
        self.bar(a.head, b.head);
    }

    pub fn count(&self) -> usize {
        count(&self.frame)
    }
}

/// The mechanisms of a frame, with every motion checked to be one.
pub fn count(frame: &Frame) -> usize {
    let found = mechanisms::find(frame).unwrap();
    let count = found.count.clone().unwrap();
    assert_eq!(found.motions.len(), count);
    assert_eq!(found.pins.len(), count);
    // Stretch of every member in every motion, by its nodes alone.
    for motion in &found.motions {
        for m in &frame.members {
            let along = (frame.nodes[m.j] - frame.nodes[m.i]).normalize();
            let stretch: f64 = (0..3).map(|a| along[a] * (motion[m.j][a] - motion[m.i][a])).sum();
            assert!(stretch.abs() < 1e-7, "a motion stretches a member by {stretch}");
        }
    }
    // With the pins held nothing is left.
    let mut pinned = frame.clone();
    for (node, dof) in found.all_pins() {
        let mut fixed = [false; 6];
        fixed[dof] = true;
        pinned.supports.push(Support { node, fixed });
    }
    assert_eq!(mechanisms::find(&pinned).unwrap().count, Ok(0));
    count
}

/// A plane grid of hinged rectangles in x-z, held in its plane at two corners and everywhere
/// against leaving it; `braced` says which cells (row, column) carry one diagonal.
pub fn plane_grid(rows: usize, columns: usize, braced: &[(usize, usize)]) -> Frame {
    let mut frame = Frame { sections: vec![section()], ..Frame::default() };
    let node = |r: usize, c: usize| r * (columns + 1) + c;
    for r in 0..=rows {
        for c in 0..=columns {
            frame.nodes.push(Point::new(c as f64, 0.0, r as f64));
            let mut fixed = [false, true, false, false, false, false];
            // A rigid body in the plane has three motions: the first corner and the next node
            // along its row hold them.
            if (r, c) == (0, 0) {
                (fixed[0], fixed[2]) = (true, true);
            } else if (r, c) == (0, 1) {
                fixed[2] = true;
            }
            frame.supports.push(Support { node: node(r, c), fixed });
        }
    }
    for r in 0..=rows {
        for c in 0..columns {
            frame.members.push(FrameMember::bar(node(r, c), node(r, c + 1), 0));
        }
    }
    for r in 0..rows {
        for c in 0..=columns {
            frame.members.push(FrameMember::bar(node(r, c), node(r + 1, c), 0));
        }
    }
    for (r, c) in braced {
        frame.members.push(FrameMember::bar(node(*r, *c), node(r + 1, c + 1), 0));
    }
    frame
}

/// Components of the graph whose nodes are rows and columns and whose edges are braced cells.
pub fn components(rows: usize, columns: usize, braced: &[(usize, usize)]) -> usize {
    let mut group: Vec<usize> = (0..rows + columns).collect();
    for (r, c) in braced {
        let (from, to) = (group[*r], group[rows + c]);
        group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
    }
    group.sort_unstable();
    group.dedup();
    group.len()
}

/// All subsets of the cells of a grid, as lists of (row, column).
pub fn patterns(rows: usize, columns: usize) -> impl Iterator<Item = Vec<(usize, usize)>> {
    (0u32..1 << (rows * columns)).map(move |bits| {
        (0..rows * columns)
            .filter(|k| bits >> k & 1 == 1)
            .map(|k| (k / columns, k % columns))
            .collect()
    })
}
