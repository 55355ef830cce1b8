//! Stages taken apart into their upright planes, against the whole frame.
//!
//! How it is known to work, from outside: the whole frame as one sparse matrix (`Model`, no tree, nothing
//! bounded) never yields more work to any load across the posts; what the posts press on the ground is what
//! is put on them; and what is laid on one bay leaves most lines of a floor as they are.

use super::random_sequences::{Seeded, floor};
use super::sequences::laid_out;
use standwell::assembly::Assembly;
use standwell::loads::take_down;
use standwell::mechanics::engine::stage_tree::{Beside, Engine, TreeSolution};
use standwell::mechanics::frame::{Dof, ElementForm, LoadCase};
use standwell::mechanics::mechanisms;
use standwell::mechanics::model::Model;
use standwell::mechanics::stage::idealise::{PieceOf, StageFrame, idealise};
use standwell::mechanics::stage::{Judge, cases, contact};
use std::collections::BTreeSet;
use std::sync::Arc;

fn work(load: &LoadCase, moved: &[[f64; 6]]) -> f64 {
    let at = |(node, force): &(usize, [f64; 6])| -> f64 {
        force.iter().zip(&moved[*node]).map(|(f, d)| f * d).sum()
    };
    load.nodal.iter().map(at).sum()
}

/// Forces across at every node of the posts, any way, and what turns the nodes.
fn across(random: &mut Seeded, frame: &StageFrame) -> LoadCase {
    let mut load = LoadCase::default();
    for &(_, node) in frame.posts.values().flatten() {
        let mut draw = |most: f64| (random.unit() - 0.5) * most;
        load.nodal.push((node, [draw(1e3), draw(1e3), 0.0, draw(50.0), draw(50.0), 0.0]));
    }
    load
}

#[test]
fn nowhere_stiffer_than_the_whole_frame_and_in_balance() {
    let mut random = Seeded::new(17);
    let (mut asked, mut softest) = (0, 1.0f64);
    for name in ["sound-floor", "slab-edge", "tall-lobby", "offset-and-grade", "deep-beam"] {
        let (assembly, pack, sequence) = laid_out(name);
        let mut engine = Engine::new(&assembly);
        for stage in sequence.stages.iter().step_by(4) {
            let frame = Arc::new(idealise(&assembly, stage));
            let Ok(found) = mechanisms::find(&frame.frame) else { continue };
            if found.count != Ok(0) || found.spins != 0 {
                continue;
            }
            let model = Model::new(&frame.frame, ElementForm::Exact, &[]).unwrap();
            let axial: Vec<f64> = frame.of.iter().map(|_| -4e3 * random.unit().powi(2)).collect();
            engine.begin_stage();
            let mut tree = engine.take(&frame, &[]).unwrap();
            tree.factor().unwrap();
            assert!(tree.stiffen(&axial), "{name}: too much pressed to be asked");
            let loads: Vec<LoadCase> = (0..3).map(|_| across(&mut random, &frame)).collect();
            let nodal: Vec<_> = loads.iter().map(|load| load.nodal.clone()).collect();
            let solved = tree.answer_stiffened(nodal, None).unwrap();
            for (load, apart) in loads.iter().zip(solved.solutions()) {
                let whole = model.second_order(load, &axial, 1.0).unwrap();
                let (least, most) =
                    (work(load, &whole.displacement), work(load, &apart.displacement));
                assert!(most >= least * (1.0 - 1e-9), "{name}: {most} below {least}");
                softest = softest.max(most / least);
                asked += 1;
            }
            // Without what pressed diagonals pull aside, which is no axial force.
            let posts =
                |(n, piece): (&f64, &PieceOf)| if *piece == PieceOf::Bar { 0.0 } else { *n };
            let axial: Vec<f64> = axial.iter().zip(&frame.pieces).map(posts).collect();
            assert!(tree.stiffen(&axial), "{name}: too much pressed to be asked");
            let weight = cases::weight(&assembly, &take_down(&assembly, &pack, stage), &frame);
            let pressed = tree.answer_stiffened(vec![weight.nodal.clone()], None).unwrap();
            let axial = &pressed.solutions()[0].axial;
            let up: f64 = tree.reactions(axial, &weight.nodal).iter().sum();
            let down: f64 = weight.nodal.iter().map(|(_, f)| -f[2]).sum();
            assert!((up - down).abs() < 1e-6 * down, "{name}: {up} against {down}");
        }
    }
    assert!(asked > 100, "{asked}");
    // Not a limit of the method: were it more, answers would be further on the safe side than they need.
    assert!(softest > 1.0 + 1e-6 && softest < 1.5, "{softest}");
}

/// The part of all fronts of second order that the last stages of a floor make anew, on the average, and how many
/// fronts there are.
fn anew(bays: u32) -> (f64, usize) {
    let (assembly, pack, sequence) = floor((bays, bays), true);
    let mut judge = Judge::new(&assembly, &pack);
    let last = sequence.stages.len() - 9;
    let (mut made, mut of) = (0, 0);
    for (k, stage) in sequence.stages[last..].iter().enumerate() {
        let judged = judge.stage(stage, &take_down(&assembly, &pack, stage));
        assert_eq!(judged.strength.verdict, standwell::mechanics::Verdict::Met);
        let (fronts, all) = judge.renewed();
        if k > 0 {
            made += fronts[3];
        }
        of = all;
    }
    (made as f64 / 8.0 / of as f64, of)
}

/// What a stage changes are two lines each way, and lines in which feet lift: a part of the floor that is
/// the less the larger the floor. How many lines are in a band's last hundredth differs from floor to floor, so
/// that two of each size are asked.
#[test]
fn what_is_laid_on_one_bay_leaves_most_lines_as_they_are() {
    let [small, large] = [[8, 12], [20, 24]].map(|sizes| sizes.map(anew));
    assert!(large[0].1 as f64 > 3.5 * small[0].1 as f64, "{small:?} {large:?}");
    let share = [small, large].map(|two| 0.5 * (two[0].0 + two[1].0));
    assert!(share[0] < 0.2 && share[1] < 0.6 * share[0], "{small:?} {large:?}");
}

/// What a test asks of a stage: the scene's name and assembly, the tree, the stage's frame, drawn axial forces.
type Ask<'a> =
    dyn FnMut(&str, &Assembly, &mut Engine, &Arc<StageFrame>, Vec<f64>, &mut Seeded) + 'a;

/// Every fifth stage of some scenes, on one tree a scene.
fn some_stages(seed: u64, ask: &mut Ask<'_>) {
    let mut random = Seeded::new(seed);
    for name in ["sound-floor", "slab-edge", "tall-lobby", "offset-and-grade"] {
        let (assembly, _, sequence) = laid_out(name);
        let mut engine = Engine::new(&assembly);
        for stage in sequence.stages.iter().step_by(5) {
            let frame = Arc::new(idealise(&assembly, stage));
            let axial: Vec<f64> = frame.of.iter().map(|_| -2e3 * random.unit().powi(2)).collect();
            if !frame.posts.is_empty() {
                engine.begin_stage();
                ask(name, &assembly, &mut engine, &frame, axial, &mut random);
            }
        }
    }
}

#[test]
fn with_feet_up_divided_from_what_it_was_as_on_its_own() {
    let (mut asked, mut unlike, mut held) = (0, 0, 0);
    some_stages(41, &mut |name, assembly, engine, frame, axial, random| {
        let mut tree = engine.take(frame, &[]).unwrap();
        if !tree.is_rigid() || !tree.stiffen(&axial) {
            return;
        }
        let down = tree.stiffened().cloned().unwrap();
        let load = [across(random, frame).nodal];
        let known = tree.answer_stiffened(load.to_vec(), None).unwrap();
        let mut beside = Beside::new(known.solutions());
        for _ in 0..4 {
            let count = 1 + random.below(3);
            let up: BTreeSet<usize> = (0..count).map(|_| random.below(frame.feet.len())).collect();
            // Pressed otherwise in one place.
            let mut pressed = axial.clone();
            pressed[random.below(axial.len())] *= 1.5;
            // And held besides where it is free with all feet down.
            let pins: Vec<Dof> = (0..random.below(3))
                .map(|_| (random.below(frame.frame.nodes.len()), random.below(3)))
                .collect();
            held += pins.len();
            let released = contact::without_feet(frame, &up);
            let mut on = tree.on_supports(&released.supports, &pins).unwrap();
            if !on.is_rigid() || !on.stiffen_like(&pressed, Some(&down)) {
                continue;
            }
            let differs = on.unlike(&down).unwrap();
            unlike += usize::from(differs.members.len() < frame.of.len());
            on.solve_unlike(&load, &differs, &mut beside).unwrap();
            let alone = Arc::new(StageFrame { frame: released, ..(**frame).clone() });
            let mut other = Engine::new(assembly);
            let mut other = other.take(&alone, &pins).unwrap();
            assert!(other.stiffen(&pressed), "{name}, {up:?}");
            let alone = other.answer_stiffened(load.to_vec(), None).unwrap();
            let [a, b] = [&beside.answers()[0], &alone.solutions()[0]];
            assert!(same_bits(&a.axial, &b.axial), "{name}, {up:?}: axial forces");
            let moved = |s: &TreeSolution| s.displacement.concat();
            assert!(same_bits(&moved(a), &moved(b)), "{name}, {up:?}: displacements");
            asked += 1;
        }
    });
    assert!(asked > 60 && unlike > 40, "{asked} asked, {unlike} with something as it was");
    assert!(held > 40, "{held} held besides");
}

#[test]
fn answers_taken_up_are_those_asked_anew_and_what_is_otherwise_is_told() {
    let (mut asked, mut left_alone, mut otherwise) = (0, 0, 0);
    some_stages(47, &mut |name, _, engine, frame, mut axial, random| {
        let mut loads: Vec<_> = (0..3).map(|_| across(random, frame).nodal).collect();
        let mut tree = engine.take(frame, &[]).unwrap();
        if !tree.is_rigid() || !tree.stiffen(&axial) {
            return;
        }
        let mut before = tree.answer_stiffened(loads.clone(), None).unwrap();
        assert!(before.otherwise().iter().all(|is| *is), "{name}: all is new");
        for k in 0..4 {
            before.seen();
            let was = before.clone();
            // Loaded otherwise in one place, pressed otherwise in one, or both.
            if k != 1 {
                let case = &mut loads[random.below(3)];
                let at = random.below(case.len());
                case[at].1[random.below(2)] += 50.0;
            }
            if k != 2 {
                axial[random.below(frame.of.len())] -= 100.0;
            }
            assert!(tree.stiffen_like(&axial, Some(was.stiffened())), "{name}");
            before = tree.answer_stiffened(loads.clone(), Some(before)).unwrap();
            assert!(tree.stiffen(&axial), "{name}");
            let anew = tree.answer_stiffened(loads.clone(), None).unwrap();
            let answers = before.solutions().iter().zip(anew.solutions());
            for ((a, b), was) in answers.zip(was.solutions()) {
                assert!(same_bits(&a.axial, &b.axial), "{name}: axial forces");
                let moved = |s: &TreeSolution| s.displacement.concat();
                assert!(same_bits(&moved(a), &moved(b)), "{name}: displacements");
                for (k, member) in frame.frame.members.iter().enumerate() {
                    if before.otherwise()[k] {
                        continue;
                    }
                    let [i, j] = [member.i, member.j];
                    let moved = |s: &TreeSolution| {
                        [&[s.axial[k]][..], &s.displacement[i], &s.displacement[j]].concat()
                    };
                    assert!(same_bits(&moved(a), &moved(was)), "{name}: member {k}");
                }
            }
            let is = before.otherwise().iter().filter(|is| **is).count();
            otherwise += is;
            left_alone += frame.of.len() - is;
            asked += 1;
        }
    });
    assert!(asked > 100, "{asked}");
    assert!(left_alone > otherwise, "{left_alone} left alone, {otherwise} otherwise");
}

pub fn same_bits(a: &[f64], b: &[f64]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.to_bits() == b.to_bits())
}

/// What is put on a foot that is held in every way moves nothing, and the ground bears it all the same.
#[test]
fn what_is_laid_on_a_foot_that_cannot_move_is_borne() {
    let mut asked = 0;
    some_stages(53, &mut |name, _, engine, frame, _, random| {
        let foot = random.below(frame.feet.len());
        let node = frame.feet[foot].0;
        let pins = [(node, 3), (node, 4)];
        let mut tree = engine.take(frame, &pins).unwrap();
        if !tree.is_rigid() || tree.factor().is_err() {
            return;
        }
        let mut load = across(random, frame).nodal;
        load.push((node, [0.0; 6]));
        let mut kept = None;
        let before = tree.answer(&[&load], &mut kept).unwrap().reactions_of(0);
        load.last_mut().unwrap().1[2] = -700.0;
        let mut after = tree.answer(&[&load], &mut kept).unwrap().reactions_of(0);
        assert!((after[foot] - before[foot] - 700.0).abs() < 1e-6, "{name}: {after:?}");
        after[foot] = before[foot];
        assert!(same_bits(&after, &before), "{name}: other feet");
        asked += 1;
    });
    assert!(asked > 40, "{asked}");
}
