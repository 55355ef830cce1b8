//! The pieces of a frame that no member joins, each as a frame of its own.

use super::frame::{Frame, Spring, Support};

/// A connected part.
pub(super) struct Piece {
    pub frame: Frame,
    /// Node of the whole for each of its nodes.
    pub nodes: Vec<usize>,
}

/// Splits a checked frame. Nodes without members and springs are in no piece.
pub(super) fn pieces(frame: &Frame) -> Vec<Piece> {
    let count = frame.nodes.len();
    let mut sets = petgraph::unionfind::UnionFind::new(count);
    let mut used = vec![false; count];
    for member in &frame.members {
        sets.union(member.i, member.j);
        (used[member.i], used[member.j]) = (true, true);
    }
    for spring in &frame.springs {
        used[spring.node] |= spring.k.iter().any(|k| *k > 0.0);
    }
    let label = sets.into_labeling();
    // Pieces in the order of their first node; place of each node in its piece.
    let mut piece_of = vec![usize::MAX; count];
    let mut place = vec![0; count];
    let mut pieces: Vec<Piece> = Vec::new();
    for node in 0..count {
        if !used[node] {
            continue;
        }
        let root = label[node];
        if piece_of[root] == usize::MAX {
            piece_of[root] = pieces.len();
            let sections = frame.sections.clone();
            pieces.push(Piece { frame: Frame { sections, ..Frame::default() }, nodes: Vec::new() });
        }
        let piece = &mut pieces[piece_of[root]];
        place[node] = piece.nodes.len();
        piece.nodes.push(node);
        piece.frame.nodes.push(frame.nodes[node]);
    }
    let of = |node: usize| piece_of[label[node]];
    for member in &frame.members {
        let mut own = *member;
        (own.i, own.j) = (place[member.i], place[member.j]);
        pieces[of(member.i)].frame.members.push(own);
    }
    for support in frame.supports.iter().filter(|s| used[s.node]) {
        let own = Support { node: place[support.node], ..*support };
        pieces[of(support.node)].frame.supports.push(own);
    }
    for spring in frame.springs.iter().filter(|s| used[s.node]) {
        let own = Spring { node: place[spring.node], ..*spring };
        pieces[of(spring.node)].frame.springs.push(own);
    }
    pieces
}
