//! Shapes of strands: the unknowns that are there, the members between them, and the strand's part of the
//! elimination tree. Two strands with the same words are the same matrix but for the axial forces.

use super::dissection::Dissection;
use super::lately::Lately;
use super::strands::{Part, Plan, Strand};
use std::ops::Range;
use std::sync::Arc;

/// A strand as it is at a stage.
#[derive(Debug)]
pub struct Shape {
    /// A number of its own.
    pub id: u64,
    pub key: u32,
    /// Children before parents.
    pub nodes: Vec<ShapeNode>,
    /// Lasting numbers of its unknowns, in the order of elimination.
    pub own: Vec<u32>,
    /// Two words for each part.
    pub words: Vec<[u64; 2]>,
    /// The number of the shape the strand had before, and by node which of its nodes is made of the same;
    /// [`Plan::NONE`] where none is. What the children are made of is not looked at.
    pub before: u64,
    pub same: Vec<u32>,
    children: Vec<u32>,
}

/// A node of the tree in a strand.
#[derive(Clone, Debug)]
pub struct ShapeNode {
    /// Number of the node in the whole tree.
    pub tree: u32,
    pub own: Range<usize>,
    pub parts: Range<usize>,
    children: Range<usize>,
}

/// The shapes that strands had lately.
#[derive(Clone, Debug, Default)]
pub struct Shapes {
    kept: Lately<Shape>,
    /// One has been asked for at this stage.
    begun: bool,
    made: u64,
    content: Vec<u64>,
    /// By node of the whole tree, for the shape at hand: its place.
    place: Vec<u32>,
}

impl Shapes {
    /// Those of so many stages before the present one.
    #[must_use]
    pub fn of_stages(stages: u64) -> Self {
        Self { kept: Lately::of_stages(stages), ..Self::default() }
    }

    /// Begins a stage. Once a shape is asked for, what none of the last few stages that asked had a use
    /// for is given up.
    pub fn begin_stage(&mut self) {
        self.begun = false;
    }

    /// The shape of a strand; `there`: whether an unknown is; `words`: all that a part is made of but
    /// its axial force.
    pub fn of(
        &mut self,
        tree: &Dissection,
        plan: &Plan,
        strand: &Strand,
        there: impl Fn(u32) -> bool,
        words: impl Fn(Part) -> [u64; 2],
    ) -> Arc<Shape> {
        if !std::mem::replace(&mut self.begun, true) {
            self.kept.begin_stage();
        }
        let mut content = std::mem::take(&mut self.content);
        content.clear();
        let unknowns = &plan.unknowns[strand.unknowns.clone()];
        let own = unknowns.iter().filter(|(_, unknown)| there(*unknown));
        content.extend(own.map(|&(node, unknown)| u64::from(node) << 32 | u64::from(unknown)));
        let count = content.len();
        let parts = &plan.parts[strand.parts.clone()];
        content.extend(parts.iter().flat_map(|&(_, part)| words(part)));
        content.push(count as u64);
        let known = self.kept.find(strand.key, |shape| shape.is_of(&content));
        let shape = known.unwrap_or_else(|| {
            self.made += 1;
            self.place.resize(tree.nodes.len(), Plan::NONE);
            let mut shape =
                Shape::new(tree, self.made, strand.key, (count, parts, &content), &mut self.place);
            if let Some(before) = self.kept.of(strand.key).next() {
                shape.hold_against(before);
            }
            self.kept.keep(strand.key, shape, usize::MAX)
        });
        self.content = content;
        shape
    }
}

/// Finds the children of each node: places among the nodes, parent by parent. `place` has room for every node
/// of the whole tree, all none.
fn children_of(tree: &Dissection, nodes: &mut [ShapeNode], place: &mut [u32]) -> Vec<u32> {
    for (k, node) in (0..).zip(&*nodes) {
        place[node.tree as usize] = k;
    }
    // Children before parents in the whole tree, and so here.
    let parent_of = |node: &ShapeNode| {
        let mut above = tree.nodes[node.tree as usize].parent;
        while let Some(node) = above.filter(|node| place[*node] == Plan::NONE) {
            above = tree.nodes[node].parent;
        }
        above.map(|node| place[node] as usize)
    };
    let parents: Vec<Option<usize>> = nodes.iter().map(parent_of).collect();
    for parent in parents.iter().flatten() {
        nodes[*parent].children.end += 1;
    }
    let mut from = 0;
    for node in &mut *nodes {
        let count = node.children.end;
        node.children = from..from;
        from += count;
    }
    let mut children = vec![0; from];
    for (k, parent) in (0..).zip(&parents) {
        if let Some(parent) = *parent {
            let of = &mut nodes[parent].children;
            children[of.end] = k;
            of.end += 1;
        }
    }
    nodes.iter().for_each(|node| place[node.tree as usize] = Plan::NONE);
    children
}

impl Shape {
    /// Whether it is the same strand in all but axial forces, whichever of the two was made when.
    pub fn is_as(&self, other: &Self) -> bool {
        let node = |(a, b): (&ShapeNode, &ShapeNode)| {
            (a.tree, &a.own, &a.parts) == (b.tree, &b.own, &b.parts)
        };
        self.id == other.id
            || (self.key == other.key
                && self.own == other.own
                && self.words == other.words
                && self.nodes.len() == other.nodes.len()
                && self.nodes.iter().zip(&other.nodes).all(node))
    }

    fn new(
        tree: &Dissection,
        id: u64,
        key: u32,
        (count, parts, content): (usize, &[(u32, Part)], &[u64]),
        place: &mut [u32],
    ) -> Self {
        #[expect(clippy::cast_possible_truncation, reason = "the halves of a word")]
        let halves = |word: u64| ((word >> 32) as u32, word as u32);
        let node_of = |k: usize| halves(content[k]).0;
        let own: Vec<u32> = content[..count].iter().map(|&word| halves(word).1).collect();
        let words =
            content[count..content.len() - 1].chunks_exact(2).map(|w| [w[0], w[1]]).collect();
        let mut nodes: Vec<ShapeNode> = Vec::new();
        let (mut unknown, mut part) = (0, 0);
        while unknown < count || part < parts.len() {
            let next = |known: Option<u32>| known.unwrap_or(u32::MAX);
            let node = next((unknown < count).then(|| node_of(unknown)))
                .min(next(parts.get(part).map(|p| p.0)));
            let (first, first_part) = (unknown, part);
            while unknown < count && node_of(unknown) == node {
                unknown += 1;
            }
            while parts.get(part).is_some_and(|p| p.0 == node) {
                part += 1;
            }
            nodes.push(ShapeNode {
                tree: node,
                own: first..unknown,
                parts: first_part..part,
                children: 0..0,
            });
        }
        let children = children_of(tree, &mut nodes, place);
        Self { id, key, nodes, own, words, before: 0, same: Vec::new(), children }
    }

    /// Places in [`Shape::nodes`].
    #[must_use]
    pub fn children(&self, node: usize) -> &[u32] {
        &self.children[self.nodes[node].children.clone()]
    }

    /// Finds the nodes that are made of the same as those of the shape before.
    fn hold_against(&mut self, before: &Self) {
        let mut at = 0;
        let same = self.nodes.iter().map(|node| {
            while before.nodes.get(at).is_some_and(|other| other.tree < node.tree) {
                at += 1;
            }
            let is_same = before.nodes.get(at).is_some_and(|other| {
                other.tree == node.tree
                    && before.own[other.own.clone()] == self.own[node.own.clone()]
                    && before.words[other.parts.clone()] == self.words[node.parts.clone()]
            });
            if is_same { u32::try_from(at).unwrap_or(Plan::NONE) } else { Plan::NONE }
        });
        self.same = same.collect();
        self.before = before.id;
    }

    /// Whether it is made of this: the words of its unknowns, those of its parts, and how many unknowns
    /// there are.
    fn is_of(&self, content: &[u64]) -> bool {
        let Some((count, rest)) = content.split_last() else { return false };
        if *count != self.own.len() as u64 || rest.len() != self.own.len() + 2 * self.words.len() {
            return false;
        }
        let (own, words) = rest.split_at(self.own.len());
        words == self.words.as_flattened()
            && self.nodes.iter().all(|node| {
                let word = |unknown: &u32| u64::from(node.tree) << 32 | u64::from(*unknown);
                self.own[node.own.clone()]
                    .iter()
                    .map(word)
                    .eq(own[node.own.clone()].iter().copied())
            })
    }

    /// Where a node is in another shape that is this one or the one before, if it is made of the same
    /// there.
    #[must_use]
    pub fn place_in(&self, other: &Self, node: usize) -> Option<usize> {
        if other.id == self.id {
            return Some(node);
        }
        let known = (other.id == self.before).then(|| self.same.get(node)).flatten()?;
        (*known != Plan::NONE).then_some(*known as usize)
    }

    /// The place of a tree node.
    #[must_use]
    pub fn place(&self, tree: u32) -> Option<usize> {
        self.nodes.binary_search_by_key(&tree, |n| n.tree).ok()
    }
}
