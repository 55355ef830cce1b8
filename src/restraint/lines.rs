//! Heads that move together along one direction, joined by bars along it.

use super::bars::{Gathered, Heads};
use petgraph::graph::{NodeIndex, UnGraph};
use petgraph::unionfind::UnionFind;

/// Head movements put together into lines.
pub(super) struct Lines {
    /// By variable: its line, numbered in order of first appearance.
    pub line_of: Vec<usize>,
    pub count: usize,
    /// Nodes are variables, edges are indices into [`Gathered::bars`].
    pub graph: UnGraph<(), usize, u32>,
}

impl Lines {
    pub fn new(heads: &Heads, gathered: &Gathered) -> Self {
        let variables = 2 * heads.posts.len();
        let mut joined = UnionFind::<usize>::new(variables);
        let mut graph = UnGraph::with_capacity(variables, gathered.bars.len());
        for _ in 0..variables {
            graph.add_node(());
        }
        for (i, bar) in gathered.bars.iter().enumerate() {
            let (a, b) = bar.variables;
            joined.union(a, b);
            graph.add_edge(NodeIndex::new(a), NodeIndex::new(b), i);
        }
        let mut number = vec![usize::MAX; variables];
        let mut count = 0;
        let line_of = (0..variables)
            .map(|v| {
                let root = joined.find(v);
                if number[root] == usize::MAX {
                    number[root] = count;
                    count += 1;
                }
                number[root]
            })
            .collect();
        Self { line_of, count, graph }
    }
}
