//! The plain way against the kept one: `Judge::plainly` condenses nothing and takes nothing over, and
//! each of its matrices is put together of all unknowns of the stage and eliminated by a
//! general-purpose library (faer's sparse L·D·Lᵀ, in an order of minimum degree of its own). At every
//! stage both say the same: verdicts, counts of mechanisms, members named, findings; and numbers to 1e-8.
//!
//! Both share the elements, the questions, and how far compressions are rounded up before they act. A force
//! on the very edge of such a band would come out a band higher in one of the two; none does here.
//! Where two posts are worst alike to the last digits, either may be named.

use super::random_sequences::{Seeded, change, grid};
use super::sequences::laid_out;
use standwell::assembly::{Assembly, MemberId};
use standwell::criteria::Pack;
use standwell::loads::take_down;
use standwell::mechanics::stage::Judge;
use standwell::mechanics::stage_model::Push;
use standwell::mechanics::{PostStrength, StageMechanics, Verdict};
use standwell::review::{JudgedStage, observe_one};
use standwell::sequence::{Sequence, Stage};
use standwell::{equilibrium, loads, restraint};

/// Numbers agree to this share of their size.
const LIMIT: f64 = 1e-8;

type Job = (Assembly, Pack, Sequence);

const SCENES: [&str; 15] = [
    "sound-floor",
    "faulty-floor",
    "tall-lobby",
    "slab-edge",
    "offset-and-grade",
    "starter-tower",
    "deep-beam",
    "pour-order",
    "spandrel-edge",
    "stripped-floor",
    "lessons/first-tower",
    "lessons/lock-first",
    "lessons/long-row",
    "lessons/next-post",
    "lessons/the-edge",
];

/// What was compared, so that the test is known to have seen all kinds of stages.
#[derive(Debug, Default)]
struct Seen {
    stages: usize,
    loose: usize,
    lifted: usize,
    not_met: usize,
    unknown: usize,
    posts: usize,
    findings: usize,
    worst: f64,
    differ: Vec<String>,
}

/// One stage in both ways.
struct Stages<'a> {
    at: String,
    seen: &'a mut Seen,
}

impl Stages<'_> {
    fn same<T: PartialEq + std::fmt::Debug>(&mut self, what: &str, [kept, plain]: [T; 2]) {
        if kept != plain {
            self.seen.differ.push(format!("{}: {what}: {kept:?} or {plain:?}", self.at));
        }
    }

    /// `size`: what a difference is held against.
    fn number(&mut self, what: &str, [kept, plain]: [f64; 2], size: f64) {
        if kept.to_bits() == plain.to_bits() {
            return;
        }
        let off = (kept - plain).abs() / size;
        if off > LIMIT || off.is_nan() {
            self.seen.differ.push(format!("{}: {what}: {kept} or {plain}", self.at));
        }
        self.seen.worst = self.seen.worst.max(off);
    }

    /// Itself its size.
    fn value(&mut self, what: &str, of: [f64; 2]) {
        self.number(what, of, of[0].abs());
    }

    fn mechanics(&mut self, of: [&StageMechanics; 2]) {
        self.same("mechanisms", of.map(|m| &m.mechanisms));
        self.same("count of mechanisms", of.map(|m| &m.mechanisms_certain));
        self.same("critical factor", of.map(|m| &m.critical));
        self.same("lateral", of.map(|m| &m.lateral));
        self.same("push", of.map(|m| &m.push));
        self.same("strength", of.map(|m| &m.strength.verdict));
        self.same("lowest factor found", of.map(|m| m.lowest_factor.is_some()));
        self.value("lowest factor", of.map(|m| m.lowest_factor.unwrap_or(0.0)));
        self.same("members of the mode", of.map(|m| &m.mode_members));
        self.same("not modelled", of.map(|m| &m.not_modelled));
        self.same("feet that lift", of.map(|m| &m.lifting_feet));
        let over = |m: &StageMechanics| -> Vec<(String, Vec<MemberId>)> {
            m.overturned.iter().map(|o| (o.case.clone(), o.members.clone())).collect()
        };
        self.same("goes over", of.map(over));
        for (a, b) in of[0].overturned.iter().zip(&of[1].overturned) {
            self.number("goes over at", [a.factor, b.factor], 1.0);
        }
        let all = |m: &StageMechanics| {
            m.axial.iter().flat_map(|r| [r.least, r.greatest]).collect::<Vec<f64>>()
        };
        let axial = of.map(all);
        let largest = axial[0].iter().fold(1.0f64, |most, n| most.max(n.abs()));
        for (&a, &b) in axial[0].iter().zip(&axial[1]) {
            self.number("axial force", [a, b], largest);
        }
        for m in of {
            assert!(m.residual < 1e-9, "{}: out of balance by {:e}", self.at, m.residual);
        }
        self.pushes(of);
        self.strength(of, largest);
        self.sways(of);
    }

    fn pushes(&mut self, of: [&StageMechanics; 2]) {
        let failing = |m: &StageMechanics| -> Vec<(MemberId, Vec<MemberId>, bool)> {
            m.failing_pushes.iter().map(|p| (p.post, p.members.clone(), p.exact)).collect()
        };
        self.same("failing pushes", of.map(failing));
        let least = of.map(|m| m.least_push.as_ref());
        self.same("least push", least.map(|p| p.map(|p| p.exact)));
        let pairs = of[0].failing_pushes.iter().zip(&of[1].failing_pushes);
        for (a, b) in pairs.chain(least[0].zip(least[1])) {
            let force = |p: &Push| p.force;
            self.number("push", [a, b].map(force), a.force.max(1.0));
        }
    }

    fn strength(&mut self, of: [&StageMechanics; 2], largest: f64) {
        self.same("strength unknown", of.map(|m| &m.strength.unknown));
        self.same("unstable", of.map(|m| m.strength.unstable));
        let falls = |m: &StageMechanics| -> Vec<(String, Vec<MemberId>)> {
            m.strength.falls.iter().map(|f| (f.case.clone(), f.members.clone())).collect()
        };
        self.same("falls", of.map(falls));
        let posts = of.map(|m| m.strength.posts.whole());
        let named = |posts: &[PostStrength]| -> Vec<(MemberId, u8)> {
            posts.iter().map(|p| (p.post, p.axis)).collect()
        };
        self.same("posts", posts.each_ref().map(|posts| named(posts)));
        for (a, b) in posts[0].iter().zip(&*posts[1]) {
            let both = [a, b];
            self.seen.posts += 1;
            self.value("compression", both.map(|p| p.compression));
            self.value("moment", both.map(|p| p.moment));
            self.value("use", both.map(|p| p.usage));
            self.value("height of the worst place", both.map(|p| p.at));
            self.value("sway", both.map(|p| p.sway));
            self.value("critical compression", both.map(|p| p.critical));
            self.value("effective length", both.map(|p| p.effective_length));
            self.number("service", both.map(|p| p.service), largest);
        }
        for (a, b) in of[0].brace_lines.iter().zip(&of[1].brace_lines) {
            self.same("brace line", [(a.axis, &a.members), (b.axis, &b.members)]);
            self.number("share of a brace line", [a.share, b.share], 1.0);
        }
        self.same("brace lines", of.map(|m| m.brace_lines.len()));
    }

    fn sways(&mut self, of: [&StageMechanics; 2]) {
        let cases = |m: &StageMechanics| -> Vec<(String, bool)> {
            m.sways.iter().map(|s| (s.case.clone(), s.second_order.is_some())).collect()
        };
        self.same("sways", of.map(cases));
        for (a, b) in of[0].sways.iter().zip(&of[1].sways) {
            self.value("sway of first order", [a.first_order, b.first_order]);
            self.value("of second", [a, b].map(|s| s.second_order.unwrap_or(0.0)));
        }
        self.same("grips", of.map(|m| m.grip.len()));
        for (a, b) in of[0].grip.iter().zip(&of[1].grip) {
            self.same("idle feet", [&a.idle, &b.idle]);
            // What of the grip the load takes, which may be nothing.
            self.number("slips at", [a.slips_at.recip(), b.slips_at.recip()], 1.0);
            self.number("lifts at", [a.lifts_at.recip(), b.lifts_at.recip()], 1.0);
        }
    }
}

/// What the checks say of a stage: hazard, severity, whether it is unknown, headline, and whom it is about.
fn findings(
    (assembly, pack, sequence): &Job,
    stage: &Stage,
    loads: &loads::LoadState,
    mechanics: StageMechanics,
) -> Vec<String> {
    let mut equilibrium = equilibrium::judge_stage(assembly, pack, stage, loads);
    let mut pieces = equilibrium::pieces::Judge::new(assembly, pack);
    (equilibrium.sideways, equilibrium.overhangs) =
        pieces.with_overhangs(stage, loads, &mechanics, &equilibrium.tipping);
    let restraint = restraint::of_stage(assembly, stage);
    let judged = JudgedStage { loads: loads.clone(), restraint, mechanics, equilibrium };
    let seen = observe_one(assembly, pack, sequence, stage, &judged);
    let words = seen.iter().map(|s| {
        let o = &s.observation;
        let headline = without_labels(&o.headline);
        format!("{} {:?} {} {headline}: {:?}", s.hazard, o.severity, o.unknown, o.subjects)
    });
    words.collect()
}

/// Labels of grid places blanked.
fn without_labels(words: &str) -> String {
    let is_label = |word: &&str| {
        word.starts_with(char::is_uppercase) && word.contains(|c: char| c.is_ascii_digit())
    };
    let each = words.split(' ').map(|word| if is_label(&word) { "…" } else { word });
    each.collect::<Vec<&str>>().join(" ")
}

/// Two judges going through the stages of a job.
struct Both<'a> {
    of: &'a Job,
    kept: Judge<'a>,
    plain: Judge<'a>,
}

impl<'a> Both<'a> {
    fn new(of: &'a Job) -> Self {
        Self { of, kept: Judge::new(&of.0, &of.1), plain: Judge::plainly(&of.0, &of.1) }
    }

    fn stage(&mut self, name: &str, stage: &Stage, seen: &mut Seen) {
        let loads = take_down(&self.of.0, &self.of.1, stage);
        let both = [&mut self.kept, &mut self.plain].map(|judge| judge.stage(stage, &loads));
        let [a, _] = &both;
        seen.stages += 1;
        seen.loose += usize::from(!a.mechanisms.is_empty());
        seen.lifted += usize::from(!a.lifting_feet.is_empty());
        let verdicts = [&a.critical, &a.lateral, &a.push, &a.strength.verdict];
        seen.not_met += usize::from(verdicts.contains(&&Verdict::NotMet));
        seen.unknown += usize::from(verdicts.iter().any(|v| matches!(v, Verdict::Unknown(_))));
        let at = format!("{name}, {}", stage.step);
        Stages { at: at.clone(), seen }.mechanics([&both[0], &both[1]]);
        let found = both.map(|mechanics| findings(self.of, stage, &loads, mechanics));
        seen.findings += found[0].len();
        Stages { at, seen }.same("findings", found);
    }
}

/// All stages as they come.
fn go(name: &str, of: &Job, seen: &mut Seen) {
    let mut both = Both::new(of);
    of.2.stages.iter().for_each(|stage| both.stage(name, stage, seen));
}

/// Changes made blindly to the finished job, which is put right every fourth time.
fn go_wild(name: &str, of: &Job, seed: u64, seen: &mut Seen) {
    let (mut both, mut random) = (Both::new(of), Seeded::new(seed));
    let Some(finished) = of.2.stages.last() else { return };
    let mut stage = finished.clone();
    for step in 0..80 {
        if step % 4 == 0 {
            stage = finished.clone();
        }
        let what: Vec<String> =
            (0..=random.below(3)).map(|_| change(&of.0, &mut stage, &mut random)).collect();
        stage.step = format!("{step}: {}", what.join(", "));
        both.stage(name, &stage, seen);
    }
}

fn settle(seen: &mut Seen) {
    let differ = std::mem::take(&mut seen.differ);
    println!("{seen:?}");
    assert!(differ.is_empty(), "{} differences:\n{}", differ.len(), differ.join("\n"));
}

#[test]
fn every_stage_is_judged_plainly_as_with_what_is_kept() {
    let mut seen = Seen::default();
    for name in SCENES {
        go(name, &laid_out(name), &mut seen);
    }
    go("grid", &grid((4, 3)), &mut seen);
    settle(&mut seen);
    assert!(seen.stages > 600 && seen.posts > 40_000, "{seen:?}");
    assert!([seen.loose, seen.lifted, seen.findings].iter().all(|kind| *kind >= 10), "{seen:?}");
}

#[test]
fn what_was_changed_blindly_is_judged_plainly_as_with_what_is_kept() {
    let mut seen = Seen::default();
    go_wild("grid", &grid((4, 3)), 40_961, &mut seen);
    for (name, seed) in [("slab-edge", 7_013), ("starter-tower", 5_501), ("tall-lobby", 90_007)] {
        go_wild(name, &laid_out(name), seed, &mut seen);
    }
    settle(&mut seen);
    let kinds = [seen.loose, seen.not_met, seen.findings, seen.posts];
    assert!(kinds.iter().all(|kind| *kind > 10), "{seen:?}");
}

/// What is said to be forgotten is made anew, front for front, and the answer is the same bit for bit.
#[test]
fn what_was_forgotten_is_made_anew() {
    let (assembly, pack, sequence) = laid_out("sound-floor");
    let mut judge = Judge::new(&assembly, &pack);
    let mut fronts = 0;
    for stage in sequence.stages.iter().rev().take(3) {
        let loads = take_down(&assembly, &pack, stage);
        judge.forget();
        let (answer, made) = (judge.stage(stage, &loads), judge.renewed());
        for forget in [Judge::forget_numbers, Judge::forget] {
            forget(&mut judge);
            assert_eq!(judge.stage(stage, &loads), answer, "{}", stage.step);
            assert_eq!(judge.renewed(), made, "{}", stage.step);
        }
        fronts += made.0.iter().sum::<usize>();
    }
    assert!(fronts > 1000, "only {fronts} fronts");
}
