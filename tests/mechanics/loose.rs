//! What is free once feet have lifted, found on the tree, against the compatibility matrix of the whole frame.
//!
//! How it is known to work, from outside: `mechanisms::find` looks at a matrix that knows no stiffness, no tree and no
//! strands. Where the tree tells motions at all they are as many, of the same space, and each is stopped
//! by its pin alone. What is merely soft is told by neither.

use super::random_sequences::{Seeded, grid};
use super::sequences::laid_out;
use standwell::mechanics::engine::stage_tree::Engine;
use standwell::mechanics::frame::{Dof, Frame};
use standwell::mechanics::mechanisms;
use standwell::mechanics::stage::contact;
use standwell::mechanics::stage::idealise::{StageFrame, idealise};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Lines of feet along one axis, those of a corner, and some at random.
fn some_feet(random: &mut Seeded, frame: &StageFrame) -> BTreeSet<usize> {
    let feet = frame.feet.len();
    let at = |foot: usize| frame.frame.nodes[frame.feet[foot].0];
    let like = at(random.below(feet));
    match random.below(4) {
        0 => (0..feet).filter(|&foot| (at(foot).x - like.x).abs() < 1e-6).collect(),
        1 => (0..feet).filter(|&foot| (at(foot).y - like.y).abs() < 1e-6).collect(),
        2 => (0..feet).filter(|&foot| (at(foot) - like).norm() < 2.7).collect(),
        _ => (0..1 + random.below(3)).map(|_| random.below(feet)).collect(),
    }
}

/// What of a motion is none of others, each of which has a pin where the others are at rest.
fn rest(motion: &[(usize, [f64; 6])], others: &[Vec<[f64; 6]>], pins: &[Dof], nodes: usize) -> f64 {
    let mut left = vec![[0.0; 6]; nodes];
    motion.iter().for_each(|&(node, moved)| left[node] = moved);
    let whole = left.clone();
    for (other, &(node, dof)) in others.iter().zip(pins) {
        let share = whole[node][dof] / other[node][dof];
        for (left, other) in left.iter_mut().flatten().zip(other.iter().flatten()) {
            *left -= share * other;
        }
    }
    left.iter().flatten().fold(0.0, |most, v| most.max(v.abs()))
}

#[test]
fn what_is_free_is_what_the_whole_frame_leaves_free_and_each_motion_has_its_pin() {
    let mut random = Seeded::new(23);
    let mut scenes: Vec<_> =
        ["sound-floor", "slab-edge", "tall-lobby"].into_iter().map(laid_out).collect();
    scenes.push(grid((5, 4)));
    let (mut asked, mut told, mut several) = (0, 0, 0);
    for (assembly, _, sequence) in &scenes {
        let mut engine = Engine::new(assembly);
        for stage in sequence.stages.iter().step_by(sequence.stages.len() / 8) {
            let frame = Arc::new(idealise(assembly, stage));
            if frame.feet.len() < 3 {
                continue;
            }
            engine.begin_stage();
            let mut tree = engine.take(&frame, &[]).unwrap();
            for _ in 0..6 {
                let lifted = some_feet(&mut random, &frame);
                let released = contact::without_feet(&frame, &lifted);
                let Ok(mut on) = tree.on_supports(&released.supports, &[]) else { continue };
                if on.is_rigid() {
                    continue;
                }
                let found = mechanisms::find(&released).unwrap();
                let plain = matches!(found.count, Ok(1..=8)) && found.spins == 0;
                asked += usize::from(plain);
                let Some(loose) = on.loose() else { continue };
                told += 1;
                several += usize::from(loose.len() > 2);
                assert_eq!(found.count, Ok(loose.len()), "{} feet", lifted.len());
                assert_eq!(found.spins, 0);
                for one in loose {
                    let count = released.nodes.len();
                    let left = rest(&one.moved, &found.motions, &found.pins, count);
                    assert!(left < 1e-6, "{left:e} of a motion is none");
                }
                let pins: Vec<Dof> = loose.iter().map(|loose| loose.pin).collect();
                assert!(tree.on_supports(&released.supports, &pins).unwrap().is_rigid());
                let fewer = &pins[1..];
                assert!(!tree.on_supports(&released.supports, fewer).unwrap().is_rigid());
            }
        }
    }
    assert!(told > 40 && several > 10, "{told} told, {several} with three motions or more");
    assert!(told * 10 >= asked * 9, "{told} told of {asked}");
}

/// All sections so soft that the stage is as good as loose somewhere, but nothing is free.
#[test]
fn what_is_merely_soft_is_not_told_as_free() {
    let (assembly, _, sequence) = grid((3, 2));
    let stage = sequence.stages.last().unwrap();
    let whole = idealise(&assembly, stage);
    let (mut soft, mut told) = (0, 0);
    for member in 0..whole.frame.members.len() {
        let mut sections = whole.frame.sections.clone();
        let mut members = whole.frame.members.clone();
        let mut section = sections[members[member].section];
        section.e *= 1e-13;
        section.g *= 1e-13;
        members[member].section = sections.len();
        sections.push(section);
        let nodes = whole.frame.nodes.clone();
        let (supports, springs) = (whole.frame.supports.clone(), Vec::new());
        let frame = Frame { nodes, sections, members, supports, springs };
        let found = mechanisms::find(&frame).unwrap();
        let frame = Arc::new(StageFrame { frame, ..whole.clone() });
        let mut engine = Engine::new(&assembly);
        let mut tree = engine.take(&frame, &[]).unwrap();
        if found.count == Ok(0) && !tree.is_rigid() {
            soft += 1;
            told += usize::from(tree.loose().is_some());
        }
    }
    assert!(soft > 3, "{soft} soft");
    assert_eq!(told, 0);
}
