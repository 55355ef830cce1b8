//! The floors that are timed: made by the generator of `standwell grid`, with their deck.
#![allow(dead_code, reason = "each benchmark uses its part")]

use standwell::assembly::{self, Assembly};
use standwell::criteria::Pack;
use standwell::scene;
use standwell::scene::model::{Action, SequenceItem, StepText};
use standwell::sequence::{self, Sequence};
use std::path::Path;

/// As in the program.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// A floor laid out, with the stages to judge.
pub struct Floor {
    pub assembly: Assembly,
    pub pack: Pack,
    pub sequence: Sequence,
}

/// Where a stage ends. A step of the generator stands up a post with all that ties it, or decks a bay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stages {
    /// Wherever the work changes: a post is stood up, its ledgers and joists are hung, its braces are
    /// fixed, hands come off; joists, then sheets.
    KindsOfWork,
    /// A post is stood up with its ledgers at once; its braces are fixed, hands come off; a bay is decked
    /// at once.
    PostsAtOnce,
}

impl Stages {
    pub fn words(self) -> &'static str {
        match self {
            Self::KindsOfWork => {
                "a stage for each kind of work (post, ledgers, braces, hands off; joists, sheets)"
            }
            Self::PostsAtOnce => {
                "posts at once: a post with its ledgers, its braces, hands off, the deck of a bay"
            }
        }
    }

    fn kind(self, action: &Action) -> usize {
        match action {
            Action::Connect(_) => 2,
            Action::Release(_) => 3,
            _ if self == Self::PostsAtOnce => 0,
            Action::StandUp(_) | Action::Hold(..) => 0,
            Action::Hang(_) | Action::Set(_) | Action::Lock(_) | Action::ConnectBetween(..) => 1,
            _ => 4,
        }
    }

    /// A step an uninterrupted piece of one kind of work.
    fn divide(self, step: &StepText) -> Vec<SequenceItem> {
        let pieces = step.actions.chunk_by(|a, b| self.kind(a) == self.kind(b));
        let one = |(k, actions): (usize, &[Action])| {
            let id = format!("{}.{k}", step.id);
            SequenceItem::Step(StepText { id, actions: actions.to_vec(), ..step.clone() })
        };
        pieces.enumerate().map(one).collect()
    }
}

impl Floor {
    /// From the first tower to the deck, bays of six feet, a stage for each kind of work.
    pub fn new(bays: (u32, u32)) -> Self {
        Self::in_stages(bays, Stages::KindsOfWork)
    }

    pub fn in_stages(bays: (u32, u32), stages: Stages) -> Self {
        match Self::made(bays, stages) {
            Ok(floor) => floor,
            Err(problem) => panic!("the floor to time has problems:\n{problem}"),
        }
    }

    fn made(bays: (u32, u32), stages: Stages) -> Result<Self, String> {
        let text = standwell::cli::grid::floor(bays, true)?;
        let said = |problems: scene::Problems| problems.to_string();
        let mut loaded = scene::read(&text, Path::new("timed.ron")).map_err(said)?;
        let laid_out =
            assembly::build(&loaded.scene, &loaded.library, &loaded.source).map_err(said)?;
        let steps = sequence::expand(&loaded.scene, &laid_out).map_err(said)?;
        loaded.scene.sequence = steps.iter().flat_map(|step| stages.divide(step)).collect();
        let assembly =
            assembly::build(&loaded.scene, &loaded.library, &loaded.source).map_err(said)?;
        let sequence = sequence::run(&assembly, &loaded.source).map_err(said)?;
        Ok(Self { assembly, pack: loaded.pack, sequence })
    }

    /// The largest stages: those with most members standing, the last first.
    pub fn largest(&self, count: usize) -> Vec<usize> {
        let size =
            |k: &usize| self.sequence.stages[*k].members.iter().filter(|m| m.is_there()).count();
        let mut order: Vec<usize> = (0..self.sequence.stages.len()).collect();
        order.sort_by_key(|k| std::cmp::Reverse((size(k), *k)));
        order.truncate(count);
        order
    }

    /// A fixed sample: so many of the largest stages, and as many spread evenly over the sequence.
    pub fn sample(&self, count: usize) -> Vec<usize> {
        let total = self.sequence.stages.len();
        let mut sample: Vec<usize> = (0..count).map(|k| k * total / count).collect();
        sample.extend(self.largest(count));
        sample.sort_unstable();
        sample.dedup();
        sample
    }
}

/// Processor time this process has used, all threads, seconds: user and system. What other
/// programs do meanwhile lengthens the wall clock, not this.
pub fn cpu_seconds() -> f64 {
    // /proc/self/schedstat gives the main thread in nanoseconds; a review's threads come with
    // /proc/self/stat, in ticks of a hundredth.
    let own = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    own.and_then(|text| Some(text.split(' ').next()?.parse::<f64>().ok()? * 1e-9))
        .unwrap_or_else(clock)
}

/// The clock, where nothing tells the processor time: right only on a machine that does nothing else.
fn clock() -> f64 {
    static START: std::sync::OnceLock<std::time::Instant> = std::sync::OnceLock::new();
    START.get_or_init(std::time::Instant::now).elapsed().as_secs_f64()
}

/// Processor time of all threads of this process, those that ended too, to a hundredth of a second.
pub fn cpu_seconds_of_all() -> f64 {
    let ticks = |text: String| -> Option<f64> {
        let after = text.rsplit_once(')')?.1;
        let fields: Vec<f64> =
            after.split(' ').skip(12).take(2).filter_map(|f| f.parse().ok()).collect();
        (fields.len() == 2).then(|| (fields[0] + fields[1]) / 100.0)
    };
    std::fs::read_to_string("/proc/self/stat").ok().and_then(ticks).unwrap_or(0.0)
}

/// Most memory the process ever had resident, bytes.
pub fn peak_memory() -> f64 {
    let text = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = text.lines().find(|l| l.starts_with("VmHWM:"));
    line.and_then(|l| l.split_whitespace().nth(1)?.parse::<f64>().ok())
        .map_or(0.0, |kb| kb * 1024.0)
}
