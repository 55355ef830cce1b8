//! A whole sequence from the first tower to the deck, every stage judged; and a fixed sample of its
//! stages judged in two plain ways.
//!
//! `cargo bench --no-default-features --profile dev --bench whole_sequence -- 12x8 20x20`
//!
//! Judged is what `Judge::stage` says: mechanisms, forces, the proof of the critical factor, the
//! lateral cases with the feet that lift in them, the push at every head both ways, and the
//! second-order strength of every post; lowest factor and mode where the proof fails.
//!
//! * *kept*: stage after stage, fronts kept. Each stage of the sample is timed as it comes.
//! * *plainly afresh, lean*: the stage's frame as one sparse matrix, nothing condensed, nothing kept:
//!   numbering, ordering, first-order factor with its test of rank and condition, the weight and the
//!   four lateral cases solved with their residuals, one count of negative pivots at the required
//!   factor for all of them (the largest compressions).
//! * *plainly afresh, case by case*: the same frame; free motions by their own factor; eight cases
//!   solved with their residuals (weight, four lateral, two leans, eccentric heads), and a count of
//!   negative pivots at the required factor for each of the eight with its own forces.
//!   Both plain ways give less than the kept way: no push test, no feet that lift, no strength. Beside
//!   the ratio to the kept way as it is stands that to its part that says what the plain ways say:
//!   all but strength and pushes (with feet that lift). It has no meaning for *condensed afresh*.
//! * *condensed afresh*: the same condensed matrix and the same elimination tree as the kept way and
//!   the same outputs, but every front made anew.
//!
//! The element is exact: a post is cut where something is fixed to it and where its tube changes,
//! four elements to a braced post, two or three to one that is not; ledgers and joists are members.
//!
//! One thread for all, processor time, the median of three runs a stage for the plain ways.
//! The last lines are a whole review on all threads of the machine, one in a process of its own.
#![allow(clippy::print_stdout, reason = "a program that prints what it measured")]

mod floor;

use floor::{Floor, cpu_seconds, cpu_seconds_of_all, peak_memory};
use standwell::assembly::Assembly;
use standwell::criteria::Pack;
use standwell::loads::{LoadState, head_lateral_parts, take_down};
use standwell::mechanics::answers::Unknown;
use standwell::mechanics::frame::ElementForm;
use standwell::mechanics::mechanisms;
use standwell::mechanics::model::Model;
use standwell::mechanics::stage::{Judge, Spent, cases, idealise};
use standwell::review;
use standwell::sequence::Stage;
use std::hint::black_box;
use std::time::Instant;

fn main() {
    let words: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    if let [word, bays] = &words[..]
        && word == "review"
    {
        if let Some(bays) = parse(bays) {
            whole_review(bays);
        }
        return;
    }
    let sizes: Vec<(u32, u32)> = words.iter().filter_map(|w| parse(w)).collect();
    for bays in if sizes.is_empty() { vec![(12, 8), (20, 20)] } else { sizes } {
        compare(bays);
        let name = format!("{}x{}", bays.0, bays.1);
        let own = std::env::current_exe()
            .and_then(|p| std::process::Command::new(p).args(["review", &name]).status());
        if !own.is_ok_and(|status| status.success()) {
            println!("the review in a process of its own did not end well");
        }
    }
}

fn parse(bays: &str) -> Option<(u32, u32)> {
    let (x, y) = bays.split_once('x')?;
    Some((x.parse().ok()?, y.parse().ok()?))
}

fn load() -> String {
    let text = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    text.split(' ').next().unwrap_or("?").to_owned()
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(f64::NAN)
}

fn compare(bays: (u32, u32)) {
    let floor = Floor::new(bays);
    let (assembly, pack, stages) = (&floor.assembly, &floor.pack, &floor.sequence.stages);
    let (sample, largest) = (floor.sample(), floor.largest(20));
    let axes = cases::axes(assembly).len();
    println!(
        "\n{} by {} bays: {} members, {} stages; {} cases a stage; load on the machine {}",
        bays.0,
        bays.1,
        assembly.members.len(),
        stages.len(),
        1 + 2 * axes,
        load()
    );
    let mut judge = Judge::new(assembly, pack);
    let (mut all, mut kept, mut alike) = (0.0, Vec::new(), Vec::new());
    for (k, stage) in stages.iter().enumerate() {
        let taken = take_down(assembly, pack, stage);
        let (start, before) = (cpu_seconds(), judge.spent());
        black_box(judge.stage(stage, &taken));
        let spent = cpu_seconds() - start;
        all += spent;
        if sample.binary_search(&k).is_ok() {
            let now = judge.spent();
            let more = now.strength - before.strength + now.push - before.push;
            kept.push(spent);
            alike.push((spent - more.as_secs_f64()).max(0.0));
        }
    }
    let Spent { whole, strength, push } = judge.spent();
    println!(
        "on the clock: {:.2} s, of it strength {:.2}, pushes {:.2}, all else {:.2}",
        whole.as_secs_f64(),
        strength.as_secs_f64(),
        push.as_secs_f64(),
        (whole - strength - push).as_secs_f64()
    );
    println!("kept: {all:.2} s of one thread, {:.2} ms a stage", all * 1e3 / stages.len() as f64);
    let (mut lean, mut by_case, mut condensed) = (Vec::new(), Vec::new(), Vec::new());
    for &k in &sample {
        let taken = take_down(assembly, pack, &stages[k]);
        let three = |work: &mut dyn FnMut()| median((0..3).map(|_| timed(&mut *work)).collect());
        for (times, each) in [(&mut lean, false), (&mut by_case, true)] {
            times.push(three(&mut || {
                black_box(plain(assembly, pack, &stages[k], &taken, each).is_ok());
            }));
        }
        condensed.push(three(&mut || {
            judge.forget();
            black_box(judge.stage(&stages[k], &taken));
        }));
    }
    for (what, only) in [("the sample", None), ("its 20 largest stages", Some(&largest))] {
        let sum = |times: &[f64]| -> f64 {
            let of = sample.iter().zip(times);
            of.filter(|(k, _)| only.is_none_or(|some| some.contains(k))).map(|(_, t)| t).sum()
        };
        let (base, same) = (sum(&kept), sum(&alike));
        println!(
            "{what}: kept {:.1} ms, without strength and pushes {:.1}",
            base * 1e3,
            same * 1e3
        );
        let ways = [
            ("plainly afresh, lean", &lean),
            ("plainly afresh, case by case", &by_case),
            ("condensed afresh", &condensed),
        ];
        for (way, times) in ways {
            let spent = sum(times);
            println!(
                "  {way}: {:.1} ms, {:.1} times the kept, {:.1} times it without strength and pushes",
                spent * 1e3,
                spent / base,
                spent / same
            );
        }
    }
}

fn timed(work: &mut dyn FnMut()) -> f64 {
    let start = cpu_seconds();
    work();
    cpu_seconds() - start
}

/// A stage without condensing and without anything kept; with a proof for all cases together, or
/// for each.
fn plain(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    taken: &LoadState,
    each: bool,
) -> Result<usize, Unknown> {
    let frame = idealise::idealise(assembly, stage);
    let pins = if each { mechanisms::find(&frame.frame)?.all_pins() } else { Vec::new() };
    let model = Model::new(&frame.frame, ElementForm::Exact, &pins)?;
    let factored = model.factor()?;
    let weight = cases::weight(assembly, taken, &frame);
    let mut all = vec![weight.clone()];
    let heads = || frame.posts.keys().filter_map(|&post| Some((post, frame.head(post)?)));
    for axis in cases::axes(assembly) {
        for sense in [1.0, -1.0] {
            let direction = [axis[0] * sense, axis[1] * sense];
            let mut case = weight.clone();
            case.nodal.extend(heads().map(|(post, head)| {
                let lateral = head_lateral_parts(assembly, pack, stage, taken, post);
                cases::sideways(head, direction, lateral.notional.max(lateral.wind))
            }));
            all.push(case);
        }
        if each {
            let lean = pack.out_of_plumb.value.si().tan();
            let mut case = weight.clone();
            case.nodal.extend(heads().map(|(post, head)| {
                cases::sideways(head, axis, lean * cases::head_weight(assembly, taken, post))
            }));
            all.push(case);
        }
    }
    if each {
        let arm = pack.head_eccentricity.value.si();
        let mut case = weight.clone();
        case.nodal.extend(heads().map(|(post, head)| {
            (head, [0.0, 0.0, 0.0, 0.0, arm * cases::head_weight(assembly, taken, post), 0.0])
        }));
        all.push(case);
    }
    let required = pack.critical_factor.value;
    let mut most = vec![0.0f64; frame.frame.members.len()];
    let mut negative = 0;
    for case in &all {
        let axial = factored.solve(case)?.axial;
        if each {
            let pressed: Vec<f64> = axial.iter().map(|n| n.min(0.0)).collect();
            negative += model.inertia(&pressed, required)?.negative;
        }
        most.iter_mut().zip(axial).for_each(|(most, n)| *most = most.min(n));
    }
    if each { Ok(negative) } else { model.inertia(&most, required).map(|i| i.negative) }
}

/// A review with all its rooms, on all threads.
fn whole_review(bays: (u32, u32)) {
    let floor = Floor::new(bays);
    let count = floor.sequence.stages.len();
    let (wall, cpu) = (Instant::now(), cpu_seconds_of_all());
    let review = review::judge_laid_out(floor.assembly, floor.pack, floor.sequence, &|_, _| true);
    println!(
        "review with loads, restraint, equilibrium and checks: {:.1} s by the clock, {:.1} s of processor time, {} threads, {count} stages, {} findings; at most {:.2} GB",
        wall.elapsed().as_secs_f64(),
        cpu_seconds_of_all() - cpu,
        rayon::current_num_threads(),
        review.map_or(0, |r| r.findings.len()),
        peak_memory() / 1e9
    );
}
