//! A stage judged as a frame: mechanisms, forces, critical factor, lateral cases, least push.

mod bands;
mod bracing;
pub mod cases;
pub mod contact;
pub mod effective;
mod envelope;
pub mod grip;
pub mod idealise;
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
use super::engine::stage_tree::{Engine, OnTree, Order, TreeSolution};
use super::frame::{ElementForm, LoadCase};
use super::mechanisms;
use super::model::Model;
use super::stage_model::{StageMechanics, Verdict};
use crate::assembly::{Assembly, MemberId};
use crate::criteria::Pack;
use crate::loads::LoadState;
use crate::sequence::Stage;
use envelope::Envelope;
use idealise::StageFrame;
use lateral::Lateral;
use std::cell::OnceCell;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Out-of-balance force, relative, above which forces are not relied on.
const WORST_RESIDUAL: f64 = 1e-6;

/// Judges the stages of one assembly, one after the other or in any order: each answer is the
/// same, bit for bit, whatever was judged before it.
#[derive(Clone, Debug)]
pub struct Judge<'a> {
    assembly: &'a Assembly,
    pack: &'a Pack,
    engine: Engine,
    lines: lines::Lines,
    columns: effective::Columns,
    places: strength::Places,
    last: Option<Last>,
    frame: Option<Arc<StageFrame>>,
    spent: Spent,
}

/// Time spent on stages so far.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Spent {
    /// All: mechanisms, forces, the lateral cases, the proof of the critical factor, and what follows.
    pub whole: Duration,
    /// Of it on the strength of posts by second order.
    pub strength: Duration,
    /// Of it on the pushes at the heads.
    pub push: Duration,
}

/// All that the answer to a stage was made of, and the answer. Only where nothing fails: then it
/// names nothing of the stage but what is here.
#[derive(Clone, Debug)]
struct Last {
    made_of: MadeOf,
    answer: StageMechanics,
}

/// Frame, weight, what pushes the heads along each axis, the most each post may carry, and what a
/// slab may still lay on it.
#[derive(Clone, Debug, PartialEq)]
struct MadeOf {
    frame: Arc<StageFrame>,
    weight: LoadCase,
    heads: Vec<Heads>,
    most: Vec<f64>,
    slabs: Vec<(MemberId, f64)>,
}

impl MadeOf {
    /// All that the mechanics takes from the stage and its loads.
    fn new(
        assembly: &Assembly,
        pack: &Pack,
        stage: &Stage,
        loads: &LoadState,
        frame: Arc<StageFrame>,
    ) -> Self {
        let job = Job { assembly, pack, stage, loads, frame: &frame };
        let axes = cases::axes(assembly);
        let heads = axes.into_iter().map(|axis| job.lateral_at_heads(axis)).collect();
        let weight = cases::weight(assembly, loads, &frame);
        let most = frame.posts.keys().map(|post| loads.foot_greatest[post.index()]).collect();
        let slabs = crate::loads::slab::pressing(assembly, pack, stage);
        Self { frame, weight, heads, most, slabs }
    }
}

/// Judges one stage on its own.
#[must_use]
pub fn judge_stage(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    loads: &LoadState,
) -> StageMechanics {
    Judge::new(assembly, pack).stage(stage, loads)
}

impl<'a> Judge<'a> {
    #[must_use]
    pub fn new(assembly: &'a Assembly, pack: &'a Pack) -> Self {
        Self {
            assembly,
            pack,
            engine: Engine::new(assembly),
            lines: lines::Lines::default(),
            columns: effective::Columns::default(),
            places: strength::Places::default(),
            last: None,
            frame: None,
            spent: Spent::default(),
        }
    }

    /// Time spent since the judge was made.
    #[must_use]
    pub fn spent(&self) -> Spent {
        self.spent
    }

    /// The frame of the stage that was judged last.
    #[must_use]
    pub fn frame(&self) -> Option<&Arc<StageFrame>> {
        self.frame.as_ref()
    }

    /// Forgets what was kept from the stages before, all but the elimination tree.
    pub fn forget(&mut self) {
        self.engine.forget();
        self.lines = lines::Lines::default();
        self.columns = effective::Columns::default();
        self.places = strength::Places::default();
        self.last = None;
    }

    /// Fronts made anew at the last stage (first order, strain, proof, second order), and how many
    /// there are.
    #[must_use]
    pub fn renewed(&self) -> ([usize; 4], usize) {
        self.engine.renewed()
    }

    /// Judges one stage.
    ///
    /// Mechanisms are found first and pinned, one degree of freedom each, so that one loose post
    /// does not blind the rest; what the pins must hold back belongs to the mechanism's own
    /// finding. The proof of the critical factor takes the largest compression any case brings
    /// to each member, rounded up into bands, and leaves tension out: more compression never
    /// makes these members stiffer.
    #[must_use]
    pub fn stage(&mut self, stage: &Stage, loads: &LoadState) -> StageMechanics {
        let begun = Instant::now();
        let out = self.judge(stage, loads);
        self.spent.whole += begun.elapsed();
        out
    }

    fn judge(&mut self, stage: &Stage, loads: &LoadState) -> StageMechanics {
        let frame = Arc::new(idealise::idealise(self.assembly, stage));
        // While loads alone change it is one and the same.
        let same = self.frame.take().filter(|last| *last == frame);
        let frame = same.unwrap_or(frame);
        self.frame = Some(Arc::clone(&frame));
        let required_push = self.pack.worker_push.value.si();
        let required = self.pack.critical_factor.value;
        let members = self.assembly.members.len();
        let mut out = StageMechanics::unknown("not judged", members, required, required_push);
        out.not_modelled.clone_from(&frame.unknown);
        if let Some((post, why)) = frame.unknown.first() {
            // What is left would be judged without it, and might look better than it is.
            let why = Verdict::Unknown(format!("{}: {why}", self.assembly.name(*post)));
            out.answer_all(&why);
            return out;
        }
        if frame.posts.is_empty() {
            // Nothing stands on its own.
            out.answer_all(&Verdict::Met);
            return out;
        }
        let made_of = MadeOf::new(self.assembly, self.pack, stage, loads, frame);
        let frame = &made_of.frame;
        let job = Job { assembly: self.assembly, pack: self.pack, stage, loads, frame };
        if let Some(last) = self.last.as_ref().filter(|last| last.made_of == made_of) {
            return last.answer.clone();
        }
        self.last = None;
        self.engine.begin_stage();
        let (mechanisms, tree) = match job.mechanisms(&mut self.engine) {
            Ok(found) => found,
            Err(unknown) => {
                out.answer_all(&Verdict::Unknown(unknown.to_string()));
                return out;
            }
        };
        out.mechanisms_certain =
            if mechanisms.motions.is_empty() { Verdict::Met } else { Verdict::NotMet };
        out.mechanisms = mechanisms
            .motions
            .iter()
            .map(|m| motions::name_mechanism(self.assembly, stage, frame, m))
            .collect();
        let kept = Kept {
            lines: &mut self.lines,
            columns: &mut self.columns,
            places: &mut self.places,
            spent: &mut self.spent,
        };
        if let Err(unknown) = job.pinned(tree, kept, &mechanisms, &made_of, &mut out) {
            let why = Verdict::Unknown(unknown.to_string());
            for verdict in
                [&mut out.critical, &mut out.lateral, &mut out.push, &mut out.strength.verdict]
            {
                if matches!(verdict, Verdict::Unknown(_)) {
                    *verdict = why.clone();
                }
            }
        }
        let fails = !out.mechanisms.is_empty()
            || !out.overturned.is_empty()
            || !out.failing_pushes.is_empty()
            || !out.strength.falls.is_empty()
            || out.mode.is_some();
        if !fails {
            self.last = Some(Last { made_of, answer: out.clone() });
        }
        out
    }
}

/// Heads with their nodes and what pushes them sideways along an axis, newtons.
pub(super) type Heads = Vec<(MemberId, usize, f64)>;

/// What is kept from stage to stage beside the tree.
struct Kept<'a> {
    lines: &'a mut lines::Lines,
    columns: &'a mut effective::Columns,
    places: &'a mut strength::Places,
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
        let MadeOf { weight, heads, slabs, .. } = made_of;
        tree.factor()?;
        // Weight, and the heads pushed along each axis: every lateral case is a sum of two.
        let pushes: Vec<LoadCase> = cases::axes(assembly)
            .into_iter()
            .zip(heads)
            .map(|(axis, heads)| LoadCase {
                nodal: heads
                    .iter()
                    .map(|&(_, node, force)| cases::sideways(node, axis, force))
                    .collect(),
                uniform: Vec::new(),
            })
            .collect();
        let mut all = vec![weight.nodal.clone()];
        all.extend(pushes.iter().map(|p| p.nodal.clone()));
        let mut solved = tree.solve_all(Order::First, &all)?.into_iter().map(|displacement| {
            let axial = tree.axial(&displacement);
            TreeSolution { displacement, axial }
        });
        let Some(at_rest) = solved.next() else {
            return Err(Unknown::NotConverged("no case".into()));
        };
        let pushed: Vec<TreeSolution> = solved.collect();
        let weight_at_feet = tree.foot_reactions(&at_rest, weight);
        out.residual = tree.imbalance(&at_rest, weight);
        let mut envelope = Envelope::new(frame);
        envelope.take_weights(assembly, loads, frame);
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
        let ground = tree.foot_forces(&at_rest, weight)?;
        for ((axis, push), solution) in cases::axes(assembly).into_iter().zip(&pushes).zip(&pushed)
        {
            let friction = self.pack.friction.value;
            let pushed = tree.foot_forces(solution, push)?;
            out.grip.extend(grip::both_ways(frame, axis, &ground, &pushed, friction));
        }
        let lateral = Lateral {
            heads,
            weight: (weight, &at_rest),
            pushes: &pushes,
            pushed: &pushed,
            pins: &pins,
        };
        let contact_states = self.lateral_cases(&mut tree, &lateral, &goes, &mut envelope, out)?;
        envelope.write(frame, &mut out.axial);
        if out.residual > WORST_RESIDUAL {
            return Err(Unknown::IllConditioned(format!(
                "forces out of balance by {:.1e}",
                out.residual
            )));
        }

        let most: Vec<f64> = envelope.compression.iter().map(|n| -n).collect();
        envelope.band();
        let pivots = tree.prove(&envelope.compression, out.required_factor);
        out.critical = if proof::holds(&pivots) {
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
        let start = strength::Start {
            at_rest: &at_rest,
            pushed: &pushed,
            rest: &rest,
            most: &most,
            weighed: &weighed,
        };
        strength::judge(&subject, &mut tree, kept.columns, kept.places, start, out);
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

    /// Lateral force at each head along an axis, with its node: the greatest of notional share, wind
    /// and the least force along the floor's edge. Newtons.
    fn lateral_at_heads(&self, axis: [f64; 2]) -> Heads {
        self.frame
            .posts
            .keys()
            .filter_map(|&post| {
                let force = crate::loads::head_lateral_along(
                    self.assembly,
                    self.pack,
                    self.stage,
                    self.loads,
                    post,
                    axis,
                );
                Some((post, self.frame.head(post)?, force))
            })
            .collect()
    }
}
