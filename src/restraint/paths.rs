//! The way from each head to what holds it, as members to draw.

use super::bars::{Gathered, Heads, dot};
use super::equations::{Because, Solved};
use super::lines::Lines;
use super::model::Hold;
use crate::assembly::MemberId;
use crate::chunks::Chunks;
use petgraph::graph::NodeIndex;
use petgraph::visit::EdgeRef;
use std::collections::VecDeque;
use std::sync::Arc;

/// How a head movement is reached on the way back to what holds its line.
#[derive(Clone, Copy)]
enum Back {
    Unreached,
    /// A link or pair of links takes hold of this head.
    Here(usize),
    /// By a bar from another head.
    By(usize, MemberId),
}

pub(super) fn holds(
    heads: &Heads,
    gathered: &Gathered,
    lines: &Lines,
    solved: &Solved,
) -> Chunks<Arc<Hold>> {
    let back = reach(gathered, lines, solved);
    let mut loose: Vec<Vec<MemberId>> = vec![Vec::new(); lines.count];
    let is_loose = |line: usize| solved.because[line] == Because::Loose;
    for (v, &line) in lines.line_of.iter().enumerate() {
        if is_loose(line) {
            loose[line].push(heads.posts[v / 2]);
        }
    }
    for bar in &gathered.bars {
        let line = lines.line_of[bar.variables.0];
        if is_loose(line) {
            loose[line].push(bar.member);
        }
    }
    for members in &mut loose {
        members.sort_unstable();
        members.dedup();
    }
    let walk = Walk { heads, gathered, lines, solved, back };
    (0..lines.line_of.len())
        .map(|v| {
            let line = lines.line_of[v];
            Arc::new(Hold {
                post: heads.posts[v / 2],
                direction: heads.axes[v / 2][v % 2],
                path: if is_loose(line) { Vec::new() } else { walk.path(v) },
                loose_line: loose[line].clone(),
            })
        })
        .collect()
}

/// Breadth first from every head that a link takes hold of, so that each path is a shortest one.
fn reach(gathered: &Gathered, lines: &Lines, solved: &Solved) -> Vec<Back> {
    let mut back = vec![Back::Unreached; lines.line_of.len()];
    let mut queue = VecDeque::new();
    for (i, condition) in solved.conditions.iter().enumerate() {
        for &link in &condition.links {
            let terms = &gathered.links[link].terms;
            let largest = terms.iter().map(|t| t.1.abs()).fold(0.0, f64::max);
            for &(v, factor) in terms {
                let serves = match solved.because[lines.line_of[v]] {
                    Because::Loose => false,
                    Because::Own => condition.terms.len() == 1,
                    Because::Through(c) | Because::Together(c) => c == i,
                };
                // The foot's side of a diagonal hardly holds its own post; go on to the other.
                if serves && factor.abs() > 0.3 * largest && matches!(back[v], Back::Unreached) {
                    back[v] = Back::Here(i);
                    queue.push_back(v);
                }
            }
        }
    }
    while let Some(v) = queue.pop_front() {
        let mut next: Vec<(usize, MemberId)> = lines
            .graph
            .edges(NodeIndex::new(v))
            .map(|e| {
                let other = if e.source().index() == v { e.target() } else { e.source() };
                (other.index(), gathered.bars[*e.weight()].member)
            })
            .collect();
        next.sort_unstable();
        for (other, member) in next {
            if matches!(back[other], Back::Unreached) {
                back[other] = Back::By(v, member);
                queue.push_back(other);
            }
        }
    }
    back
}

struct Walk<'a> {
    heads: &'a Heads,
    gathered: &'a Gathered,
    lines: &'a Lines,
    solved: &'a Solved,
    back: Vec<Back>,
}

impl Walk<'_> {
    fn path(&self, from: usize) -> Vec<MemberId> {
        let mut out = Vec::new();
        let mut v = from;
        // Each round ends on a line held earlier than the one before.
        for _ in 0..=self.lines.count {
            let condition = loop {
                match self.back[v] {
                    Back::By(next, member) => {
                        out.push(member);
                        v = next;
                    }
                    Back::Here(condition) => break Some(condition),
                    Back::Unreached => break None,
                }
            };
            let Some(condition) = condition else { break };
            for &link in &self.solved.conditions[condition].links {
                out.extend(&self.gathered.links[link].by);
            }
            match self.solved.because[self.lines.line_of[v]] {
                Because::Through(_) => match self.beyond(v, condition) {
                    Some(next) => v = next,
                    None => break,
                },
                _ => break,
            }
        }
        let mut seen = std::collections::BTreeSet::new();
        out.retain(|m| seen.insert(*m));
        out
    }

    /// The head at the other side of a link whose line runs most nearly the same way.
    fn beyond(&self, v: usize, condition: usize) -> Option<usize> {
        let here = self.heads.axes[v / 2][v % 2];
        let line = self.lines.line_of[v];
        self.solved.conditions[condition]
            .links
            .iter()
            .flat_map(|&l| &self.gathered.links[l].terms)
            .map(|t| t.0)
            .filter(|&w| self.lines.line_of[w] != line)
            .max_by(|&a, &b| {
                let along = |w: usize| dot(self.heads.axes[w / 2][w % 2], here).abs();
                along(a).total_cmp(&along(b)).then(b.cmp(&a))
            })
    }
}
