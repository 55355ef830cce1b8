//! Where the time and the room of a review go: `profile 20` for a floor of 20 by 20 bays,
//! `profile 20 100` for its last hundred stages.
//!
//! One thread, every stage. The parts are those of a review; `perf record` on this program gives
//! the functions.
#![allow(clippy::print_stdout, reason = "a program that prints what it measured")]

mod floor;

use floor::{Floor, cpu_seconds};
use standwell::checks::Anew;
use standwell::chunks::PIECE;
use standwell::equilibrium::Tipping;
use standwell::loads::BeamLoad;
use standwell::mechanics::Verdict;
use standwell::mechanics::stage::{Judge, Spent};
use standwell::review::{JudgedStage, observe_next};
use standwell::{equilibrium, loads, restraint};
use std::hint::black_box;
use std::sync::Arc;
use std::time::Duration;

const ROOMS: [&str; 7] =
    ["loads", "mechanics", "restraint", "overhangs", "pieces", "checks", "(counting)"];

const KEPT: [&str; 7] = [
    "loads on members",
    "forces passed, at feet",
    "restraint",
    "axial forces",
    "strength of posts",
    "other mechanics",
    "overhangs and pieces",
];

/// About how much memory a stage has for itself, by what it is for.
fn kept_bytes(stage: &JudgedStage, last: &JudgedStage) -> [(&'static str, usize); 7] {
    let (loads, restraint, mechanics) = (&stage.loads, &stage.restraint, &stage.mechanics);
    let lists = loads.on.iter().zip(&last.loads.on).filter(|(a, b)| !Arc::ptr_eq(a, b));
    let lists: usize = lists.map(|(on, _)| size_of::<BeamLoad>() * on.capacity() + 40).sum();
    let on = 8 * PIECE * loads.on.own_pieces(&last.loads.on) + lists;
    let numbers = loads.passed.own_pieces(&last.loads.passed)
        + loads.at_foot.own_pieces(&last.loads.at_foot)
        + loads.foot_least.own_pieces(&last.loads.foot_least)
        + loads.foot_greatest.own_pieces(&last.loads.foot_greatest);
    let graph = 8 * restraint.holds.own_pieces(&last.restraint.holds)
        + 24 * restraint.carries.own_pieces(&last.restraint.carries)
        + 8 * restraint.piece_of.own_pieces(&last.restraint.piece_of);
    let posts = &mechanics.strength.posts;
    let posts = posts.own_bytes(&last.mechanics.strength.posts);
    let other = mechanics.brace_lines.iter().map(|l| 4 * l.members.len() + 64).sum::<usize>()
        + mechanics.lifting_feet.iter().map(|(_, why)| why.capacity() + 40).sum::<usize>()
        + mechanics.grip.iter().map(|g| 4 * g.idle.len() + 96).sum::<usize>()
        + 160 * mechanics.sways.len();
    let equilibrium = &stage.equilibrium;
    let ways = equilibrium.sideways.slides.len() + equilibrium.sideways.tips.len() + 2;
    let pieces = size_of::<Tipping>() * equilibrium.tipping.len() + 400 * ways;
    let axial = mechanics.axial.own_bytes(&last.mechanics.axial);
    let bytes = [on, 8 * PIECE * numbers, PIECE * graph, axial, posts, other, pieces];
    std::array::from_fn(|k| (KEPT[k], bytes[k]))
}

fn main() {
    let numbers: Vec<usize> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let bays = numbers.first().map_or(12, |n| u32::try_from(*n).unwrap_or(12));
    let floor = Floor::new((bays, bays));
    let (assembly, pack, stages) = (&floor.assembly, &floor.pack, &floor.sequence.stages);
    println!(
        "{bays} by {bays} bays: {} stages, {} members, {} joints",
        stages.len(),
        assembly.members.len(),
        assembly.joints.len()
    );
    // The last so many only, after the one before them.
    let first = numbers.get(1).map_or(0, |last| stages.len().saturating_sub(*last));
    let mut judge = Judge::new(assembly, pack);
    let mut takes = loads::Judge::new(assembly, pack);
    let mut holds = restraint::Judge::new(assembly);
    let mut overhangs = equilibrium::Judge::new(assembly, pack);
    let mut pieces = equilibrium::pieces::Judge::new(assembly, pack);
    if let Some(before) = first.checked_sub(1).map(|k| &stages[k]) {
        let taken = takes.stage(before);
        let mechanics = judge.stage(before, &taken);
        black_box((holds.stage(before), overhangs.stage(before, &taken)));
        black_box(pieces.stage(before, &taken, &mechanics));
    }
    let stages = &stages[first..];
    let mut parts = [0.0; ROOMS.len()];
    let mut anew = Anew::default();
    let mut last = cpu_seconds();
    let (mut met, mut alike) = (0, 0);
    let mut before = None;
    let mut last_judged: Option<JudgedStage> = None;
    let mut room = KEPT.map(|what| (what, 0));
    let mut renewed = [0; 4];
    for stage in stages {
        let mut lap = |part: usize| {
            let now = cpu_seconds();
            parts[part] += now - last;
            last = now;
        };
        let taken = takes.stage(stage);
        lap(0);
        let mechanics = judge.stage(stage, &taken);
        lap(1);
        let restraint = holds.stage(stage);
        lap(2);
        let mut equilibrium = overhangs.stage(stage, &taken);
        lap(3);
        if let Some(frame) = judge.frame() {
            let tipping = &equilibrium.tipping;
            (equilibrium.sideways, equilibrium.overhangs) =
                pieces.of_frame(frame, stage, &taken, &mechanics, tipping);
        }
        lap(4);
        for (sum, made) in renewed.iter_mut().zip(judge.renewed().0) {
            *sum += made;
        }
        let verdicts = [&mechanics.critical, &mechanics.lateral, &mechanics.push];
        met += usize::from(
            mechanics.mechanisms.is_empty() && verdicts.iter().all(|v| **v == Verdict::Met),
        );
        alike += usize::from(before.as_ref() == Some(&mechanics));
        before = Some(mechanics.clone());
        lap(6);
        let mut judged = JudgedStage { loads: taken, restraint, mechanics, equilibrium };
        if let Some(last) = &last_judged {
            judged.share(last);
            for ((_, sum), (_, own)) in room.iter_mut().zip(kept_bytes(&judged, last)) {
                *sum += own;
            }
        }
        lap(6);
        anew.go_to(assembly, stage, &judged.loads);
        black_box(observe_next(assembly, pack, &floor.sequence, (stage, &judged), &anew));
        lap(5);
        last_judged = Some(judged);
        lap(6);
    }
    for (what, seconds) in ROOMS.iter().zip(parts) {
        println!(
            "{what:<12} {seconds:8.3} s, {:7.3} ms a stage",
            seconds * 1e3 / stages.len() as f64
        );
    }
    let Spent { whole, strength, push, .. } = judge.spent();
    let each = |time: Duration| time.as_secs_f64() * 1e3 / (stages.len() + 1) as f64;
    println!(
        "mechanics on the clock, the first stage with it: {:.3} ms a stage, of it strength {:.3}, pushes {:.3}",
        each(whole),
        each(strength),
        each(push)
    );
    println!("{} lines spared by a proof", pieces.proofs());
    println!("kept of a stage, beside what it has in common with the one before, bytes:");
    for (what, bytes) in room {
        println!("{what:<24} {:10.0}", bytes as f64 / (stages.len() - 1).max(1) as f64);
    }
    let fronts = judge.renewed().1;
    println!(
        "{met} stages with every verdict met, {alike} as the one before; of {fronts} fronts, made anew a stage:"
    );
    for (what, sum) in ["first order", "strain", "proof", "second order"].iter().zip(renewed) {
        println!("{what:<12} {:8.2}", sum as f64 / stages.len() as f64);
    }
}
