//! Whole sequences: the tree against judgments from scratch, and mutants against a dense oracle.
//!
//! The oracle shares no code with the engine. In a motion that strains nothing every post turns
//! rigidly about its foot, so a post has two unknowns, the plan movement of its head, and a point
//! at a share of its height moves by that share. Each bar that passes a push and a pull gives one
//! equation: its ends do not come closer. The rank of these equations by singular values (nalgebra)
//! says how many motions are free. Source of the method: rigidity matrix, Maxwell (1864);
//! Calladine (1978), from memory.

use nalgebra::DMatrix;
use standwell::assembly::{Assembly, JointKind, MemberId, Role};
use standwell::criteria::Pack;
use standwell::loads::take_down;
use standwell::mechanics::mechanisms;
use standwell::mechanics::stage::{Judge, idealise};
use standwell::mechanics::{Verdict, judge_stage};
use standwell::sequence::{self, JointState, MemberState, Sequence, Stage};
use standwell::{assembly, scene};
use std::collections::BTreeMap;
use std::path::Path;

const SCENES: [&str; 6] =
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
            assert_eq!(kept.mechanisms.len(), oracle(&assembly, stage), "{name}, {}", stage.step);
            stages += 1;
        }
    }
    println!("{stages} stages of {} scenes", SCENES.len());
}

/// Station along a bar, the post there with the share of its height, and the place.
type End = (f64, Option<(usize, f64)>, nalgebra::Point3<f64>);

/// Motions that strain nothing, by singular values.
fn oracle(assembly: &Assembly, stage: &Stage) -> usize {
    let standing = |m: MemberId| {
        stage.members[m.index()] == MemberState::Standing && !assembly.member(m).damaged
    };
    let posts: BTreeMap<MemberId, usize> = assembly
        .members
        .iter()
        .filter(|m| matches!(m.role, Role::Post | Role::Prop) && standing(m.id))
        .enumerate()
        .map(|(k, m)| (m.id, k))
        .collect();
    let mut rows: Vec<Vec<(usize, f64)>> = Vec::new();
    for member in assembly.members.iter().filter(|m| standing(m.id)) {
        let bar = matches!(
            member.role,
            Role::Ledger
                | Role::Joist
                | Role::DropBeam
                | Role::PlanBrace
                | Role::Brace
                | Role::TieIn
        );
        if !bar || member.tension_only {
            continue;
        }
        // Ends along the member: post with the share of its height, or a fixed point.
        let mut ends: Vec<End> = Vec::new();
        for joint in assembly.joints.iter().filter(|j| j.member == member.id) {
            let passes = match stage.joints[joint.id.index()] {
                JointState::Open => continue,
                JointState::Hung => joint.hung,
                JointState::Locked => joint.locked,
                JointState::Lowered => joint.lowered,
            };
            if !passes.along {
                continue;
            }
            match (joint.kind, joint.carrier) {
                (JointKind::Tie, _) => ends.push((joint.member_at, None, joint.at)),
                (JointKind::Head | JointKind::Coupler, Some(post)) => {
                    let Some(&k) = posts.get(&post) else { continue };
                    let post = assembly.member(post);
                    let share = joint.carrier_at / post.length();
                    ends.push((joint.member_at, Some((k, share)), post.at(joint.carrier_at)));
                }
                _ => {}
            }
        }
        ends.sort_by(|a, b| a.0.total_cmp(&b.0));
        for pair in ends.windows(2) {
            let run = (pair[1].2 - pair[0].2).normalize();
            let mut row = Vec::new();
            for ((_, end, _), sign) in pair.iter().zip([-1.0, 1.0]) {
                if let Some((post, share)) = end {
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

/// A small generator that gives the same numbers everywhere (xorshift, Marsaglia 2003).
struct Seeded(u64);

impl Seeded {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n as u64) as usize
    }
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
/// them that the oracle does not.
#[test]
fn mutants_are_judged_as_the_dense_oracle_does() {
    let (mut judged, mut loose) = (0, 0);
    for (name, seed) in [("sound-floor", 20_261), ("offset-and-grade", 77_003)] {
        let (assembly, pack, sound) = laid_out(name);
        let mut random = Seeded(seed);
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
                let expected = oracle(&assembly, stage);
                assert_eq!(found.mechanisms.len(), expected, "{name}, {}: {what}", stage.step);
                let verdict = if expected == 0 { Verdict::Met } else { Verdict::NotMet };
                assert_eq!(found.mechanisms_certain, verdict, "{name}, {}: {what}", stage.step);
                judged += 1;
                loose += usize::from(expected > 0);
            }
        }
    }
    println!("{judged} stages of 240 mutants, {loose} with mechanisms");
    assert!(loose > 60, "the mutants must bite: {loose} of {judged}");
}
