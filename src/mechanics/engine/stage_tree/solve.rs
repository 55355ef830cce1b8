//! What is asked of a stage on the tree: rigidity, answers of first and second order, the proof.

use super::super::front::Pivots;
use super::super::packed::Lanes;
use super::super::tree::TreeFactor;
use super::{FEW, MOST, OnTree, Order, TreeSolution};
use crate::mechanics::answers::Unknown;
use crate::mechanics::element::Element;
use crate::mechanics::frame::LoadCase;
use std::rc::Rc;

/// Scaled eigenvalues below this count as motions that strain nothing. Far above round-off
/// (about 1e-13 here), far below the softest real post (above 1e-6 of its stiffest direction).
const STRAINLESS: f64 = 1e-9;
/// Pivots below this share of what they started from leave the count in doubt.
const DOUBTFUL: f64 = 1e-11;

impl OnTree<'_> {
    /// Whether no motion leaves every member unstrained: all eigenvalues of the scaled stiffness
    /// lie above a shift. False: some may lie below, to be looked at one by one.
    pub fn is_rigid(&mut self) -> bool {
        let source = self.laid.source(None, 1.0 - STRAINLESS);
        let pivots = self.engine.strain.update(&self.engine.tree, &self.system, &source);
        pivots.negative == 0 && pivots.smallest > DOUBTFUL
    }

    /// Factorises the first-order stiffness.
    ///
    /// # Errors
    /// [`Unknown::IllConditioned`] where a pivot vanishes: a mechanism was not pinned.
    pub fn factor(&mut self) -> Result<(), Unknown> {
        let source = self.laid.source(None, 1.0);
        let pivots = self.engine.first_order.update(&self.engine.tree, &self.system, &source);
        if pivots.negative > 0 || pivots.smallest < DOUBTFUL {
            return Err(Unknown::IllConditioned(format!(
                "smallest relative pivot {:.1e}",
                pivots.smallest
            )));
        }
        self.factored = Some(self.engine.first_order.updates);
        Ok(())
    }

    /// Solves a case of nodal loads.
    ///
    /// # Errors
    /// Before [`OnTree::factor`].
    pub fn solve(&self, case: &LoadCase) -> Result<TreeSolution, Unknown> {
        if self.factored != Some(self.engine.first_order.updates) {
            return Err(Unknown::NotConverged("not factorised".into()));
        }
        let displacement = self.solve_one(&self.engine.first_order, &case.nodal);
        let axial = self.axial(&displacement);
        Ok(TreeSolution { displacement, axial })
    }

    fn solve_one(&self, factor: &TreeFactor, case: &[(usize, [f64; 6])]) -> Vec<[f64; 6]> {
        let mut out = Vec::with_capacity(1);
        self.solve_together::<1>(factor, &[case], &mut Vec::new(), &mut out);
        out.swap_remove(0)
    }

    /// Nodal loads by the unknowns they act on.
    fn unknowns<'c>(
        &'c self,
        case: &'c [(usize, [f64; 6])],
    ) -> impl Iterator<Item = (usize, f64)> + 'c {
        case.iter().flat_map(|(node, force)| {
            let numbers = self.laid.lasting[*node].into_iter().zip(*force);
            numbers.filter(|(n, _)| *n != u32::MAX).map(|(n, f)| (n as usize, f))
        })
    }

    fn by_node(&self, x: impl Fn(usize) -> f64) -> Vec<[f64; 6]> {
        let mut out = vec![[0.0; 6]; self.laid.lasting.len()];
        for (moved, numbers) in out.iter_mut().zip(&self.laid.lasting) {
            for (value, &number) in moved.iter_mut().zip(numbers) {
                if number != u32::MAX {
                    *value = x(number as usize);
                }
            }
        }
        out
    }

    /// Factorises K + Kg for the given axial forces. False: a factor at or below one is critical,
    /// or may be; [`OnTree::solve_all`] is not to be asked then.
    pub fn stiffen(&mut self, axial: &[f64]) -> bool {
        let source = self.laid.source(Some(axial), 1.0);
        let pivots = self.engine.second_order.update(&self.engine.tree, &self.system, &source);
        self.stiffened = Some(self.engine.second_order.updates);
        pivots.negative == 0 && pivots.smallest > DOUBTFUL
    }

    /// Displacements under several cases of nodal loads at once.
    ///
    /// # Errors
    /// Before [`OnTree::factor`] or [`OnTree::stiffen`].
    pub fn solve_all(
        &mut self,
        order: Order,
        cases: &[Vec<(usize, [f64; 6])>],
    ) -> Result<Vec<Vec<[f64; 6]>>, Unknown> {
        let (updates, made) = match order {
            Order::First => (self.engine.first_order.updates, self.factored),
            Order::Second => (self.engine.second_order.updates, self.stiffened),
        };
        if made != Some(updates) {
            return Err(Unknown::NotConverged("not factorised".into()));
        }
        let mut out = Vec::with_capacity(cases.len());
        let (mut many, mut few) = std::mem::take(&mut self.engine.room);
        let factor = match order {
            Order::First => &self.engine.first_order,
            Order::Second => &self.engine.second_order,
        };
        for some in cases.chunks(MOST) {
            match some {
                [case] => out.push(self.solve_one(factor, case)),
                _ if some.len() <= FEW => self.solve_together(factor, some, &mut few, &mut out),
                _ => self.solve_together(factor, some, &mut many, &mut out),
            }
        }
        self.engine.room = (many, few);
        Ok(out)
    }

    /// At most `L` cases; `x` is room.
    fn solve_together<const L: usize>(
        &self,
        factor: &TreeFactor,
        cases: &[impl AsRef<[(usize, [f64; 6])]>],
        x: &mut Vec<Lanes<L>>,
        out: &mut Vec<Vec<[f64; 6]>>,
    ) {
        x.clear();
        x.resize(6 * self.engine.most_nodes, [0.0; L]);
        for (lane, case) in cases.iter().enumerate() {
            for (at, f) in self.unknowns(case.as_ref()) {
                x[at][lane] += f;
            }
        }
        factor.solve(&self.engine.tree, x);
        out.extend((0..cases.len()).map(|lane| self.by_node(|n| x[n][lane])));
    }

    /// Axial force of each frame member under displacements, tension positive.
    #[must_use]
    pub fn axial(&self, displacement: &[[f64; 6]]) -> Vec<f64> {
        self.laid.parts.elements.iter().map(|e| stretch(e, displacement) * e.axial).collect()
    }

    /// The members of the frame.
    #[must_use]
    pub(in crate::mechanics) fn elements(&self) -> Rc<Vec<Element>> {
        Rc::clone(&self.laid.parts.elements)
    }

    /// Pivots of K + factor·Kg for the given axial forces; no negative one is the proof that no
    /// critical factor lies between zero and `factor`.
    pub fn prove(&mut self, axial: &[f64], factor: f64) -> Pivots {
        let loaded: Vec<f64> = axial.iter().map(|n| n * factor).collect();
        let source = self.laid.source(Some(&loaded), 1.0);
        self.engine.proof.update(&self.engine.tree, &self.system, &source)
    }
}

fn stretch(element: &Element, displacement: &[[f64; 6]]) -> f64 {
    let [i, j] = element.nodes;
    (0..3).map(|d| element.axes[(0, d)] * (displacement[j][d] - displacement[i][d])).sum()
}
