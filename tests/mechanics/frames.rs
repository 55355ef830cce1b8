//! Frames used by several tests.

use standwell::assembly::model::{Point, Vector};
use standwell::mechanics::frame::{Frame, FrameMember, LoadCase, Section, Support};

/// A steel tube, about 48 × 3.2 mm, SI.
pub fn tube() -> Section {
    Section { e: 210e9, g: 81e9, a: 4.5e-4, iy: 1.16e-7, iz: 1.16e-7, j: 2.32e-7 }
}

/// A foot that is pinned and held against spin.
pub fn foot(node: usize) -> Support {
    Support { node, fixed: [true, true, true, false, false, true] }
}

/// Four posts `width` × `depth` apart and `height` high, nodes 0–3 feet and 4–7 heads in turn;
/// ledgers as bars; diagonals both ways in every side; one plan brace.
pub fn tower(width: f64, depth: f64, height: f64) -> Frame {
    let corners = [(0.0, 0.0), (width, 0.0), (width, depth), (0.0, depth)];
    let mut frame = Frame { sections: vec![tube()], ..Frame::default() };
    for z in [0.0, height] {
        frame.nodes.extend(corners.iter().map(|(x, y)| Point::new(*x, *y, z)));
    }
    for k in 0..4 {
        frame.supports.push(foot(k));
        frame.members.push(FrameMember::beam(k, 4 + k, 0, Vector::x()));
    }
    for k in 0..4 {
        let next = (k + 1) % 4;
        frame.members.push(FrameMember::bar(4 + k, 4 + next, 0));
        frame.members.push(FrameMember::bar(k, 4 + next, 0));
        frame.members.push(FrameMember::bar(next, 4 + k, 0));
    }
    frame.members.push(FrameMember::bar(4, 6, 0));
    frame
}

/// The same with ledgers and a plan brace between its feet, so that it is one rigid body.
pub fn tower_with_skirt(width: f64, depth: f64, height: f64) -> Frame {
    let mut frame = tower(width, depth, height);
    for k in 0..4 {
        frame.members.push(FrameMember::bar(k, (k + 1) % 4, 0));
    }
    frame.members.push(FrameMember::bar(0, 2, 0));
    frame
}

/// `force` at every head.
pub fn at_heads(force: [f64; 3]) -> LoadCase {
    let nodal = (4..8).map(|n| (n, [force[0], force[1], force[2], 0.0, 0.0, 0.0]));
    LoadCase { nodal: nodal.collect(), uniform: Vec::new() }
}
