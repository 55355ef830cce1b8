//! Stage after stage, with what is kept from one to the next.

use super::idealise::StageFrame;
use super::{Heads, Job, Kept, cases, effective, idealise, lines, motions, proof, strength};
use crate::assembly::{Assembly, MemberId};
use crate::criteria::Pack;
use crate::loads::{Facing, LoadState};
use crate::mechanics::engine::stage_tree::{Engine, Resting};
use crate::mechanics::frame::LoadCase;
use crate::mechanics::stage_model::{StageMechanics, Verdict};
use crate::sequence::Stage;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// Judges the stages of one assembly, one after the other or in any order: each answer is the
/// same, bit for bit, whatever was judged before it.
#[derive(Clone, Debug)]
pub struct Judge<'a> {
    assembly: &'a Assembly,
    pack: &'a Pack,
    engine: Engine,
    lines: lines::Lines,
    columns: effective::Columns,
    strength: strength::Before,
    proofs: proof::Proofs,
    resting: Option<Resting>,
    last: Option<Last>,
    /// The stage that was judged last, and its frame.
    stage: Option<Stage>,
    frame: Option<Arc<StageFrame>>,
    facing: Facing,
    spent: Spent,
    /// Forgets all before each stage.
    afresh: bool,
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
    /// Of it on finding places and orders of elimination, where each matrix has its own
    /// ([`Judge::plainly`]).
    pub ordering: Duration,
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
#[derive(Clone, Debug)]
pub(super) struct MadeOf {
    frame: Arc<StageFrame>,
    pub weight: LoadCase,
    /// What it was made of.
    borne: cases::Borne,
    pub heads: Vec<Heads>,
    /// How far the areas at the heads had gone on.
    facing: u64,
    /// What pushes the heads, as cases.
    pub pushes: Arc<Vec<LoadCase>>,
    most: Vec<f64>,
    pub slabs: Vec<(MemberId, f64)>,
}

impl MadeOf {
    /// Whether another is the same. While the frame is the same it is one and the same, so that it need
    /// not be looked at.
    fn is(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.frame, &other.frame)
            && self.heads == other.heads
            && self.most == other.most
            && self.slabs == other.slabs
            && self.weight == other.weight
    }

    /// All that the mechanics takes from the stage and its loads. `last`: that of a stage before.
    fn new(
        assembly: &Assembly,
        pack: &Pack,
        stage: &Stage,
        loads: &LoadState,
        frame: Arc<StageFrame>,
        facing: &mut Facing,
        last: Option<&Self>,
    ) -> Self {
        let job = Job { assembly, pack, stage, loads, frame: &frame };
        let like = last.filter(|last| Arc::ptr_eq(&last.frame, &frame));
        let one_on = like.filter(|last| last.facing + 1 == facing.gone());
        let heads = job.lateral_at_heads(facing, one_on.map(|last| &last.heads[..]));
        let pushes = match last.filter(|last| last.heads == heads) {
            Some(last) => Arc::clone(&last.pushes),
            None => Arc::new(cases::pushes(assembly, &heads)),
        };
        let weight = match like {
            Some(like) => cases::weight_like(assembly, loads, &frame, (&like.weight, &like.borne)),
            None => cases::weight(assembly, loads, &frame),
        };
        let (borne, facing) = (cases::Borne::of(loads), facing.gone());
        let most = frame.posts.keys().map(|post| loads.foot_greatest[post.index()]).collect();
        let slabs = crate::loads::slab::pressing(assembly, pack, stage);
        Self { frame, weight, borne, heads, facing, pushes, most, slabs }
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
        Self::with(Engine::new(assembly), assembly, pack)
    }

    /// One that judges every stage plainly: with the same questions and the same answers, but each
    /// matrix (rigidity, first order, proof, second order, of every contact state and round) is
    /// put together of all unknowns of the stage, nothing condensed, and ordered and factorised afresh by
    /// the general sparse solver (`crate::mechanics::linalg`); and all is forgotten before each stage.
    ///
    /// It is the check of what is kept from stage to stage and of the elimination tree, by another's
    /// elimination (`tests/mechanics/plainly.rs`), and what their speed is measured against
    /// (`benches/whole_sequence.rs`).
    #[must_use]
    pub fn plainly(assembly: &'a Assembly, pack: &'a Pack) -> Self {
        Self { afresh: true, ..Self::with(Engine::plainly(assembly), assembly, pack) }
    }

    fn with(engine: Engine, assembly: &'a Assembly, pack: &'a Pack) -> Self {
        Self {
            assembly,
            pack,
            engine,
            lines: lines::Lines::default(),
            columns: effective::Columns::default(),
            strength: strength::Before::default(),
            proofs: proof::Proofs::default(),
            resting: None,
            last: None,
            stage: None,
            frame: None,
            facing: Facing::default(),
            spent: Spent::default(),
            afresh: false,
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

    /// Forgets what was kept from the stages before, all but the elimination tree of the finished
    /// structure.
    pub fn forget(&mut self) {
        self.forget_numbers();
        self.engine.forget();
        self.frame = None;
    }

    /// Forgets what was kept from the stages before but the symbolic work: the tree, and the numbering,
    /// strands and shapes of the last stages with their contact states.
    pub fn forget_numbers(&mut self) {
        self.engine.forget_numbers();
        self.lines = lines::Lines::default();
        self.columns = effective::Columns::default();
        self.strength = strength::Before::default();
        self.proofs = proof::Proofs::default();
        self.resting = None;
        self.last = None;
        self.stage = None;
        self.facing = Facing::default();
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
        if self.afresh {
            self.forget();
        }
        let begun = Instant::now();
        let out = self.judge(stage, loads);
        self.spent.whole += begun.elapsed();
        if self.afresh {
            self.spent.ordering += self.engine.ordering();
        }
        out
    }

    /// The frame of a stage: while loads alone change it is one and the same.
    fn take_frame(&mut self, stage: &Stage) -> Arc<StageFrame> {
        let assembly = self.assembly;
        let before = self.stage.replace(stage.clone());
        let same = |before: &Stage| idealise::is_same_frame(assembly, before, stage);
        let frame = match (self.frame.take(), before) {
            (Some(last), Some(before)) if same(&before) => last,
            (Some(last), Some(before)) => {
                let frame = idealise::idealise_from(assembly, stage, (&before, &last));
                if *last == frame { last } else { Arc::new(frame) }
            }
            _ => Arc::new(idealise::idealise(assembly, stage)),
        };
        self.frame = Some(Arc::clone(&frame));
        frame
    }

    fn judge(&mut self, stage: &Stage, loads: &LoadState) -> StageMechanics {
        let frame = self.take_frame(stage);
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
        self.facing.go_to(self.assembly, stage, loads);
        let facing = &mut self.facing;
        let last = self.last.as_ref().map(|last| &last.made_of);
        let made_of = MadeOf::new(self.assembly, self.pack, stage, loads, frame, facing, last);
        let frame = &made_of.frame;
        let job = Job { assembly: self.assembly, pack: self.pack, stage, loads, frame };
        if let Some(last) = self.last.as_mut().filter(|last| last.made_of.is(&made_of)) {
            last.made_of = made_of;
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
            strength: &mut self.strength,
            proofs: &mut self.proofs,
            resting: &mut self.resting,
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
