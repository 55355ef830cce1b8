//! Whole sequences: the tree against judgments from scratch, and mutants against a dense oracle.
//!
//! The oracle shares no code with the engine. In a motion that strains nothing every post turns
//! rigidly about its foot, so a post has two unknowns, the plan movement of its head, and a point
//! at a share of its height moves by that share. Each bar that passes a push and a pull gives one
//! equation: its ends do not come closer. The rank of these equations by singular values (nalgebra)
//! says how many motions are free. Source of the method: rigidity matrix, Maxwell (1864);
//! Calladine (1978), from memory.

use super::bars::{bars, posts};
use super::random_sequences::Seeded;
use super::statics::{FAR, Share, goes_over};
use nalgebra::DMatrix;
use standwell::assembly::{Assembly, MemberId, Role};
use standwell::criteria::Pack;
use standwell::loads::{LoadState, head_lateral_parts, take_down};
use standwell::mechanics::frame::LoadCase;
use standwell::mechanics::mechanisms;
use standwell::mechanics::stage::{Judge, cases, idealise, limit};
use standwell::mechanics::{StageMechanics, Verdict, judge_stage};
use standwell::sequence::{self, JointState, MemberState, Sequence, Stage};
use standwell::{assembly, scene};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

pub const SCENES: [&str; 6] =
    ["sound-floor", "faulty-floor", "tall-lobby", "slab-edge", "offset-and-grade", "starter-tower"];

pub fn laid_out(name: &str) -> (Assembly, Pack, Sequence) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes").join(format!("{name}.ron"));
    let loaded = scene::load(&path).unwrap();
    let assembly = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let sequence = sequence::run(&assembly, &loaded.source).unwrap();
    (assembly, loaded.pack, sequence)
}

/// Every stage of every shipped scene: the judge that went through all stages says the same, bit
/// for bit, as one that sees the stage alone; and the count of mechanisms is that of the whole
/// frame's compatibility matrix.
#[test]
fn every_stage_of_every_scene_is_as_from_scratch() {
    let mut stages = 0;
    for name in SCENES {
        let (assembly, pack, sequence) = laid_out(name);
        let mut judge = Judge::new(&assembly, &pack);
        for stage in &sequence.stages {
            let loads = take_down(&assembly, &pack, stage);
            let kept = judge.stage(stage, &loads);
            assert_eq!(
                kept,
                judge_stage(&assembly, &pack, stage, &loads),
                "{name}, {}",
                stage.step
            );
            let frame = idealise::idealise(&assembly, stage);
            if !frame.posts.is_empty() {
                let found = mechanisms::find(&frame.frame).unwrap();
                assert_eq!(Ok(kept.mechanisms.len()), found.count, "{name}, {}", stage.step);
            }
            assert_eq!(
                kept.mechanisms.len(),
                dense_rank(&assembly, stage),
                "{name}, {}",
                stage.step
            );
            stages += 1;
        }
    }
    println!("{stages} stages of {} scenes", SCENES.len());
}

/// Scenes with concrete, with levels of shores, and with what is stripped: loads that change while nothing is
/// put in or taken out.
#[test]
fn every_stage_under_concrete_and_of_shores_is_as_from_scratch() {
    let scenes = ["pour-order", "deep-beam", "spandrel-edge", "reshored-levels", "stripped-floor"];
    let (mut stages, mut loads_alone) = (0, 0);
    for name in scenes {
        let (assembly, pack, sequence) = laid_out(name);
        let mut judge = Judge::new(&assembly, &pack);
        let mut before: Option<(&Stage, LoadState)> = None;
        for stage in &sequence.stages {
            let loads = take_down(&assembly, &pack, stage);
            let kept = judge.stage(stage, &loads);
            let alone = judge_stage(&assembly, &pack, stage, &loads);
            assert_eq!(kept, alone, "{name}, {}", stage.step);
            stages += 1;
            let same = before.as_ref().is_some_and(|(then, was)| {
                then.members == stage.members && then.joints == stage.joints && was.on != loads.on
            });
            loads_alone += usize::from(same);
            before = Some((stage, loads));
        }
    }
    println!("{stages} stages of {} scenes, {loads_alone} under other loads alone", scenes.len());
    assert!(loads_alone > 10, "{loads_alone}");
}

/// The same stage under loads that are otherwise at some heads alone, sideways and down, and back again.
#[test]
fn other_loads_on_the_heads_of_a_stage_are_judged_as_from_scratch() {
    let mut random = Seeded::new(8_101);
    for name in ["sound-floor", "slab-edge"] {
        let (assembly, pack, sequence) = laid_out(name);
        let stage = sequence.stages.last().unwrap();
        let first = take_down(&assembly, &pack, stage);
        let posts: Vec<MemberId> =
            assembly.members.iter().filter(|m| m.is_post()).map(|m| m.id).collect();
        let mut judge = Judge::new(&assembly, &pack);
        let mut before = judge.stage(stage, &first);
        let (mut otherwise, mut back) = (0, false);
        for round in 0..24 {
            let mut loads = first.clone();
            for _ in 0..if back { 0 } else { 1 + round % 3 } {
                let at = posts[random.below(posts.len())].index();
                match round % 4 {
                    0 => {
                        let mut edge = vec![[0.0; 2]; assembly.members.len()];
                        edge[at] = [4e3 * random.unit(), 2e3];
                        loads.edge_lateral = edge.into();
                    }
                    _ => {
                        let heavier = loads.on[at].iter().cloned().map(|mut load| {
                            load.force *= 30.0 + 30.0 * random.unit();
                            load
                        });
                        loads.on[at] = Arc::new(heavier.collect());
                    }
                }
            }
            back = !back && round % 2 == 1;
            let kept = judge.stage(stage, &loads);
            let alone = judge_stage(&assembly, &pack, stage, &loads);
            assert_eq!(kept, alone, "{name}, round {round}");
            otherwise += usize::from(kept != before);
            before = kept;
        }
        assert!(otherwise > 10, "{name}: {otherwise} answers were otherwise than the one before");
    }
}

/// Motions that strain nothing, by singular values.
pub fn dense_rank(assembly: &Assembly, stage: &Stage) -> usize {
    let posts = posts(assembly, stage);
    let height: Vec<f64> = posts.keys().map(|&p| assembly.member(p).length()).collect();
    let mut rows: Vec<Vec<(usize, f64)>> = Vec::new();
    for ends in bars(assembly, stage, &posts) {
        for pair in ends.windows(2) {
            let run = (pair[1].2 - pair[0].2).normalize();
            let mut row = Vec::new();
            for ((_, end, _), sign) in pair.iter().zip([-1.0, 1.0]) {
                if let Some((k, station)) = end {
                    let (post, share) = (*k, station / height[*k]);
                    row.push((2 * post, sign * share * run.x));
                    row.push((2 * post + 1, sign * share * run.y));
                }
            }
            rows.push(row);
        }
    }
    let unknowns = 2 * posts.len();
    if unknowns == 0 || rows.is_empty() {
        return unknowns;
    }
    let mut matrix = DMatrix::<f64>::zeros(rows.len().max(unknowns), unknowns);
    for (r, row) in rows.iter().enumerate() {
        for &(c, value) in row {
            matrix[(r, c)] += value;
        }
    }
    let values = matrix.singular_values();
    let rank = values.iter().filter(|v| **v > 1e-8).count();
    let doubtful = values.iter().filter(|v| (1e-10..1e-5).contains(*v)).count();
    assert_eq!(doubtful, 0, "no clear gap: {values}");
    unknowns - rank
}

/// From a step on a part is missing, or a hold is let go one step early.
fn mutate(assembly: &Assembly, sequence: &mut Sequence, random: &mut Seeded) -> (usize, String) {
    loop {
        let at = random.below(sequence.stages.len());
        if random.below(4) == 0 {
            let held: Vec<usize> = (0..assembly.members.len())
                .filter(|&m| sequence.stages[at].members[m].is_held())
                .collect();
            if held.is_empty() {
                continue;
            }
            let member = held[random.below(held.len())];
            sequence.stages[at].members[member] = MemberState::Standing;
            return (at, format!("{} let go early", assembly.members[member].name));
        }
        let member = MemberId(random.below(assembly.members.len()) as u32);
        let role = assembly.member(member).role;
        let part = matches!(
            role,
            Role::Brace | Role::Clip | Role::TieIn | Role::Ledger | Role::Joist | Role::PlanBrace
        );
        if !part || !sequence.stages[at].members[member.index()].is_there() {
            continue;
        }
        for stage in &mut sequence.stages[at..] {
            stage.members[member.index()] = MemberState::Absent;
            for &joint in assembly.joints_of(member) {
                stage.joints[joint.index()] = JointState::Open;
            }
        }
        return (at, format!("{} missing", assembly.member(member).name));
    }
}

/// 120 mutants of each of two sound floors. At the step of the mutation, the next three and the
/// last stage, the engine finds as many mechanisms as the oracle, and never calls a stage free of
/// them that the oracle does not. Where there are none, what the lateral cases may grow to is held
/// against statics: see [`One`].
#[test]
fn mutants_are_judged_as_the_dense_oracle_does() {
    let (mut judged, mut loose) = (0, 0);
    let mut one_way = One::default();
    for (name, seed) in [("sound-floor", 20_261), ("offset-and-grade", 77_003)] {
        let (assembly, pack, sound) = laid_out(name);
        let mut random = Seeded::new(seed);
        for _ in 0..120 {
            let mut sequence = sound.clone();
            let (at, what) = mutate(&assembly, &mut sequence, &mut random);
            let last = sequence.stages.len() - 1;
            let mut stages: Vec<usize> = (at..=(at + 3).min(last)).chain([last]).collect();
            stages.dedup();
            let mut judge = Judge::new(&assembly, &pack);
            for stage in stages.into_iter().map(|s| &sequence.stages[s]) {
                let loads = take_down(&assembly, &pack, stage);
                let found = judge.stage(stage, &loads);
                let expected = dense_rank(&assembly, stage);
                assert_eq!(found.mechanisms.len(), expected, "{name}, {}: {what}", stage.step);
                let verdict = if expected == 0 { Verdict::Met } else { Verdict::NotMet };
                assert_eq!(found.mechanisms_certain, verdict, "{name}, {}: {what}", stage.step);
                judged += 1;
                loose += usize::from(expected > 0);
                if expected == 0 && stage.index == at {
                    let label = format!("{name}, {}: {what}", stage.step);
                    one_way.compare(&assembly, &pack, stage, &loads, &found, &label);
                }
            }
        }
    }
    println!("{judged} stages of 240 mutants, {loose} with mechanisms");
    println!("{one_way:?}");
    assert!(loose > 60, "the mutants must bite: {loose} of {judged}");
    assert_eq!(one_way.missed, Vec::<String>::new());
    assert_eq!(one_way.false_alarms, Vec::<String>::new());
    assert!(one_way.goes > 100, "hardly any stage goes over at all: {one_way:?}");
    assert!(one_way.unclear.iter().sum::<usize>() * 50 <= one_way.asked, "{one_way:?}");
}

/// The lateral cases of stages without mechanisms against [`goes_over`]: the share at which the
/// engine's limit analysis says that something goes over is that of statics to a thousandth, and
/// the stage's verdict is the one that follows from it.
#[derive(Debug, Default)]
struct One {
    asked: usize,
    /// Cases that go over at some share.
    goes: usize,
    /// Of these, within the load itself.
    over: usize,
    /// Where the statics' solver, the engine's, or the stage's verdict says that it does not know.
    unclear: [usize; 3],
    missed: Vec<String>,
    false_alarms: Vec<String>,
}

impl One {
    fn compare(
        &mut self,
        assembly: &Assembly,
        pack: &Pack,
        stage: &Stage,
        loads: &LoadState,
        found: &StageMechanics,
        label: &str,
    ) {
        const AGREE: f64 = 1e-3;
        let frame = idealise::idealise(assembly, stage);
        if frame.posts.is_empty() {
            return;
        }
        let lateral: BTreeMap<MemberId, f64> = frame
            .posts
            .keys()
            .map(|&post| {
                let parts = head_lateral_parts(assembly, pack, stage, loads, post);
                (post, parts.notional.max(parts.wind))
            })
            .collect();
        let at_feet: Vec<f64> =
            frame.feet.iter().map(|(_, post)| loads.at_foot[post.index()]).collect();
        let feet = limit::Feet::new(&frame, &[], &at_feet);
        let program = feet.program().unwrap();
        let weight = cases::weight(assembly, loads, &frame);
        let mut least = f64::INFINITY;
        for direction in [[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]] {
            let nodal = lateral
                .iter()
                .map(|(&post, &f)| cases::sideways(frame.head(post).unwrap(), direction, f))
                .collect();
            let push = LoadCase { nodal, uniform: Vec::new() };
            let ours = match limit::goes(&program, &weight, &push) {
                Ok(limit::Goes::At(share, _)) => share.min(FAR),
                Ok(limit::Goes::Never) => FAR,
                Err(_) => {
                    self.unclear[1] += 1;
                    continue;
                }
            };
            self.asked += 1;
            let theirs = match goes_over(assembly, stage, loads, &lateral, direction) {
                Share::At(share) => share,
                Share::Falls => 0.0,
                Share::Unclear => {
                    self.unclear[0] += 1;
                    continue;
                }
            };
            self.goes += usize::from(theirs < 0.99 * FAR);
            self.over += usize::from(theirs < 1.0);
            least = least.min(theirs);
            let words = format!("{label}, {direction:?}: {ours} against {theirs}");
            if ours > theirs * (1.0 + AGREE) + 1e-6 {
                self.missed.push(words);
            } else if ours < theirs * (1.0 - AGREE) - 1e-6 {
                self.false_alarms.push(words);
            }
        }
        match &found.lateral {
            Verdict::Met if least < 1.0 - AGREE => {
                self.missed.push(format!("{label}: met at {least}"));
            }
            Verdict::NotMet if least > 1.0 + AGREE => {
                self.false_alarms.push(format!("{label}: not met at {least}"));
            }
            Verdict::Unknown(_) => self.unclear[2] += 1,
            _ => {}
        }
    }
}
