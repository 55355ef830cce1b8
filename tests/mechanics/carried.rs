//! What a new frame takes over from the one before: its division into strands is the one made from
//! nothing, strand by strand, unknown by unknown and member by member, whatever came before; and so
//! are its answers, bit for bit.

use super::planes::same_bits;
use super::random_sequences::{Seeded, change, floor, grid};
use super::sequences::laid_out;
use standwell::assembly::{Assembly, MemberId};
use standwell::mechanics::engine::stage_tree::{Answered, Engine, TreeSolution};
use standwell::mechanics::engine::strands::Plan;
use standwell::mechanics::frame::FrameMember;
use standwell::mechanics::stage::contact;
use standwell::mechanics::stage::idealise::{self, StageFrame};
use standwell::sequence::{MemberState, Sequence, Stage};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Into lines; taken apart into planes.
type Divisions = (Arc<Plan>, Option<Arc<Plan>>);

/// A stage's division after what the engine saw before, held against that of an engine that saw nothing.
fn divided(
    engine: &mut Engine,
    assembly: &Assembly,
    stage: &Stage,
    words: &str,
) -> Option<Divisions> {
    let frame = Arc::new(idealise::idealise(assembly, stage));
    let Ok(mut tree) = engine.take(&frame, &[]) else {
        assert!(Engine::new(assembly).take(&frame, &[]).is_err(), "{words}");
        return None;
    };
    let divisions = tree.divisions();
    let mut nothing_before = Engine::new(assembly);
    let afresh = nothing_before.take(&frame, &[]).unwrap().divisions();
    assert_eq!(divisions, afresh, "{words}");
    // And with a few feet up.
    if frame.feet.len() > 3 {
        let up: BTreeSet<usize> = [0, frame.feet.len() / 2, frame.feet.len() - 1].into();
        let supports = contact::without_feet(&frame, &up).supports;
        let up = tree.on_supports(&supports, &[]).unwrap().divisions();
        let mut afresh = nothing_before.take(&frame, &[]).unwrap();
        assert_eq!(up, afresh.on_supports(&supports, &[]).unwrap().divisions(), "{words}, up");
    }
    Some(divisions)
}

/// What was seen on the way.
#[derive(Default, Debug)]
struct Seen {
    stages: usize,
    /// Stages taken apart into planes.
    apart: usize,
    /// Stages at which lines come together, and at which one falls apart.
    together: usize,
    falling: usize,
}

impl Seen {
    fn compare(&mut self, before: &Divisions, now: &Divisions) {
        self.stages += 1;
        self.apart += usize::from(now.1.is_some());
        let (before, now) = (&before.0, &now.0);
        // By what is there in both.
        let there = |plan: &Plan, unknown: u32| plan.strand_of[unknown as usize] != Plan::NONE;
        let both = |u: &u32| there(before, *u) && there(now, *u);
        let most = u32::try_from(before.strand_of.len()).unwrap();
        let pairs: BTreeSet<(u32, u32)> = (0..most)
            .filter(both)
            .map(|u| (before.strand_of[u as usize], now.strand_of[u as usize]))
            .collect();
        let then: BTreeSet<u32> = pairs.iter().map(|(then, _)| *then).collect();
        let after: BTreeSet<u32> = pairs.iter().map(|(_, now)| *now).collect();
        self.falling += usize::from(pairs.len() > then.len());
        self.together += usize::from(pairs.len() > after.len());
    }
}

fn go(assembly: &Assembly, sequence: &Sequence, seed: u64, every: usize, seen: &mut Seen) {
    let mut random = Seeded::new(seed);
    let mut engine = Engine::new(assembly);
    let mut before: Option<Divisions> = None;
    for stage in sequence.stages.iter().step_by(every) {
        let mut stage = stage.clone();
        // The stage as it is, then changed at random a few times, each on the last.
        for round in 0..5 {
            let mut words = format!("{} {round}", stage.step);
            if round > 0 {
                words += &change(assembly, &mut stage, &mut random);
            }
            let now = divided(&mut engine, assembly, &stage, &words);
            if let Some((before, now)) = before.as_ref().zip(now.as_ref()) {
                seen.compare(before, now);
            }
            before = now;
        }
    }
}

#[test]
fn a_division_taken_over_is_the_one_made_from_nothing() {
    let mut seen = Seen::default();
    for (name, seed) in [("slab-edge", 17), ("tall-lobby", 5_209), ("offset-and-grade", 771)] {
        let (assembly, _, sequence) = laid_out(name);
        go(&assembly, &sequence, seed, 1, &mut seen);
    }
    let (assembly, _, sequence) = grid((6, 5));
    go(&assembly, &sequence, 90_001, 1, &mut seen);
    // A nailed deck joins lines, so that nothing can be taken apart.
    let (assembly, _, sequence) = floor((4, 3), true);
    go(&assembly, &sequence, 31, 3, &mut seen);
    println!("{seen:?}");
    assert!(seen.stages > 400 && seen.apart > 400, "{seen:?}");
    assert!(seen.together > 50 && seen.falling > 50, "{seen:?}");
}

/// A floor that stands, of which members go and come back, several at once.
#[test]
fn what_is_taken_out_and_put_back_is_divided_as_it_was() {
    let (assembly, _, sequence) = grid((7, 6));
    let mut engine = Engine::new(&assembly);
    let finished = sequence.stages.last().unwrap();
    let first = divided(&mut engine, &assembly, finished, "finished").unwrap();
    let mut random = Seeded::new(6_151);
    for round in 0..60 {
        let mut stage = finished.clone();
        for _ in 0..=round % 4 {
            let at = random.below(assembly.members.len());
            stage.members[at] = MemberState::Absent;
        }
        divided(&mut engine, &assembly, &stage, &format!("round {round}"));
        let again = divided(&mut engine, &assembly, finished, &format!("after round {round}"));
        assert!(again.is_some_and(|again| again == first), "round {round}");
    }
}

/// A number from where something is, the same in every frame.
fn number(at: [f64; 3], which: usize) -> f64 {
    let [x, y, z] = at;
    (12.9898 * x + 78.233 * y + 37.719 * z + which as f64).sin()
}

/// Forces across at every node of the posts, any way, and what turns the nodes.
fn loads(frame: &StageFrame, which: usize) -> Vec<(usize, [f64; 6])> {
    let nodes = frame.posts.values().flatten();
    let of = |&(_, node): &(f64, usize)| {
        let draw = |k: usize, most: f64| most * number(frame.frame.nodes[node].into(), which + k);
        (node, [draw(0, 500.0), draw(1, 500.0), 0.0, draw(2, 25.0), draw(3, 25.0), 0.0])
    };
    nodes.map(of).collect()
}

/// Compressions.
fn pressed(frame: &StageFrame) -> Vec<f64> {
    let of = |member: &FrameMember| -2e3 * number(frame.frame.nodes[member.i].into(), 9).powi(2);
    frame.frame.members.iter().map(of).collect()
}

/// What a frame member is a piece of, and where its ends are.
type Key = (MemberId, [u64; 6]);

fn keys(frame: &StageFrame) -> Vec<Key> {
    let key = |(member, of): (&FrameMember, &MemberId)| {
        let [i, j] = [member.i, member.j].map(|node| frame.frame.nodes[node]);
        (*of, [i.x, i.y, i.z, j.x, j.y, j.z].map(f64::to_bits))
    };
    frame.frame.members.iter().zip(&frame.of).map(key).collect()
}

/// All that is said of each member in some answers.
fn by_member(frame: &StageFrame, answers: &[TreeSolution]) -> BTreeMap<Key, Vec<u64>> {
    let said = |(k, key): (usize, Key)| {
        let FrameMember { i, j, .. } = frame.frame.members[k];
        let of =
            |s: &TreeSolution| [&[s.axial[k]][..], &s.displacement[i], &s.displacement[j]].concat();
        (key, answers.iter().flat_map(of).map(f64::to_bits).collect())
    };
    keys(frame).into_iter().enumerate().map(said).collect()
}

/// Stage after stage of floors that are built, answered under loads that follow from the place alone.
#[test]
fn answers_taken_over_are_those_of_the_frame_alone_and_what_is_otherwise_is_told() {
    let (mut asked, mut left_alone, mut otherwise) = (0, 0, 0);
    let scenes = ["sound-floor", "slab-edge", "tall-lobby", "offset-and-grade"].map(laid_out);
    for (assembly, _, sequence) in scenes.into_iter().chain([grid((6, 5)), floor((4, 3), true)]) {
        let mut engine = Engine::new(&assembly);
        let mut before: Option<(Arc<StageFrame>, Answered)> = None;
        for stage in &sequence.stages {
            let frame = Arc::new(idealise::idealise(&assembly, stage));
            if frame.posts.is_empty() {
                continue;
            }
            let (axial, cases) = (pressed(&frame), [0, 4].map(|which| loads(&frame, which)));
            engine.begin_stage();
            let mut tree = engine.take(&frame, &[]).unwrap();
            let last = before.take();
            let like = last.as_ref().map(|(_, answered)| answered.stiffened());
            if !tree.is_rigid() || !tree.stiffen_like(&axial, like) {
                continue;
            }
            let known = last.clone().map(|(_, answered)| answered);
            let mut answered = tree.answer_stiffened(cases.to_vec(), known).unwrap();
            let mut alone = Engine::new(&assembly);
            let mut alone = alone.take(&frame, &[]).unwrap();
            assert!(alone.stiffen(&axial), "{}", stage.step);
            let alone = alone.answer_stiffened(cases.to_vec(), None).unwrap();
            for (a, b) in answered.solutions().iter().zip(alone.solutions()) {
                assert!(same_bits(&a.axial, &b.axial), "{}: axial forces", stage.step);
                let moved = |s: &TreeSolution| s.displacement.concat();
                assert!(same_bits(&moved(a), &moved(b)), "{}: displacements", stage.step);
            }
            let now = by_member(&frame, answered.solutions());
            let was = last.map(|(frame, answered)| by_member(&frame, answered.solutions()));
            let told = answered.otherwise();
            assert_eq!(now.len(), told.len(), "{}: no two members are one", stage.step);
            for (k, key) in keys(&frame).into_iter().enumerate().filter(|(k, _)| !told[*k]) {
                let was = was.as_ref().and_then(|was| was.get(&key));
                assert_eq!(was, now.get(&key), "{}: member {k}", stage.step);
                left_alone += 1;
            }
            otherwise += told.iter().filter(|is| **is).count();
            asked += 1;
            answered.seen();
            before = Some((frame, answered));
        }
    }
    println!("{asked} asked, {left_alone} members left alone, {otherwise} otherwise");
    assert!(asked > 200, "{asked}");
    assert!(left_alone > otherwise, "{left_alone} left alone, {otherwise} otherwise");
}
