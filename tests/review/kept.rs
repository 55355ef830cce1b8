//! What is kept from stage to stage changes no answer: the judge that went through other stages before
//! says of every stage what each room says of it alone, to the last digit (compared as printed, which
//! tells every number and the sign of a zero apart). The mechanics has a test of its own
//! (`tests/mechanics/sequences.rs`, `tests/mechanics/random_sequences.rs`).

use crate::mechanics::random_sequences::{Seeded, change, grid};
use standwell::assembly::{Assembly, JointKind, Role};
use standwell::checks::Anew;
use standwell::criteria::Pack;
use standwell::mechanics::stage::idealise::{idealise, idealise_from, is_same_frame};
use standwell::review::{Judge, JudgedStage, observe_next, observe_one};
use standwell::sequence::{MemberState, Sequence, Stage};
use standwell::{assembly, equilibrium, loads, restraint, scene, sequence};
use std::path::{Path, PathBuf};

/// Judged by fresh judges, with the same mechanics.
fn alone(assembly: &Assembly, pack: &Pack, stage: &Stage, kept: &JudgedStage) -> JudgedStage {
    let loads = loads::take_down(assembly, pack, stage);
    let restraint = restraint::of_stage(assembly, stage);
    let mut equilibrium = equilibrium::judge_stage(assembly, pack, stage, &loads);
    let mut pieces = equilibrium::pieces::Judge::new(assembly, pack);
    (equilibrium.sideways, equilibrium.overhangs) =
        pieces.with_overhangs(stage, &loads, &kept.mechanics, &equilibrium.tipping);
    JudgedStage { loads, restraint, mechanics: kept.mechanics.clone(), equilibrium }
}

/// A judge and the checks as they go from stage to stage.
struct Going<'a> {
    of: &'a (Assembly, Pack, Sequence),
    judge: Judge<'a>,
    anew: Anew,
    before: Option<Stage>,
    /// Stages that were said to have the frame of the one before.
    same_frame: usize,
}

impl<'a> Going<'a> {
    fn new(of: &'a (Assembly, Pack, Sequence)) -> Self {
        let (judge, anew) = (Judge::new(&of.0, &of.1), Anew::default());
        Self { of, judge, anew, before: None, same_frame: 0 }
    }

    fn compare(&mut self, stage: &Stage) -> JudgedStage {
        let (assembly, pack, sequence) = self.of;
        let kept = self.judge.stage(stage);
        let alone = alone(assembly, pack, stage, &kept);
        let step = &stage.step;
        if let Some(before) = self.before.replace(stage.clone()) {
            let [then, now] = [&before, stage].map(|stage| idealise(assembly, stage));
            let from = idealise_from(assembly, stage, (&before, &then));
            assert_eq!(from, now, "frame from the one before, {step}");
            if is_same_frame(assembly, &before, stage) {
                assert_eq!(then, now, "frame, {step}");
                self.same_frame += 1;
            }
        }
        assert_eq!(format!("{:?}", kept.loads), format!("{:?}", alone.loads), "loads, {step}");
        let (a, b) = (&kept.restraint, &alone.restraint);
        assert_eq!(format!("{a:?}"), format!("{b:?}"), "restraint, {step}");
        let (a, b) = (&kept.equilibrium, &alone.equilibrium);
        assert_eq!(format!("{a:?}"), format!("{b:?}"), "equilibrium, {step}");
        self.anew.go_to(assembly, stage, &kept.loads);
        let a = observe_next(assembly, pack, sequence, (stage, &kept), &self.anew);
        let b = observe_one(assembly, pack, sequence, stage, &kept);
        assert_eq!(format!("{a:?}"), format!("{b:?}"), "checks, {step}");
        kept
    }
}

fn laid_out(path: &Path) -> (Assembly, Pack, Sequence) {
    let loaded = scene::load(path).unwrap_or_else(|p| panic!("{p}"));
    let assembly = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let sequence = sequence::run(&assembly, &loaded.source).unwrap();
    (assembly, loaded.pack, sequence)
}

fn shipped() -> Vec<PathBuf> {
    let scenes = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes");
    let in_folder = |folder: PathBuf| {
        let entries = std::fs::read_dir(folder).unwrap();
        entries.map(|e| e.unwrap().path()).filter(|p| p.extension().is_some_and(|e| e == "ron"))
    };
    let mut all: Vec<PathBuf> =
        in_folder(scenes.clone()).chain(in_folder(scenes.join("lessons"))).collect();
    all.sort();
    all
}

#[test]
fn every_stage_of_every_scene_is_judged_as_alone() {
    let (mut stages, mut same_frame) = (0, 0);
    for path in shipped() {
        let of = laid_out(&path);
        let mut going = Going::new(&of);
        let all = &of.2.stages;
        for stage in all {
            going.compare(stage);
            stages += 1;
        }
        // Leaps back and forth change much at once.
        let mut random = Seeded::new(7_919);
        for _ in 0..6 {
            going.compare(&all[random.below(all.len())]);
        }
        same_frame += going.same_frame;
    }
    assert!(stages > 300, "only {stages} stages were compared");
    assert!(same_frame > 100, "only {same_frame} were one frame with the one before");
}

/// The deck of a floor laid bay by bay: lines that surely stand more than the least are spared the
/// question, and nothing is said otherwise for it.
#[test]
fn lines_that_surely_stand_are_spared_and_nothing_changes() {
    let text = standwell::cli::grid::floor((7, 5), true).unwrap();
    let loaded = scene::read(&text, Path::new("grid.ron")).unwrap();
    let assembly = assembly::build(&loaded.scene, &loaded.library, &loaded.source).unwrap();
    let sequence = sequence::run(&assembly, &loaded.source).unwrap();
    let pack = &loaded.pack;
    let mut frames = standwell::mechanics::stage::Judge::new(&assembly, pack);
    let mut kept = equilibrium::pieces::Judge::new(&assembly, pack);
    for stage in sequence.stages.iter().rev().take(30).rev() {
        let loads = loads::take_down(&assembly, pack, stage);
        let mechanics = frames.stage(stage, &loads);
        let mut fresh = equilibrium::pieces::Judge::new(&assembly, pack);
        let (a, b) =
            (kept.stage(stage, &loads, &mechanics), fresh.stage(stage, &loads, &mechanics));
        assert_eq!(format!("{a:?}"), format!("{b:?}"), "{}", stage.step);
    }
    assert!(kept.proofs() > 20, "only {} proofs", kept.proofs());
}

/// Something of a stage that a change of members and joints leaves alone.
fn change_more(
    assembly: &Assembly,
    stage: &mut Stage,
    other: &Stage,
    random: &mut Seeded,
) -> &'static str {
    let pick = |random: &mut Seeded, of: &dyn Fn(Role) -> bool| {
        let all: Vec<_> = assembly.members.iter().filter(|m| of(m.role)).map(|m| m.id).collect();
        (!all.is_empty()).then(|| all[random.below(all.len())])
    };
    match random.below(5) {
        0 => {
            let Some(sheet) = pick(random, &|role| role == Role::Sheet) else { return "no sheet" };
            let nailed = &mut stage.nailed[sheet.index()];
            *nailed = !*nailed;
            "a sheet nailed or not"
        }
        1 => {
            let Some(post) = pick(random, &|role| role == Role::Post) else { return "no post" };
            let locked = &mut stage.head_locked[post.index()];
            *locked = !*locked;
            "a head locked or not"
        }
        2 => {
            let Some(post) = pick(random, &|role| role == Role::Post) else { return "no post" };
            if !stage.strip.secured.remove(&post) {
                stage.strip.secured.insert(post);
            }
            "a post secured or not"
        }
        3 => {
            let Some(clip) = pick(random, &|role| role == Role::Clip) else { return "no clip" };
            let there = stage.state(clip).is_there();
            stage.members[clip.index()] =
                if there { MemberState::Absent } else { MemberState::Standing };
            for joint in &assembly.joints {
                if joint.clip == Some(clip) && joint.kind == JointKind::Clip {
                    stage.joints[joint.id.index()] = other.joint(joint.id);
                }
            }
            "a clip"
        }
        _ => {
            stage.loads.clone_from(&other.loads);
            "loads of another stage"
        }
    }
}

fn go(name: &str, of: &(Assembly, Pack, Sequence), seed: u64) -> usize {
    let (assembly, _, sound) = of;
    let mut random = Seeded::new(seed);
    let mut going = Going::new(of);
    let mut held = 0;
    for run in 0..3 {
        let mut stage = sound.stages[random.below(sound.stages.len())].clone();
        for step in 0..30 {
            // A sound stage again now and then: few random changes leave one.
            if step % 4 == 0 {
                stage = sound.stages[random.below(sound.stages.len())].clone();
            }
            let mut what = change(assembly, &mut stage, &mut random);
            if random.below(2) == 0 {
                let other = &sound.stages[random.below(sound.stages.len())];
                what += ", ";
                what += change_more(assembly, &mut stage, other, &mut random);
            }
            stage.index = step;
            stage.step = format!("{name} {run}.{step}: {what}");
            let judged = going.compare(&stage);
            held += usize::from(judged.mechanics.mechanisms.is_empty());
        }
    }
    held
}

#[test]
fn stages_of_random_sequences_are_judged_as_alone() {
    let mut held = go("grid", &grid((4, 3)), 12_553);
    // In the last two a line of a few posts is one that the solver comes to no end with.
    for (name, seed) in [
        ("slab-edge", 50_021),
        ("stripped-floor", 611_953),
        ("pour-order", 15_485),
        ("stripped-floor", 615_953),
        ("pour-order", 17_485),
    ] {
        let scenes = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenes");
        held += go(name, &laid_out(&scenes.join(format!("{name}.ron"))), seed);
    }
    assert!(held > 20, "only {held} stages without a mechanism");
}
