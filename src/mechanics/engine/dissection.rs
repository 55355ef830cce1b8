//! An elimination tree over the posts of the finished structure: nested dissection in plan.
//!
//! Posts are split by a line across their longer extent; the posts on one side that touch the
//! other are the separator and are eliminated after both sides. Every post also has a leaf of its
//! own, for the unknowns no other post touches. Which bars stand at a stage does not matter: the
//! tree is made with all that will ever stand, so any stage fits it.

/// Posts that are few enough to be eliminated together.
const TOGETHER: usize = 3;

/// One node of the tree.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TreeNode {
    pub parent: Option<usize>,
    pub children: Vec<usize>,
}

/// The tree, children before parents.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Dissection {
    pub nodes: Vec<TreeNode>,
    /// Node in which a post's shared unknowns are eliminated.
    pub shared: Vec<usize>,
    /// Node in which a post's own unknowns are eliminated.
    pub private: Vec<usize>,
    /// Distance from the root.
    pub depth: Vec<usize>,
}

impl Dissection {
    /// Builds the tree from plan positions and the pairs of posts that something joins.
    #[must_use]
    pub fn new(plan: &[[f64; 2]], joined: &[(usize, usize)]) -> Self {
        let mut neighbours = vec![Vec::new(); plan.len()];
        for &(a, b) in joined {
            if a != b {
                neighbours[a].push(b);
                neighbours[b].push(a);
            }
        }
        let mut tree = Self {
            nodes: Vec::new(),
            shared: vec![usize::MAX; plan.len()],
            private: vec![usize::MAX; plan.len()],
            depth: Vec::new(),
        };
        for post in 0..plan.len() {
            tree.nodes.push(TreeNode { parent: None, children: Vec::new() });
            tree.private[post] = post;
        }
        let all: Vec<usize> = (0..plan.len()).collect();
        tree.split(plan, &neighbours, all);
        for post in 0..plan.len() {
            let (leaf, parent) = (tree.private[post], tree.shared[post]);
            tree.adopt(parent, leaf);
        }
        tree.depth = vec![0; tree.nodes.len()];
        for node in (0..tree.nodes.len()).rev() {
            if let Some(parent) = tree.nodes[node].parent {
                tree.depth[node] = tree.depth[parent] + 1;
            }
        }
        tree
    }

    fn adopt(&mut self, parent: usize, child: usize) {
        self.nodes[child].parent = Some(parent);
        self.nodes[parent].children.push(child);
    }

    /// Splits a set of posts; returns the tops of the trees made of it.
    fn split(
        &mut self,
        plan: &[[f64; 2]],
        neighbours: &[Vec<usize>],
        mut posts: Vec<usize>,
    ) -> Vec<usize> {
        if posts.is_empty() {
            return Vec::new();
        }
        if posts.len() <= TOGETHER {
            return vec![self.node_of(&posts, &[])];
        }
        let extent = |d: usize| {
            let values = posts.iter().map(|&p| plan[p][d]);
            values.clone().fold(f64::NEG_INFINITY, f64::max) - values.fold(f64::INFINITY, f64::min)
        };
        let d = usize::from(extent(1) > extent(0));
        posts.sort_by(|&a, &b| {
            plan[a][d]
                .total_cmp(&plan[b][d])
                .then(plan[a][1 - d].total_cmp(&plan[b][1 - d]))
                .then(a.cmp(&b))
        });
        let middle = posts.len() / 2;
        let mut side = vec![0u8; plan.len()];
        for (k, &post) in posts.iter().enumerate() {
            side[post] = if k < middle { 1 } else { 2 };
        }
        let touching = |own: u8, other: u8| -> Vec<usize> {
            posts
                .iter()
                .copied()
                .filter(|&p| side[p] == own && neighbours[p].iter().any(|&n| side[n] == other))
                .collect()
        };
        let (left, right) = (touching(1, 2), touching(2, 1));
        let separator = if left.len() <= right.len() { left } else { right };
        for &post in &separator {
            side[post] = 3;
        }
        let part =
            |which: u8| posts.iter().copied().filter(|&p| side[p] == which).collect::<Vec<_>>();
        let (first, second) = (part(1), part(2));
        let mut tops = self.split(plan, neighbours, first);
        tops.extend(self.split(plan, neighbours, second));
        if separator.is_empty() {
            return tops;
        }
        vec![self.node_of(&separator, &tops)]
    }

    fn node_of(&mut self, posts: &[usize], children: &[usize]) -> usize {
        let node = self.nodes.len();
        self.nodes.push(TreeNode { parent: None, children: Vec::new() });
        for &post in posts {
            self.shared[post] = node;
        }
        for &child in children {
            self.adopt(node, child);
        }
        node
    }

    /// The deeper of two nodes on one path to the root.
    #[must_use]
    pub fn deeper(&self, a: usize, b: usize) -> usize {
        if self.depth[a] >= self.depth[b] { a } else { b }
    }
}
