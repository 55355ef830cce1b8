//! The proof that the critical factor of a stage is no less than the required one.

use super::bands::{power_of_two, round_up};
use super::idealise::{PieceOf, StageFrame};
use super::{Job, contact, motions};
use crate::mechanics::answers::Unknown;
use crate::mechanics::engine::stage_tree::OnTree;
use crate::mechanics::frame::{Dof, ElementForm};
use crate::mechanics::mechanisms;
use crate::mechanics::model::Model;
use crate::mechanics::stage_model::{StageMechanics, Verdict};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Least of the broad bands of compression, newtons.
const LEAST_BROAD: f64 = 10.0;
/// Proofs kept at most: the few contact states of the last stages.
const KEPT: usize = 12;

/// What is proven of a frame for one required factor: with which feet lifted and what held besides, and
/// with which compressions, negative.
#[derive(Clone, Debug, Default)]
pub(super) struct Proofs {
    frame: Option<Arc<StageFrame>>,
    held: Vec<(BTreeSet<usize>, Vec<Dof>, Vec<f64>)>,
    alike: Alike,
    /// How often it is not to be asked with all alike, since that was too much.
    spared: u32,
}

/// So often it is not asked with all alike once that was too much.
const SPARED: u32 = 15;

impl Proofs {
    /// Whether it is proven with as much compression or more. Of another frame nothing is.
    fn hold(
        &mut self,
        frame: &Arc<StageFrame>,
        (lifted, pins): (&BTreeSet<usize>, &[Dof]),
        compression: &[f64],
    ) -> bool {
        if !self.frame.as_ref().is_some_and(|known| Arc::ptr_eq(known, frame)) {
            (self.frame, self.held) = (Some(Arc::clone(frame)), Vec::new());
        }
        // Written so that what is not a number is no proof.
        let no_less = |known: &[f64]| known.iter().zip(compression).all(|(more, n)| more <= n);
        self.held.iter().any(|(up, held, known)| up == lifted && held == pins && no_less(known))
    }

    fn keep(&mut self, (lifted, pins): (&BTreeSet<usize>, &[Dof]), compression: Vec<f64>) {
        self.held.retain(|(up, held, _)| up != lifted || held != pins);
        if self.held.len() >= KEPT {
            // With all feet down it is asked at every stage.
            let oldest = self.held.iter().position(|(up, ..)| !up.is_empty()).unwrap_or(0);
            self.held.remove(oldest);
        }
        self.held.push((lifted.clone(), pins.to_vec(), compression));
    }
}

impl Job<'_> {
    /// Whether the tree proves that no critical factor lies between zero and the required one.
    ///
    /// Asked first with more compression, so that little changes from stage to stage: with all members of a
    /// kind as the one that is pressed most, and where that is too much in broad bands. What is proven with
    /// more holds with less. Only where both are too much is it asked as it is.
    pub(super) fn proven(
        &self,
        tree: &mut OnTree<'_>,
        proofs: &mut Proofs,
        (lifted, pins): (&BTreeSet<usize>, &[Dof]),
        compression: &[f64],
        required: f64,
    ) -> bool {
        if proofs.hold(self.frame, (lifted, pins), compression) {
            return true;
        }
        let pieces = &self.frame.pieces;
        if proofs.spared > 0 {
            proofs.spared -= 1;
        } else {
            let all = proofs.alike.take(pieces, compression);
            if tree.prove(&all, required).are_a_proof() {
                proofs.keep((lifted, pins), all);
                return true;
            }
            proofs.spared = SPARED;
        }
        let broad = broadly(pieces, compression);
        if tree.prove(&broad, required).are_a_proof() {
            proofs.keep((lifted, pins), broad);
            return true;
        }
        tree.prove(compression, required).are_a_proof()
    }

    /// The proof in the contact states in which feet have lifted.
    pub(super) fn prove_lifted(
        &self,
        tree: &mut OnTree<'_>,
        proofs: &mut Proofs,
        pins: &[Dof],
        states: &BTreeSet<Vec<usize>>,
        compression: &[f64],
        required: f64,
    ) -> Result<Verdict, Unknown> {
        for lifted in states {
            let lifted: BTreeSet<usize> = lifted.iter().copied().collect();
            let supports = contact::supports_without(self.frame, &lifted);
            let of = (&lifted, &supports[..]);
            if let Some(pins) = contact::pins_on(tree, self.frame, of, pins, None)? {
                let mut on = tree.on_supports(&supports, &pins)?;
                let of = (&lifted, &pins[..]);
                if self.proven(&mut on, proofs, of, compression, required) {
                    continue;
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

/// The compressions of posts and of bars that a proof was asked with last where all of a kind were alike.
#[derive(Clone, Copy, Debug, Default)]
struct Alike([f64; 2]);

impl Alike {
    /// Compressions, negative, of all of a kind as much as the largest or more: what it was the last time where
    /// that is enough and no more than twice as much, else rounded up by less than a quarter. What is not a
    /// number stays.
    fn take(&mut self, pieces: &[PieceOf], compression: &[f64]) -> Vec<f64> {
        let is_bar = |k: usize| pieces[k] == PieceOf::Bar;
        let mut largest = [LEAST_BROAD; 2];
        for (k, n) in compression.iter().enumerate() {
            let of_kind = &mut largest[usize::from(is_bar(k))];
            *of_kind = of_kind.max(-n);
        }
        for (known, largest) in self.0.iter_mut().zip(largest) {
            if !(*known >= largest && *known <= 2.0 * largest) {
                *known = round_up(largest, LEAST_BROAD, 2);
            }
        }
        let most = |k: usize| -self.0[usize::from(is_bar(k))];
        let all = compression.iter().enumerate();
        all.map(|(k, n)| if n.is_nan() { *n } else { most(k) }).collect()
    }
}

/// Compressions, negative, in broad bands: rounded up to powers of two, from half of the largest of
/// their kind on, so that nearly all posts of a floor have the same, and nearly all bars.
fn broadly(pieces: &[PieceOf], compression: &[f64]) -> Vec<f64> {
    let is_bar = |k: usize| pieces[k] == PieceOf::Bar;
    let half_of_largest = |bars: bool| {
        let of_kind = compression.iter().enumerate().filter(|(k, _)| is_bar(*k) == bars);
        0.5 * of_kind.map(|(_, n)| -n).fold(2.0 * LEAST_BROAD, f64::max)
    };
    let least = [false, true].map(half_of_largest);
    let broad = |(k, n): (usize, &f64)| {
        let least = least[usize::from(is_bar(k))];
        // Where there is none it is the least as well; what is not a number stays.
        -power_of_two(if *n == 0.0 { least } else { -n }, least)
    };
    compression.iter().enumerate().map(broad).collect()
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

#[cfg(test)]
mod tests {
    use super::{Alike, PieceOf, Proofs, StageFrame, broadly};
    use std::collections::BTreeSet;
    use std::sync::Arc;

    #[test]
    fn what_is_proven_holds_with_less_of_the_same_frame_and_contact_alone() {
        let [one, other] = [(); 2].map(|()| Arc::new(StageFrame::default()));
        let down = BTreeSet::new();
        let mut proofs = Proofs::default();
        assert!(!proofs.hold(&one, (&down, &[]), &[-1.0, -1.0]));
        proofs.keep((&down, &[]), vec![-2.0, -4.0]);
        assert!(proofs.hold(&one, (&down, &[]), &[-2.0, 0.0]));
        assert!(!proofs.hold(&one, (&down, &[]), &[-2.1, 0.0]));
        assert!(!proofs.hold(&one, (&down, &[]), &[f64::NAN, 0.0]));
        assert!(!proofs.hold(&one, (&down, &[(0, 1)]), &[-1.0, 0.0]));
        assert!(!proofs.hold(&one, (&BTreeSet::from([3]), &[]), &[-1.0, 0.0]));
        assert!(!proofs.hold(&other, (&down, &[]), &[-1.0, 0.0]), "another frame");
        assert!(!proofs.hold(&one, (&down, &[]), &[-1.0, 0.0]), "forgotten since");
    }

    #[test]
    fn broad_bands_are_few_and_never_less_than_what_is_there() {
        let loads: Vec<f64> = (0..400).map(|k| -25.0 * f64::from(k)).collect();
        let pieces: Vec<PieceOf> =
            (0..400).map(|k| if k % 3 == 0 { PieceOf::Bar } else { PieceOf::Outer }).collect();
        let broad = broadly(&pieces, &loads);
        assert!(broad.iter().zip(&loads).all(|(b, n)| b <= n));
        let mut bands = broad.clone();
        bands.sort_by(f64::total_cmp);
        bands.dedup();
        assert_eq!(bands, [-16384.0, -8192.0]);
        // A little more changes what lay at the edge of a band, and nothing else.
        let more: Vec<f64> = loads.iter().map(|n| n * 1.01).collect();
        for ((after, before), (n, more)) in
            broadly(&pieces, &more).iter().zip(&broad).zip(loads.iter().zip(&more))
        {
            assert_eq!(after != before, -n <= 8192.0 && -more > 8192.0, "{n} became {more}");
        }
    }

    #[test]
    fn all_of_a_kind_alike_are_pressed_as_the_most_of_them_and_little_more() {
        let pieces = [PieceOf::Outer, PieceOf::Inner, PieceOf::Bar, PieceOf::Bar, PieceOf::Jack];
        let alike = |compression: &[f64]| Alike::default().take(&pieces, compression);
        let all = alike(&[-900.0, 0.0, -33.0, -12.0, f64::NAN]);
        assert_eq!(all[..4], [-1024.0, -1024.0, -40.0, -40.0]);
        assert!(all[4].is_nan());
        for most in 1..2000 {
            let most = 10.0 + f64::from(most);
            let first = -alike(&[-most, -3.0])[0];
            assert!(first >= most && first < 1.25 * most, "{most} became {first}");
        }
    }

    #[test]
    fn what_all_were_alike_in_stays_while_it_is_enough_and_not_far_too_much() {
        let mut alike = Alike::default();
        let mut posts = |most: f64| -alike.take(&[PieceOf::Outer; 2], &[-most, -5.0])[1];
        let becomes = [(1000.0, 1024.0), (1030.0, 1280.0), (1000.0, 1280.0), (640.0, 1280.0)];
        for (most, due) in becomes.into_iter().chain([(639.0, 640.0), (0.0, 10.0)]) {
            assert_eq!(posts(most), due, "{most}");
        }
        assert_eq!(posts(f64::INFINITY), f64::INFINITY);
        assert_eq!(posts(20.0), 20.0);
    }

    #[test]
    fn what_is_not_known_stays_so_and_what_is_pulled_is_no_less_safe() {
        let pieces = [PieceOf::Outer, PieceOf::Outer, PieceOf::Bar];
        let broad = broadly(&pieces, &[f64::NAN, -300.0, 0.0]);
        assert!(broad[0].is_nan());
        assert_eq!(broad[1..], [-512.0, -16.0]);
        assert_eq!(broadly(&pieces[..1], &[f64::NEG_INFINITY]), [f64::NEG_INFINITY]);
    }
}
