//! A whole sequence from the first tower to the deck, every stage judged; and a fixed sample of its
//! stages judged in plainer ways.
//!
//! `cargo bench --no-default-features --profile dev --bench whole_sequence -- 12x8 20x20`
//!
//! Judged is what `Judge::stage` says: mechanisms, forces, the proof of the critical factor, the
//! lateral cases with the feet that lift in them, the push at every head both ways, and the
//! second-order strength of every post; lowest factor and mode where the proof fails. The first four
//! ways say all of it, by the same questions in the same order:
//!
//! * *kept*: stage after stage, with what the two stages before had a use for. Each stage of the sample
//!   is timed as it comes.
//! * *condensed, symbolic work reused*: the same condensed matrices and the same elimination tree, but
//!   no number kept: every front, every answer, every member's matrix is made anew. Reused is the symbolic
//!   work, got ready by judging the very stage beforehand: the tree of the finished structure, the numbering
//!   of the stage, its strands and their shapes (unknowns, parts and children of each front), with all
//!   feet down and in each of its contact states, and which unknowns of a kind of member have to do with
//!   which. Not reused, and so in the time: describing, comparing, summing up, eliminating and packing the
//!   fronts (a front's boundary is found while it is summed up), and all that is not linear algebra.
//! * *condensed, symbolic work anew*: the same but for the tree, which alone is left.
//! * *plainly*: `Judge::plainly`. Each matrix that is asked for (rigidity, first order, proof, second order,
//!   of every contact state and round) is summed up of all unknowns of the stage, nothing condensed,
//!   nothing kept, and ordered and factorised afresh by the general sparse solver (faer's L·D·Lᵀ, minimum
//!   degree). How much of its time goes into places and orders is said: without that part it is what
//!   one would have who found the order once a stage. Within a stage a matrix that is asked for twice is
//!   made once, as in the other ways, and members that are alike share one element matrix.
//! * *eight cases, each with its own proof*: less than the others, and another thing: no push test, no
//!   feet that lift, no strength. The stage's frame as one sparse matrix, nothing condensed, its order
//!   found once; free motions by their own factor; eight cases solved with their residuals (weight, four
//!   lateral, two leans, eccentric heads), and a count of negative pivots at the required factor for
//!   each of the eight with its own forces. To be compared with the kept way without strength and pushes.
//!
//! *Without strength* is the time of a stage less the part that the clock within it gave to the strength
//! of posts; *without pushes* less that for the pushes at the heads, of which most is no elimination of
//! the stage's matrix: each line of posts is asked by itself (`stage/lines.rs`), in every way alike.
//!
//! The element is exact: a post is cut where something is fixed to it and where its tube changes,
//! four elements to a braced post, two or three to one that is not; ledgers and joists are members.
//!
//! One thread for all, processor time. The sample has the 20 largest stages and 20 spread evenly, and
//! a stage's time is the median of three runs, of the kept way through the whole sequence. A sequence of
//! more than 5000 stages is gone through from end to end once; its sample is 10 and 10 stages, each plainer
//! way once, and the kept way three times through the four stages before each.
//!
//! `--posts-at-once`: coarser stages, 2172 for 20×20 bays instead of 3453. The last lines are a whole
//! review on all threads of the machine, in a process of its own; `--no-review` leaves it out.
#![allow(clippy::print_stdout, reason = "a program that prints what it measured")]

mod floor;

use floor::{Floor, Stages, cpu_seconds, cpu_seconds_of_all, peak_memory};
use standwell::assembly::Assembly;
use standwell::criteria::Pack;
use standwell::loads::{LoadState, head_lateral_parts, take_down};
use standwell::mechanics::StageMechanics;
use standwell::mechanics::answers::Unknown;
use standwell::mechanics::frame::ElementForm;
use standwell::mechanics::mechanisms;
use standwell::mechanics::model::Model;
use standwell::mechanics::stage::{Judge, cases, idealise};
use standwell::review;
use standwell::sequence::Stage;
use std::hint::black_box;
use std::mem::discriminant;
use std::time::Instant;

/// Sequences of more stages are gone through from end to end but once.
const MANY: usize = 5000;
/// Stages gone through before one of the sample then: the kept way keeps what two stages had a use for.
const BEFORE: usize = 4;
const AT_ONCE: &str = "--posts-at-once";

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let is_there = |word: &str| words.iter().any(|w| w == word);
    let stages = if is_there(AT_ONCE) { Stages::PostsAtOnce } else { Stages::KindsOfWork };
    let sizes: Vec<(u32, u32)> = words.iter().filter_map(|w| parse(w)).collect();
    if is_there("review") {
        sizes.iter().for_each(|&bays| whole_review(bays, stages));
        return;
    }
    for bays in if sizes.is_empty() { vec![(12, 8), (20, 20)] } else { sizes } {
        compare(bays, stages);
        if is_there("--no-review") {
            continue;
        }
        let name = format!("{}x{}", bays.0, bays.1);
        let own = std::env::current_exe().and_then(|program| {
            let mut own = std::process::Command::new(program);
            own.args(["review", &name]).args(is_there(AT_ONCE).then_some(AT_ONCE)).status()
        });
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

/// Time of one thread, seconds; of it for the strength of posts, for the pushes, and for places and
/// orders.
#[derive(Clone, Copy, Debug, Default)]
struct Time {
    all: f64,
    strength: f64,
    push: f64,
    ordering: f64,
}

impl Time {
    /// Judges a stage.
    fn of(judge: &mut Judge<'_>, stage: &Stage, loads: &LoadState) -> (Self, StageMechanics) {
        let (start, before) = (cpu_seconds(), judge.spent());
        let answer = black_box(judge.stage(stage, loads));
        let (all, after) = (cpu_seconds() - start, judge.spent());
        // The clock's shares of processor time, since others may run meanwhile.
        let whole = (after.whole - before.whole).as_secs_f64().max(f64::MIN_POSITIVE);
        let share = |of: std::time::Duration| all * of.as_secs_f64() / whole;
        let time = Self {
            all,
            strength: share(after.strength - before.strength),
            push: share(after.push - before.push),
            ordering: share(after.ordering - before.ordering),
        };
        (time, answer)
    }

    /// All; without strength; without strength and pushes.
    fn three(self) -> [f64; 3] {
        let rest = self.all - self.strength;
        [self.all, rest, rest - self.push]
    }

    fn add(&mut self, other: Self) {
        self.all += other.all;
        self.strength += other.strength;
        self.push += other.push;
        self.ordering += other.ordering;
    }

    fn median(mut times: Vec<Self>) -> Self {
        times.sort_by(|a, b| a.all.total_cmp(&b.all));
        times.get(times.len() / 2).copied().unwrap_or_default()
    }
}

/// The sample in one way: by stage of it.
struct Way {
    name: &'static str,
    times: Vec<Time>,
    /// Says all that the kept way says.
    says_all: bool,
}

fn compare(bays: (u32, u32), how: Stages) {
    let floor = Floor::in_stages(bays, how);
    let (assembly, pack, stages) = (&floor.assembly, &floor.pack, &floor.sequence.stages);
    let many = stages.len() > MANY;
    let (each, runs) = if many { (10, 1) } else { (20, 3) };
    let (sample, largest) = (floor.sample(each), floor.largest(each));
    println!(
        "\n{} by {} bays, {}\n{} members, {} stages, {} lateral cases each way along {} axes; sample of {} stages: the {each} largest and {each} spread evenly, {runs} run(s) a stage in the plainer ways; load on the machine {}",
        bays.0,
        bays.1,
        how.words(),
        assembly.members.len(),
        stages.len(),
        2 * cases::axes(assembly).len(),
        cases::axes(assembly).len(),
        sample.len(),
        load()
    );
    let (kept, answers) = kept(&floor, &sample, many);
    let mut ways = vec![kept];
    let named = |name| Way { name, times: Vec::new(), says_all: true };
    let mut reused = named("condensed, symbolic work reused");
    let mut anew = named("condensed, symbolic work anew");
    let mut plainly = named("plainly");
    let mut by_case = Way { says_all: false, ..named("eight cases, each with its own proof") };
    let mut condensed = Judge::new(assembly, pack);
    let mut plain = Judge::plainly(assembly, pack);
    let (mut alike, mut matrices) = (0, [0; 4]);
    for (&k, answer) in sample.iter().zip(&answers) {
        let (stage, taken) = (&stages[k], take_down(assembly, pack, &stages[k]));
        let median =
            |one: &mut dyn FnMut() -> Time| Time::median((0..runs).map(|_| one()).collect());
        let mut last = None;
        plainly.times.push(median(&mut || {
            let (time, answer) = Time::of(&mut plain, stage, &taken);
            last = Some(answer);
            time
        }));
        alike += usize::from(last.is_some_and(|last| verdicts(&last) == verdicts(answer)));
        matrices.iter_mut().zip(plain.renewed().0).for_each(|(sum, more)| *sum += more);
        anew.times.push(median(&mut || {
            condensed.forget();
            Time::of(&mut condensed, stage, &taken).0
        }));
        // The symbolic work is there from the last run.
        reused.times.push(median(&mut || {
            condensed.forget_numbers();
            Time::of(&mut condensed, stage, &taken).0
        }));
        by_case.times.push(median(&mut || {
            let start = cpu_seconds();
            black_box(eight_cases(assembly, pack, stage, &taken).is_ok());
            Time { all: cpu_seconds() - start, ..Time::default() }
        }));
    }
    ways.extend([reused, anew, plainly, by_case]);
    print_ways(&ways, "the sample", &|_| true, sample.len());
    let is_large = |at: usize| largest.contains(&sample[at]);
    print_ways(&ways, &format!("its {each} largest stages"), &is_large, each);
    let count = matrices.iter().sum::<usize>() as f64 / sample.len() as f64;
    println!(
        "plainly and kept: the same verdicts and counts at {alike} of {} stages; {count:.1} matrices a stage (first order {}, rigidity {}, proof {}, second order {} in all)",
        sample.len(),
        matrices[0],
        matrices[1],
        matrices[2],
        matrices[3]
    );
}

/// Mechanisms counted, every verdict without its words, posts, feet that lift.
fn verdicts(answer: &StageMechanics) -> impl PartialEq {
    let of = [
        &answer.mechanisms_certain,
        &answer.critical,
        &answer.lateral,
        &answer.push,
        &answer.strength.verdict,
    ];
    let counts = [answer.mechanisms.len(), answer.lifting_feet.len(), answer.strength.posts.len()];
    (of.map(discriminant), counts)
}

/// Stage after stage three times, and of the sample the times and the answers: from end to end, or where
/// there are too many once, and three times through the stages before each of the sample.
fn kept(floor: &Floor, sample: &[usize], many: bool) -> (Way, Vec<StageMechanics>) {
    let count = floor.sequence.stages.len();
    let near = |k: &usize| {
        let next = sample.partition_point(|at| at < k);
        sample.get(next).is_some_and(|at| at - k <= BEFORE)
    };
    let some: Vec<usize> = (0..count).filter(|k| !many || near(k)).collect();
    let (total, first, answers) = go_through(floor, &some, sample);
    let more = [(); 2].map(|()| go_through(floor, &some, sample));
    let total = if many {
        go_through(floor, &(0..count).collect::<Vec<usize>>(), &[]).0
    } else {
        Time::median(vec![total, more[0].0, more[1].0])
    };
    let each = |seconds: f64| seconds * 1e3 / count as f64;
    let said = total.three().map(|s| format!("{s:.2} s, {:.2} ms a stage", each(s)));
    println!(
        "kept, all stages, one thread: {}; without strength {}; without strength and pushes {}",
        said[0], said[1], said[2]
    );
    let passes = first.iter().zip(&more[0].1).zip(&more[1].1);
    let times = passes.map(|((a, b), c)| Time::median(vec![*a, *b, *c])).collect();
    (Way { name: "kept", times, says_all: true }, answers)
}

/// One judge through some stages: the time of all, and of the sample the times and the answers.
fn go_through(
    floor: &Floor,
    some: &[usize],
    sample: &[usize],
) -> (Time, Vec<Time>, Vec<StageMechanics>) {
    let (assembly, pack) = (&floor.assembly, &floor.pack);
    let mut judge = Judge::new(assembly, pack);
    let (mut all, mut times, mut answers) = (Time::default(), Vec::new(), Vec::new());
    for k in some {
        let stage = &floor.sequence.stages[*k];
        let taken = take_down(assembly, pack, stage);
        let (time, answer) = Time::of(&mut judge, stage, &taken);
        all.add(time);
        if sample.binary_search(k).is_ok() {
            times.push(time);
            answers.push(answer);
        }
    }
    (all, times, answers)
}

fn print_ways(ways: &[Way], what: &str, which: &dyn Fn(usize) -> bool, count: usize) {
    println!("{what:<38}   ms a stage, times kept   without strength   without strength, pushes");
    let sum = |way: &Way| {
        let mut sum = Time::default();
        let some = way.times.iter().enumerate().filter(|(at, _)| which(*at));
        some.for_each(|(_, time)| sum.add(*time));
        sum
    };
    let Some(base) = ways.first().map(|way| sum(way).three()) else { return };
    let line = |name: &str, times: [f64; 3], first: usize| {
        let each = times.iter().zip(base).enumerate().map(|(column, (time, base))| {
            if column < first {
                return format!("{:>12} {:>6}", "-", "-");
            }
            format!("{:12.2} {:6.1}", time * 1e3 / count as f64, time / base)
        });
        println!("  {name:<38} {}", each.collect::<Vec<String>>().join("  "));
    };
    for way in ways {
        let time = sum(way);
        line(way.name, time.three(), if way.says_all { 0 } else { 2 });
        if time.ordering > 0.0 {
            let all = time.all - time.ordering;
            // Where in the stage the orders were sought is not told.
            println!(
                "  {:<38} {:12.2} {:6.1}",
                "  but for places and orders",
                all * 1e3 / count as f64,
                all / base[0]
            );
        }
    }
}

/// A stage without condensing and without anything kept, with a proof for each of eight cases: how many
/// pivots are negative.
fn eight_cases(
    assembly: &Assembly,
    pack: &Pack,
    stage: &Stage,
    taken: &LoadState,
) -> Result<usize, Unknown> {
    let frame = idealise::idealise(assembly, stage);
    let pins = mechanisms::find(&frame.frame)?.all_pins();
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
        let lean = pack.out_of_plumb.value.si().tan();
        let mut case = weight.clone();
        case.nodal.extend(heads().map(|(post, head)| {
            cases::sideways(head, axis, lean * cases::head_weight(assembly, taken, post))
        }));
        all.push(case);
    }
    let arm = pack.head_eccentricity.value.si();
    let mut case = weight.clone();
    case.nodal.extend(heads().map(|(post, head)| {
        (head, [0.0, 0.0, 0.0, 0.0, arm * cases::head_weight(assembly, taken, post), 0.0])
    }));
    all.push(case);
    let required = pack.critical_factor.value;
    let mut negative = 0;
    for case in &all {
        let axial = factored.solve(case)?.axial;
        let pressed: Vec<f64> = axial.iter().map(|n| n.min(0.0)).collect();
        negative += model.inertia(&pressed, required)?.negative;
    }
    Ok(negative)
}

/// A review with all its rooms, on all threads.
fn whole_review(bays: (u32, u32), stages: Stages) {
    let floor = Floor::in_stages(bays, stages);
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
