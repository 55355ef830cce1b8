//! The proof that the critical factor of a stage is no less than the required one.

use super::{Job, contact, motions};
use crate::mechanics::answers::Unknown;
use crate::mechanics::engine::stage_tree::OnTree;
use crate::mechanics::frame::{Dof, ElementForm};
use crate::mechanics::mechanisms;
use crate::mechanics::model::Model;
use crate::mechanics::stage_model::{StageMechanics, Verdict};
use std::collections::BTreeSet;

impl Job<'_> {
    /// The proof in the contact states in which feet have lifted. Compressions: rounded far up for the
    /// tree, and for a matrix of its own.
    pub(super) fn prove_lifted(
        &self,
        tree: &mut OnTree<'_>,
        pins: &[Dof],
        states: &BTreeSet<Vec<usize>>,
        [far, compression]: [&[f64]; 2],
        required: f64,
    ) -> Result<Verdict, Unknown> {
        for lifted in states {
            let lifted: BTreeSet<usize> = lifted.iter().copied().collect();
            let supports = contact::supports_without(self.frame, &lifted);
            if let Some(pins) = contact::pins_of_swings(self.frame, &lifted, pins, None) {
                let mut on = tree.on_supports(&supports, &pins)?;
                if on.is_rigid() {
                    let pivots = on.prove(far, required);
                    if pivots.are_a_proof() {
                        continue;
                    }
                }
            }
            // In doubt, near the limit or past it: on a matrix of its own.
            let released = contact::without_feet(self.frame, &lifted);
            let found = mechanisms::find(&released)?;
            found.count.clone()?;
            let model = Model::new(&released, ElementForm::Exact, &found.all_pins())?;
            let verdict = prove(&model, compression, required)?;
            if verdict != Verdict::Met {
                return Ok(verdict);
            }
        }
        Ok(Verdict::Met)
    }

    /// The least critical factor with its mode, where the required one is not reached.
    pub(super) fn lowest_mode(
        &self,
        model: &Model<'_>,
        compression: &[f64],
        out: &mut StageMechanics,
    ) -> Result<(), Unknown> {
        let Some(mode) = model.lowest(compression, 1)?.into_iter().next() else { return Ok(()) };
        out.lowest_factor = Some(mode.factor);
        let (mut members, motion) =
            motions::name_motion(self.assembly, self.stage, self.frame, &mode.mode);
        members.extend(mode.bowing.iter().map(|&k| self.frame.of[k]));
        members.sort_unstable();
        members.dedup();
        out.mode_members = members;
        out.mode = Some(motion);
        Ok(())
    }
}

/// Whether no critical factor lies between zero and the required one.
pub(super) fn prove(
    model: &Model<'_>,
    compression: &[f64],
    required: f64,
) -> Result<Verdict, Unknown> {
    let inertia = model.inertia(compression, required)?;
    Ok(if inertia.margin <= 1.0 {
        Verdict::Unknown("round-off could change the count of critical factors".to_owned())
    } else if inertia.negative == 0 {
        Verdict::Met
    } else {
        Verdict::NotMet
    })
}
