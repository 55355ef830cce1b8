//! A stage judged as a frame: mechanisms, forces, critical factor, lateral cases, least push.

pub(super) mod bands;
mod bracing;
pub mod cases;
pub mod contact;
pub mod effective;
mod envelope;
pub mod grip;
pub mod idealise;
mod judge;
mod lateral;
pub mod limit;
pub mod lines;
pub mod motions;
mod proof;
pub mod push;
pub(super) mod sections;
mod strength;
mod swing;

use super::answers::{Mechanisms, Unknown};
use super::engine::stage_tree::{Engine, OnTree, Resting};
use super::frame::{ElementForm, LoadCase};
use super::mechanisms;
use super::model::Model;
use super::stage_model::{StageMechanics, Verdict};
use crate::assembly::{Assembly, MemberId};
use crate::criteria::Pack;
use crate::loads::{Facing, LoadState, head_lateral_kept};
use crate::sequence::Stage;
use envelope::Envelope;
use idealise::StageFrame;
use judge::MadeOf;
pub use judge::{Judge, Spent, judge_stage};
use lateral::Lateral;
use std::cell::OnceCell;
use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Instant;

/// Out-of-balance force, relative, above which forces are not relied on.
const WORST_RESIDUAL: f64 = 1e-6;

/// Heads with their nodes and what pushes them sideways along an axis, newtons.
pub(super) type Heads = Vec<(MemberId, usize, f64)>;

/// What is kept from stage to stage beside the tree.
struct Kept<'a> {
    lines: &'a mut lines::Lines,
    columns: &'a mut effective::Columns,
    strength: &'a mut strength::Before,
    proofs: &'a mut proof::Proofs,
    resting: &'a mut Option<Resting>,
    spent: &'a mut Spent,
}

/// One stage with all that is known of it.
#[derive(Clone, Copy)]
struct Job<'a> {
    assembly: &'a Assembly,
    pack: &'a Pack,
    stage: &'a Stage,
    loads: &'a LoadState,
    frame: &'a Arc<StageFrame>,
}

impl Job<'_> {
    /// The motions that strain nothing, and the frame on the tree with all of them stopped. Where the
    /// tree proves that there are none, that is all.
    fn mechanisms<'e>(
        &'e self,
        engine: &'e mut Engine,
    ) -> Result<(Mechanisms, OnTree<'e>), Unknown> {
        // Proven by the tree, which does not say how far the rest is from moving.
        let mut found = Mechanisms::none(0.0);
        let mut tree = engine.take(self.frame, &[])?;
        if !tree.is_rigid() {
            found = mechanisms::find(&self.frame.frame)?;
            found.count.clone()?;
            let pins = found.all_pins();
            if !pins.is_empty() {
                tree.hold(&pins);
            }
        }
        Ok((found, tree))
    }

    /// Everything that needs the frame to be regular: forces, proof, lateral cases, push test.
    fn pinned(
        &self,
        mut tree: OnTree<'_>,
        kept: Kept<'_>,
        mechanisms: &Mechanisms,
        made_of: &MadeOf,
        out: &mut StageMechanics,
    ) -> Result<(), Unknown> {
        let Self { assembly, stage, loads, frame, .. } = *self;
        let pins = mechanisms.all_pins();
        let MadeOf { weight, heads, pushes, slabs, .. } = made_of;
        tree.factor()?;
        // Weight, and the heads pushed along each axis: every lateral case is a sum of two.
        let all: Vec<_> = [weight].into_iter().chain(&**pushes).map(|case| &case.nodal).collect();
        let resting = tree.answer(&all, kept.resting)?;
        let [at_rest, pushed @ ..] = resting.solutions() else {
            return Err(Unknown::NotConverged("no case".into()));
        };
        let weight_at_feet = resting.reactions_of(0);
        out.residual = resting.imbalance_of(0);
        let mut envelope = Envelope::new(frame);
        envelope.take_weights(loads, frame);
        envelope.take_slabs(slabs, frame);
        envelope.take(&at_rest.axial);
        // Made only where something goes over, and then once.
        let (feet, program) = (OnceCell::new(), OnceCell::new());
        let goes = |push: &LoadCase| {
            let feet = feet.get_or_init(|| limit::Feet::new(frame, &pins, &weight_at_feet));
            match program.get_or_init(|| feet.program()) {
                Ok(program) => limit::goes(program, weight, push),
                Err(unknown) => Err(unknown.clone()),
            }
        };
        let ground = resting.foot_forces(0);
        for (axis, case) in cases::axes(assembly).into_iter().zip(1..all.len()) {
            let (pushed, friction) = (resting.foot_forces(case), self.pack.friction.value);
            out.grip.extend(grip::both_ways(frame, axis, &ground, &pushed, friction));
        }
        let lateral = Lateral { heads, weight, pushes, resting, pins: &pins };
        let contact_states = self.lateral_cases(&mut tree, &lateral, &goes, &mut envelope, out)?;
        envelope.write(frame, out.axial.to_mut());
        if out.residual > WORST_RESIDUAL {
            return Err(Unknown::IllConditioned(format!(
                "forces out of balance by {:.1e}",
                out.residual
            )));
        }

        let most: Vec<f64> = envelope.compression.iter().map(|n| -n).collect();
        envelope.band();
        let down = (&BTreeSet::new(), &pins[..]);
        let compression = &envelope.compression;
        out.critical =
            if self.proven(&mut tree, kept.proofs, down, compression, out.required_factor) {
                Verdict::Met
            } else {
                // Near the limit or past it: the matrix of this stage is looked at on its own.
                let model = Model::new(&frame.frame, ElementForm::Exact, &pins)?;
                proof::prove(&model, &envelope.compression, out.required_factor)?
            };
        if out.critical == Verdict::Met {
            let required = out.required_factor;
            out.critical = self.prove_lifted(
                &mut tree,
                kept.proofs,
                &pins,
                &contact_states,
                &envelope.compression,
                required,
            )?;
        }
        if out.critical == Verdict::NotMet {
            let model = Model::new(&frame.frame, ElementForm::Exact, &pins)?;
            self.lowest_mode(&model, &envelope.compression, out)?;
        }

        let begun = Instant::now();
        let subject = strength::Subject {
            assembly,
            pack: self.pack,
            stage,
            frame,
            mechanisms,
            pins: &pins,
            weight,
            heads,
        };
        let rest: Vec<f64> = at_rest.axial.iter().map(|n| -n).collect();
        let weighed: Vec<f64> = frame
            .of
            .iter()
            .zip(&rest)
            .map(|(member, n)| {
                let most = loads.foot_greatest[member.index()];
                // `max` would pass over what is not a number.
                if most.is_nan() { f64::INFINITY } else { n.max(most).max(0.0) }
            })
            .collect();
        // Feet that lifted were asked on the same tree.
        tree.factor()?;
        let start = strength::Start { pushed, rest: &rest, most: &most, weighed: &weighed };
        strength::judge(&subject, &mut tree, kept.columns, kept.strength, start, out);
        tree.factor()?;
        kept.spent.strength += begun.elapsed();

        let begun = Instant::now();
        let subject = push::Subject {
            assembly,
            stage,
            frame,
            mechanisms,
            weight,
            weight_at_feet: &weight_at_feet,
        };
        let influence = |case: &LoadCase| {
            let solution = tree.solve(case)?;
            Ok(tree.foot_reactions(&solution, case))
        };
        let test = push::test(subject, kept.lines, &influence, &goes, out.required_push);
        kept.spent.push += begun.elapsed();
        out.push = match (&test.unknown, test.failing.is_empty()) {
            (_, false) => Verdict::NotMet,
            (Some(why), true) => Verdict::Unknown(why.clone()),
            (None, true) => Verdict::Met,
        };
        out.least_push = test.least;
        out.failing_pushes = test.failing;
        Ok(())
    }

    /// By axis: lateral force at each head, with its node: the greatest of notional share, wind and
    /// the least force along the floor's edge. Newtons. `before`: that of the stage from which `facing`
    /// went on, of the same frame.
    fn lateral_at_heads(&self, facing: &mut Facing, before: Option<&[Heads]>) -> Vec<Heads> {
        let Self { assembly, pack, stage, loads, frame } = *self;
        let axes = cases::axes(assembly);
        if let Some(before) = before {
            let mut out = before.to_vec();
            for post in facing.forgotten().to_vec() {
                let Some(place) = frame.posts.place(post) else { continue };
                let at_head = (stage, &mut *facing);
                let force = head_lateral_kept(assembly, pack, at_head, loads, post);
                for (heads, axis) in out.iter_mut().zip(&axes) {
                    heads[place].2 = force(*axis);
                }
            }
            return out;
        }
        let mut out: Vec<Heads> =
            axes.iter().map(|_| Heads::with_capacity(frame.posts.len())).collect();
        for (&post, chain) in frame.posts.iter() {
            let Some(&(_, head)) = chain.last() else { continue };
            let at_head = (stage, &mut *facing);
            let force = head_lateral_kept(assembly, pack, at_head, loads, post);
            for (heads, axis) in out.iter_mut().zip(&axes) {
                heads.push((post, head, force(*axis)));
            }
        }
        out
    }
}
