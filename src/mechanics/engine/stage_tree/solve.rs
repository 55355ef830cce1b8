//! What is asked of a stage on the tree: rigidity, answers of first and second order, the proof.

use super::super::factor::{Factor, Keeper};
use super::super::front::Pivots;
use super::source::{Laid, Source};
use super::{Asked, OnTree, Parts, Stiffened, TreeSolution};
use crate::mechanics::answers::Unknown;
use crate::mechanics::element::Element;
use crate::mechanics::frame::LoadCase;
use std::sync::{Arc, OnceLock};

/// Scaled eigenvalues below this count as motions that strain nothing. Far above round-off
/// (about 1e-13 here), far below the softest real post (above 1e-6 of its stiffest direction).
pub(super) const STRAINLESS: f64 = 1e-9;

fn plainly_definite(pivots: &Pivots) -> bool {
    pivots.negative == 0 && pivots.are_certain()
}

impl OnTree<'_> {
    /// Whether no motion leaves every member unstrained: all eigenvalues of the scaled stiffness
    /// lie above a shift. False: some may lie below, to be looked at one by one.
    ///
    /// Asked first of the stage taken apart (`super::planes`): halves of the shift belong to halves of the
    /// stiffness, so that what is definite apart is so together.
    pub fn is_rigid(&mut self) -> bool {
        let apart = self.engine.apart(&self.laid);
        apart.is_some_and(|laid| plainly_definite(&self.strain_of(&laid).pivots))
            || plainly_definite(&self.strain_factor().pivots)
    }

    /// The factor of the stiffness with that shift.
    pub(super) fn strain_factor(&mut self) -> Arc<Factor> {
        let laid = Arc::clone(&self.laid);
        self.strain_of(&laid)
    }

    fn strain_of(&mut self, laid: &Laid) -> Arc<Factor> {
        let factor = laid.strain.get_or_init(|| {
            let source = laid.source(&self.engine.made, None, 1.0 - STRAINLESS);
            Arc::new(unpressed(&mut self.engine.kept.strain, laid, &source, |laid| &laid.strain))
        });
        Arc::clone(factor)
    }

    /// Factorises the first-order stiffness.
    ///
    /// # Errors
    /// [`Unknown::IllConditioned`] where a pivot vanishes: a mechanism was not pinned.
    pub fn factor(&mut self) -> Result<(), Unknown> {
        let laid = Arc::clone(&self.laid);
        let factor = self.factor_first(&laid);
        if !plainly_definite(&factor.pivots) {
            return Err(Unknown::IllConditioned(format!(
                "smallest relative pivot {:.1e}",
                factor.pivots.smallest
            )));
        }
        self.factored = Some(factor);
        Ok(())
    }

    fn factor_first(&mut self, laid: &Laid) -> Arc<Factor> {
        let factor = laid.first.get_or_init(|| {
            let source = laid.source(&self.engine.made, None, 1.0);
            Arc::new(unpressed(&mut self.engine.kept.first_order, laid, &source, |laid| {
                &laid.first
            }))
        });
        Arc::clone(factor)
    }

    /// Solves a case of nodal loads.
    ///
    /// # Errors
    /// Before [`OnTree::factor`].
    pub fn solve(&self, case: &LoadCase) -> Result<TreeSolution, Unknown> {
        let factor = self.factored.as_ref().ok_or_else(not_factorised)?;
        let laid = &self.laid;
        let mut out = laid.at_rest();
        factor.solve(&[laid.loads(&case.nodal, |_| true)], |_, _| true, &mut |moved| {
            laid.take(moved, std::slice::from_mut(&mut out));
        });
        out.axial = laid.parts.elements.iter().map(|element| out.axial_of(element)).collect();
        Ok(out)
    }

    /// Factorises K + Kg for the given axial forces. False: a factor at or below one is critical,
    /// or may be; [`OnTree::answer_stiffened`] is not to be asked then.
    ///
    /// The stage is taken apart into its upright planes (`super::planes`), and what pressed bars join between
    /// strands is bounded; both make it a little softer than it is. Where that is too soft it is
    /// asked with all its planes together, and then as it is.
    pub fn stiffen(&mut self, axial: &[f64]) -> bool {
        self.stiffen_like(axial, None)
    }

    /// The same, where much is as in another stiffened state of the same stage.
    pub fn stiffen_like(&mut self, axial: &[f64], like: Option<&Stiffened>) -> bool {
        let apart = self.engine.apart(&self.laid);
        let together = Arc::clone(&self.laid);
        if apart.is_some_and(|laid| self.stiffen_as(laid, axial, like))
            || self.stiffen_as(together, axial, like)
        {
            return true;
        }
        let whole = Arc::new(self.engine.whole(&self.laid));
        self.stiffen_as(whole, axial, like)
    }

    /// False: nothing is stiffened then.
    fn stiffen_as(&mut self, laid: Arc<Laid>, axial: &[f64], like: Option<&Stiffened>) -> bool {
        let like = like.and_then(|like| like.beside(&laid, axial));
        let source = laid.source(&self.engine.made, Some(axial), 1.0);
        let keeper = &mut self.engine.kept.second_order;
        let factor = keeper.factor_like(&laid.plan, &laid.shapes, &source, like);
        let good = plainly_definite(&factor.pivots);
        let axial = Some(axial.into());
        self.stiffened = good.then(|| Stiffened { laid, factor: Arc::new(factor), axial });
        good
    }

    /// As [`OnTree::stiffen`] without any axial force.
    ///
    /// # Errors
    /// As [`OnTree::factor`].
    pub fn ease(&mut self) -> Result<(), Unknown> {
        if let Some(laid) = self.engine.apart(&self.laid) {
            let factor = self.factor_first(&laid);
            if plainly_definite(&factor.pivots) {
                self.stiffened = Some(Stiffened { laid, factor, axial: None });
                return Ok(());
            }
        }
        self.factor()?;
        let factor = self.factored.clone().ok_or_else(not_factorised)?;
        let laid = Arc::clone(&self.laid);
        self.stiffened = Some(Stiffened { laid, factor, axial: None });
        Ok(())
    }

    /// A number for all that a frame member is made of, the same at every stage.
    #[must_use]
    pub(in crate::mechanics) fn number(&self, member: usize) -> u32 {
        self.laid.parts.known[member]
    }

    /// The members of the frame.
    #[must_use]
    pub(in crate::mechanics) fn elements(&self) -> Arc<Vec<Element>> {
        Arc::clone(&self.laid.parts.elements)
    }

    /// Pivots of K + factor·Kg for the given axial forces; no negative one is the proof that no
    /// critical factor lies between zero and `factor`. One that is negative proves nothing: what
    /// pressed bars join between strands is bounded, as are posts that are braced both ways.
    pub fn prove(&mut self, axial: &[f64], factor: f64) -> Pivots {
        let loaded: Vec<f64> = axial.iter().map(|n| n * factor).collect();
        if let Some(apart) = self.engine.apart(&self.laid) {
            let pivots = self.prove_laid(&apart, &loaded);
            if pivots.are_a_proof() {
                return pivots;
            }
        }
        let laid = Arc::clone(&self.laid);
        self.prove_laid(&laid, &loaded)
    }

    /// Where the same was asked last, or of the frame before, only strands with a member that is pressed
    /// otherwise are described and looked for again.
    fn prove_laid(&mut self, laid: &Arc<Laid>, loaded: &[f64]) -> Pivots {
        let last = self.engine.asked.take();
        let like = last.as_ref().and_then(|last| {
            let otherwise = laid.parts.pressed_otherwise(&last.laid.parts, &last.axial, loaded)?;
            Some((&last.factor, laid.plan.strands_with(&otherwise)))
        });
        let source = laid.source(&self.engine.made, Some(loaded), 1.0);
        let keeper = &mut self.engine.kept.proof;
        let factor = keeper.factor_like(&laid.plan, &laid.shapes, &source, like);
        let pivots = factor.pivots;
        let (laid, axial) = (Arc::clone(laid), loaded.to_vec());
        self.engine.asked = Some(Asked { laid, axial, factor });
        pivots
    }
}

/// The factor of a matrix without axial forces. Where what a stage was made like has the same, given by
/// `known`, its strands of the same shape are taken over.
fn unpressed(
    keeper: &mut Keeper,
    laid: &Laid,
    source: &Source<'_>,
    known: impl Fn(&Laid) -> &OnceLock<Arc<Factor>>,
) -> Factor {
    let before = laid.before();
    let like = before.as_ref().and_then(|before| known(before).get());
    let like = like.map(|factor| (&**factor, vec![false; laid.shapes.len()]));
    keeper.factor_like(&laid.plan, &laid.shapes, source, like)
}

impl Parts {
    /// By member: whether its axial force is otherwise than that of the same member of other parts, in bits,
    /// or it was not there. None where the parts have nothing to do with one another.
    pub(super) fn pressed_otherwise(
        &self,
        before: &Arc<Self>,
        then: &[f64],
        now: &[f64],
    ) -> Option<Vec<bool>> {
        if std::ptr::eq(self, &**before) {
            let forces = then.iter().zip(now);
            return Some(forces.map(|(a, b)| a.to_bits() != b.to_bits()).collect());
        }
        let carried = self.carried_from(before)?;
        let is_other = |(member, now): (usize, &f64)| {
            carried.then(member).is_none_or(|was| then[was].to_bits() != now.to_bits())
        };
        Some(now.iter().enumerate().map(is_other).collect())
    }
}

pub(super) fn not_factorised() -> Unknown {
    Unknown::NotConverged("not factorised".into())
}
