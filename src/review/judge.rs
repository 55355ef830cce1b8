//! Judging all stages, in fixed blocks whatever the number of threads.

use super::follow::Downstream;
use super::merge::merge;
use super::reserves::{Reserves, post_uses, with_posts};
use super::summary::{Reserve, reserve, summarise};
use super::{JudgedStage, Review};
use crate::assembly::{Assembly, JointKind, MemberId};
use crate::changes::LaidOut;
use crate::checks::{Anew, Seeing, StageContext, observe};
use crate::criteria::Pack;
use crate::scene::{Problem, Problems};
use crate::sequence::{JointState, Sequence, Stage};
use crate::{changes, equilibrium, loads, mechanics, restraint, scene};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc;

/// Stages judged one after the other on one thread, whatever the number of threads. The first of
/// a block is judged from nothing, so a long sequence has longer blocks.
fn block_of(total: usize) -> usize {
    (total / 16).clamp(32, 256)
}

/// The message of a review that `progress` cancelled.
pub const CANCELLED: &str = "cancelled before all stages were judged";

/// Whether these problems only say that the review was cancelled.
#[must_use]
pub fn was_cancelled(problems: &Problems) -> bool {
    problems.0.iter().any(|p| p.message == CANCELLED)
}

/// Lays out a scene with its changes made, steps through it and judges every stage. `progress`
/// gets the stages judged and their number, on the calling thread, and returns false to cancel.
///
/// # Errors
/// What cannot be laid out or stepped through, with its place; [`was_cancelled`] if cancelled.
pub fn judge(
    loaded: scene::Loaded,
    progress: &dyn Fn(usize, usize) -> bool,
) -> Result<Review, Problems> {
    let path = loaded.source.path.clone();
    let LaidOut { assembly, sequence, pack, changes } = changes::lay_out(loaded)?;
    let review = judge_laid_out(assembly, pack, sequence, progress);
    review.map(|review| Review { changes, ..review }).ok_or_else(|| cancelled(&path))
}

fn cancelled(path: &Path) -> Problems {
    Problems(vec![Problem {
        file: path.to_owned(),
        line: 0,
        column: 0,
        path: String::new(),
        message: CANCELLED.to_owned(),
        help: None,
    }])
}

/// Judges every stage of an assembly; none if `progress` cancelled it.
#[must_use]
pub fn judge_laid_out(
    assembly: Assembly,
    pack: Pack,
    sequence: Sequence,
    progress: &dyn Fn(usize, usize) -> bool,
) -> Option<Review> {
    let total = sequence.stages.len();
    let blocks = blocks(&assembly, &pack, &sequence, progress)?;
    let mut stages = Vec::with_capacity(total);
    let mut seen = Vec::with_capacity(total);
    let mut all_reserves = Vec::with_capacity(total);
    for (judged, stage_seen, stage_reserve) in blocks.into_iter().flatten() {
        stages.push(judged);
        seen.push(stage_seen);
        all_reserves.push(stage_reserve);
    }
    let steps: Vec<&str> = sequence.stages.iter().map(|s| s.step.as_str()).collect();
    let hangs = |stage: usize, seeds: &BTreeSet<String>, members: &BTreeSet<String>| {
        sequence.stages.get(stage).is_some_and(|s| hangs_on(&assembly, s, seeds, members))
    };
    let downstream: &Downstream<'_> = &hangs;
    let findings = merge(&seen, &steps, &assembly.scene.accepted, downstream);
    let summaries = summarise(&seen, all_reserves, &findings);
    Some(Review { assembly, pack, sequence, stages, summaries, findings, changes: Vec::new() })
}

type Done = (JudgedStage, Vec<Seeing>, (Reserve, Reserves));

/// Judges all blocks on the thread pool. `progress` is called on the calling thread.
fn blocks(
    assembly: &Assembly,
    pack: &Pack,
    sequence: &Sequence,
    progress: &dyn Fn(usize, usize) -> bool,
) -> Option<Vec<Vec<Done>>> {
    let total = sequence.stages.len();
    if !progress(0, total) {
        return None;
    }
    let cancel = AtomicBool::new(false);
    let (tell, told) = mpsc::channel::<()>();
    let (give, given) = mpsc::channel::<(usize, Vec<Done>)>();
    rayon::in_place_scope(|scope| {
        // The last blocks, with most standing, take longest: they are begun first, so that no thread
        // is left alone with one at the end.
        for (index, block) in sequence.stages.chunks(block_of(total)).enumerate().rev() {
            let (tell, give, cancel) = (tell.clone(), give.clone(), &cancel);
            scope.spawn(move |_| {
                let mut judge = Judge::new(assembly, pack);
                let mut anew = Anew::default();
                let mut done: Vec<Done> = Vec::with_capacity(block.len());
                for stage in block {
                    if cancel.load(Ordering::Relaxed) {
                        return;
                    }
                    let judged = judge.stage(stage);
                    anew.go_to(assembly, stage, &judged.loads);
                    let mut ctx = context(assembly, pack, sequence, stage, &judged);
                    ctx.anew = Some(&anew);
                    let mut seen = observe(&ctx);
                    let posts = post_uses(&ctx);
                    let mut reserve = (reserve(&ctx, &posts), with_posts(&ctx, &posts));
                    drop(ctx);
                    let mut judged = judged;
                    if let Some((last, last_seen, (_, last_reserves))) = done.last() {
                        judged.share(last);
                        reserve.1.posts.share(&last_reserves.posts);
                        Seeing::share(&mut seen, last_seen);
                    } else {
                        judged.pack();
                    }
                    done.push((judged, seen, reserve));
                    // Nobody listens any more once the review is cancelled.
                    tell.send(()).ok();
                }
                give.send((index, done)).ok();
            });
        }
        drop((tell, give));
        let mut count = 0;
        while wait(&told) {
            count += 1;
            if !progress(count, total) {
                cancel.store(true, Ordering::Relaxed);
                break;
            }
        }
    });
    let mut blocks: Vec<(usize, Vec<Done>)> = given.into_iter().collect();
    blocks.sort_by_key(|(index, _)| *index);
    let blocks: Vec<Vec<Done>> = blocks.into_iter().map(|(_, done)| done).collect();
    let complete = blocks.iter().map(Vec::len).sum::<usize>() == total;
    (complete && !cancel.into_inner()).then_some(blocks)
}

/// Waits for a stage to be judged; false when no more will come. On a thread of the pool it
/// lends a hand meanwhile, since it may be the only one.
fn wait(told: &mpsc::Receiver<()>) -> bool {
    if rayon::current_thread_index().is_none() {
        return told.recv().is_ok();
    }
    loop {
        match told.try_recv() {
            Ok(()) => return true,
            Err(mpsc::TryRecvError::Disconnected) => return false,
            Err(mpsc::TryRecvError::Empty) => {
                rayon::yield_now();
            }
        }
    }
}

/// Judges one stage: loads, restraint, mechanics, equilibrium.
#[must_use]
pub fn judge_one(assembly: &Assembly, pack: &Pack, stage: &Stage) -> JudgedStage {
    Judge::new(assembly, pack).stage(stage)
}

/// Judges the stages of one assembly, one after the other or in any order. Every room keeps what it
/// found of the stage before, and finds anew what hangs together with what differs: each answer is
/// that of the stage on its own, number for number, whatever was judged before it.
pub struct Judge<'a> {
    loads: loads::Judge<'a>,
    restraint: restraint::Judge<'a>,
    mechanics: mechanics::stage::Judge<'a>,
    overhangs: equilibrium::Judge<'a>,
    pieces: equilibrium::pieces::Judge<'a>,
}

impl<'a> Judge<'a> {
    #[must_use]
    pub fn new(assembly: &'a Assembly, pack: &'a Pack) -> Self {
        Self {
            loads: loads::Judge::new(assembly, pack),
            restraint: restraint::Judge::new(assembly),
            mechanics: mechanics::stage::Judge::new(assembly, pack),
            overhangs: equilibrium::Judge::new(assembly, pack),
            pieces: equilibrium::pieces::Judge::new(assembly, pack),
        }
    }

    /// Judges one stage: loads, restraint, mechanics, equilibrium.
    #[must_use]
    pub fn stage(&mut self, stage: &Stage) -> JudgedStage {
        let loads = self.loads.stage(stage);
        let mechanics = self.mechanics.stage(stage, &loads);
        let restraint = self.restraint.stage(stage);
        let mut equilibrium = self.overhangs.stage(stage, &loads);
        let tipping = &equilibrium.tipping;
        let (sideways, overhangs) = match self.mechanics.frame() {
            Some(frame) => self.pieces.of_frame(frame, stage, &loads, &mechanics, tipping),
            None => self.pieces.with_overhangs(stage, &loads, &mechanics, tipping),
        };
        (equilibrium.sideways, equilibrium.overhangs) = (sideways, overhangs);
        JudgedStage { loads, restraint, mechanics, equilibrium }
    }
}

/// Runs the checks on one judged stage after others: `anew` has gone on to it.
#[must_use]
pub fn observe_next(
    assembly: &Assembly,
    pack: &Pack,
    sequence: &Sequence,
    (stage, judged): (&Stage, &JudgedStage),
    anew: &Anew,
) -> Vec<Seeing> {
    let mut ctx = context(assembly, pack, sequence, stage, judged);
    ctx.anew = Some(anew);
    observe(&ctx)
}

/// Runs the checks on one judged stage alone, for re-judging a stage somebody changed.
#[must_use]
pub fn observe_one(
    assembly: &Assembly,
    pack: &Pack,
    sequence: &Sequence,
    stage: &Stage,
    judged: &JudgedStage,
) -> Vec<Seeing> {
    observe(&context(assembly, pack, sequence, stage, judged))
}

fn context<'a>(
    assembly: &'a Assembly,
    pack: &'a Pack,
    sequence: &'a Sequence,
    stage: &'a Stage,
    judged: &'a JudgedStage,
) -> StageContext<'a> {
    StageContext::new(
        assembly,
        pack,
        sequence,
        stage,
        &judged.loads,
        &judged.restraint,
        &judged.mechanics,
        &judged.equilibrium,
    )
}

/// Whether every one of the members is a seed, or is carried at this stage by nothing but seeds
/// and what hangs on them.
fn hangs_on(
    assembly: &Assembly,
    stage: &Stage,
    seeds: &BTreeSet<String>,
    members: &BTreeSet<String>,
) -> bool {
    let mut known: BTreeMap<MemberId, bool> =
        seeds.iter().filter_map(|s| Some((assembly.find(s)?, true))).collect();
    members
        .iter()
        .all(|name| assembly.find(name).is_some_and(|id| hangs(assembly, stage, &mut known, id)))
}

fn hangs(
    assembly: &Assembly,
    stage: &Stage,
    known: &mut BTreeMap<MemberId, bool>,
    id: MemberId,
) -> bool {
    if let Some(&answer) = known.get(&id) {
        return answer;
    }
    // A member that is met again on the way down carries itself: no.
    known.insert(id, false);
    let mut any = false;
    let mut all = true;
    for &j in assembly.joints_of(id) {
        let joint = assembly.joint(j);
        if joint.member != id || joint.kind == JointKind::Clip || stage.joint(j) == JointState::Open
        {
            continue;
        }
        any = true;
        all &= joint.carrier.is_some_and(|c| hangs(assembly, stage, known, c));
    }
    known.insert(id, any && all);
    any && all
}
