//! What the ground does under a stage on the tree, and how well its forces balance.

use super::{OnTree, TreeSolution};
use crate::mechanics::element::Element;
use crate::mechanics::frame::LoadCase;
use crate::mechanics::stage::idealise::StageFrame;

/// Where a stage's feet are.
#[derive(Debug)]
pub(super) struct Feet {
    /// By node: place among the frame's feet.
    at: Vec<usize>,
    /// Members at a foot, ascending.
    members: Vec<usize>,
}

impl Feet {
    fn new(frame: &StageFrame, elements: &[Element]) -> Self {
        let mut at = vec![usize::MAX; frame.frame.nodes.len()];
        for (k, &(node, _)) in frame.feet.iter().enumerate() {
            at[node] = k;
        }
        let is_at = |element: &Element| element.nodes.iter().any(|&node| at[node] != usize::MAX);
        let members = (0..elements.len()).filter(|&k| is_at(&elements[k])).collect();
        Self { at, members }
    }
}

impl OnTree<'_> {
    /// Force by which the ground pushes up on each foot under a case.
    #[must_use]
    pub fn foot_reactions(&self, solution: &TreeSolution, case: &LoadCase) -> Vec<f64> {
        self.reactions(&solution.axial, &case.nodal)
    }

    /// The same from axial forces and nodal loads.
    #[must_use]
    pub fn reactions(&self, axial: &[f64], nodal: &[(usize, [f64; 6])]) -> Vec<f64> {
        let everywhere = vec![true; self.laid.lasting.len()];
        self.reactions_at(&everywhere, axial, nodal, &vec![0.0; self.frame.feet.len()])
    }

    /// The same of the feet at some nodes, given by node; of all others as known. Of nodal loads none is
    /// wanted elsewhere.
    #[must_use]
    pub fn reactions_at(
        &self,
        nodes: &[bool],
        axial: &[f64],
        nodal: &[(usize, [f64; 6])],
        known: &[f64],
    ) -> Vec<f64> {
        let parts = &self.laid.parts;
        let feet = parts.feet.get_or_init(|| Feet::new(self.frame, &parts.elements));
        let mut up = known.to_vec();
        for (up, (node, _)) in up.iter_mut().zip(&self.frame.feet) {
            if nodes[*node] {
                *up = 0.0;
            }
        }
        for &member in &feet.members {
            let element = &parts.elements[member];
            for (node, sign) in element.nodes.into_iter().zip([-1.0, 1.0]) {
                if nodes[node]
                    && let Some(force) = up.get_mut(feet.at[node])
                {
                    *force += sign * element.axes[(0, 2)] * axial[member];
                }
            }
        }
        for (node, force) in nodal.iter().filter(|(node, _)| nodes[*node]) {
            if let Some(up) = up.get_mut(feet.at[*node]) {
                *up -= force[2];
            }
        }
        up
    }

    /// Largest vertical force out of balance at a node over the largest load: what the members
    /// bring to each node, summed one by one, against what is put on it.
    #[must_use]
    pub fn imbalance(&self, solution: &TreeSolution, case: &LoadCase) -> f64 {
        let mut rest = vec![0.0; self.laid.lasting.len()];
        let mut largest = f64::MIN_POSITIVE;
        for (node, force) in &case.nodal {
            rest[*node] += force[2];
            largest = largest.max(force[2].abs());
        }
        for (element, axial) in self.laid.parts.elements.iter().zip(&solution.axial) {
            let up = element.axes[(0, 2)] * axial;
            rest[element.nodes[0]] += up;
            rest[element.nodes[1]] -= up;
        }
        let free =
            rest.iter().zip(&self.laid.lasting).filter(|(_, numbers)| numbers[2] != u32::MAX);
        free.map(|(rest, _)| rest.abs()).fold(0.0, f64::max) / largest
    }
}
