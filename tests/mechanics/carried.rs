//! What a new frame takes over from the one before: its division into strands is the one made from
//! nothing, strand by strand, unknown by unknown and member by member, whatever came before.

use super::random_sequences::{Seeded, change, floor, grid};
use super::sequences::laid_out;
use standwell::assembly::Assembly;
use standwell::mechanics::engine::stage_tree::Engine;
use standwell::mechanics::engine::strands::Plan;
use standwell::mechanics::stage::idealise;
use standwell::sequence::{MemberState, Sequence, Stage};
use std::collections::BTreeSet;
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
    let mut random = Seeded(seed);
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
    let mut random = Seeded(6_151);
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
