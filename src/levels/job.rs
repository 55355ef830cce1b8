//! The steps a scene writes, gone through with both methods, and each slab and level of props held
//! against what it carries at its age.

use super::capacity::{Bending, Code, Punching, bending_load, punching_load};
use super::chain::{Chain, ChainError, Contact, PropKind};
use crate::concrete::gain::sadgrove;
use crate::criteria::Pack;
use crate::equipment::Library;
use crate::scene::model::{LevelAction, LevelSlab, Levels};

/// A slab after a step. Pressures in pascals.
#[derive(Clone, Debug, PartialEq)]
pub struct SlabLoad {
    pub name: String,
    /// Days since it was cast; none where it was there before.
    pub age: Option<f64>,
    /// It is still fresh: its shores carry all of it.
    pub fresh: bool,
    /// What it carries, by equal sharing and with props that shorten.
    pub equal: f64,
    pub finite: f64,
    /// What it may carry at its age, and what decides that.
    pub capacity: f64,
    pub by: &'static str,
}

impl SlabLoad {
    /// The greater of the two methods over the capacity.
    #[must_use]
    pub fn use_of_capacity(&self) -> f64 {
        if self.fresh { 0.0 } else { share(self.equal.max(self.finite), self.capacity) }
    }
}

/// A level of props after a step.
#[derive(Clone, Debug, PartialEq)]
pub struct PropLoad {
    /// The slab above.
    pub slab: String,
    pub kind: PropKind,
    /// Force in one post, newtons, by equal sharing and with props that shorten.
    pub equal: f64,
    pub finite: f64,
    /// Posts left in, as a share of those first set.
    pub left: f64,
    /// What one post may carry; none: its table has no row for its height.
    pub capacity: Option<f64>,
    /// By equal sharing the slab has lifted off them.
    pub lifted: bool,
}

impl PropLoad {
    /// The greater of the two methods over the capacity; none where that is not known.
    #[must_use]
    pub fn use_of_capacity(&self) -> Option<f64> {
        self.capacity.map(|c| share(self.equal.max(self.finite), c))
    }
}

fn share(load: f64, capacity: f64) -> f64 {
    if capacity > 0.0 {
        load / capacity
    } else if load > 0.0 {
        f64::INFINITY
    } else {
        0.0
    }
}

/// The state after one step of the levels.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelState {
    /// Position among the scene's steps of the levels.
    pub step: usize,
    pub what: String,
    pub day: f64,
    /// Step of the sequence it belongs to, if any.
    pub at: Option<String>,
    pub slabs: Vec<SlabLoad>,
    pub props: Vec<PropLoad>,
    /// The same once the people who place are off again: what stays until the next step.
    pub props_after: Vec<PropLoad>,
}

/// What cannot be done, at which of the scene's steps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JobError {
    pub step: usize,
    pub what: String,
}

/// An order of two neighbouring steps that loads some slab more than the other order would.
#[derive(Clone, Debug, PartialEq)]
pub struct WorseOrder {
    /// The first of the two steps: props taken before the shores above are stripped.
    pub step: usize,
    /// The slab that is loaded most, its largest load over its weight as written, and swapped.
    pub slab: String,
    pub written: f64,
    pub swapped: f64,
}

/// Goes through the steps with both methods.
///
/// # Errors
/// The first step that cannot be done, and why.
pub fn run(levels: &Levels, pack: &Pack, library: &Library) -> Result<Vec<LevelState>, JobError> {
    let code = if pack.region == "US" { Code::Aci318 } else { Code::En1992 };
    let post = library.posts.get(&levels.post);
    let capacity = post.and_then(|p| {
        let (_, force) = p.capacity_at(levels.height.si())?;
        Some(force / pack.factor_on(p.capacity.basis))
    });
    let mut job = Job::new(levels, code, capacity);
    let mut out = Vec::new();
    for (step, text) in levels.steps.iter().enumerate() {
        let failed = |e: ChainError| JobError { step, what: words(&e, levels) };
        job.day = text.day;
        job.grow_stiffer().map_err(failed)?;
        let what = job.act(&text.action).map_err(failed)?;
        let at = text.at.clone().or_else(|| out.last().and_then(|s: &LevelState| s.at.clone()));
        let mut state = job.state(step, what, at);
        // The next step begins without them in any case.
        job.live_off().map_err(failed)?;
        state.props_after = job.props();
        out.push(state);
    }
    Ok(out)
}

/// Neighbouring steps that take props below before stripping the shores above, where the other
/// order would load the slabs less.
#[must_use]
pub fn worse_orders(levels: &Levels, pack: &Pack, library: &Library) -> Vec<WorseOrder> {
    let Ok(written) = run(levels, pack, library) else { return Vec::new() };
    let mut out = Vec::new();
    for (i, pair) in levels.steps.windows(2).enumerate() {
        let takes_first = matches!(pair[0].action, LevelAction::TakeProps(_))
            && matches!(pair[1].action, LevelAction::Strip(_) | LevelAction::Leave { .. });
        if !takes_first {
            continue;
        }
        let mut other = levels.clone();
        let (a, b) = (other.steps[i].action.clone(), other.steps[i + 1].action.clone());
        (other.steps[i].action, other.steps[i + 1].action) = (b, a);
        let Ok(swapped) = run(&other, pack, library) else { continue };
        let worst = levels
            .slabs
            .iter()
            .map(|slab| {
                let most = |states: &[LevelState]| {
                    let loads =
                        states.iter().flat_map(|s| &s.slabs).filter(|s| s.name == slab.name);
                    loads.map(|s| s.equal / slab.weight.si()).fold(0.0, f64::max)
                };
                (slab.name.clone(), most(&written), most(&swapped))
            })
            .max_by(|a, b| (a.1 - a.2).total_cmp(&(b.1 - b.2)));
        if let Some((slab, written, swapped)) = worst.filter(|w| w.1 > w.2 * 1.001) {
            out.push(WorseOrder { step: i, slab, written, swapped });
        }
    }
    out
}

struct Job<'a> {
    levels: &'a Levels,
    code: Code,
    capacity: Option<f64>,
    equal: Chain<f64>,
    finite: Chain<f64>,
    cast: Vec<Option<f64>>,
    left: Vec<f64>,
    day: f64,
    /// Slab being cast, with the live load on it.
    live: Option<usize>,
}

impl<'a> Job<'a> {
    fn new(levels: &'a Levels, code: Code, capacity: Option<f64>) -> Self {
        let slabs = || levels.slabs.iter().map(|s| (s.weight.si(), 1.0));
        let mut job = Self {
            levels,
            code,
            capacity,
            equal: Chain::new(slabs(), Contact::PushOnly),
            finite: Chain::new(slabs(), Contact::PushOnly),
            cast: vec![None; levels.slabs.len()],
            left: vec![1.0; levels.slabs.len()],
            day: 0.0,
            live: None,
        };
        for (i, slab) in levels.slabs.iter().enumerate() {
            if slab.there {
                job.equal.stands(i);
                job.finite.stands(i);
            }
        }
        job
    }

    fn both(
        &mut self,
        mut act: impl FnMut(&mut Chain<f64>, f64) -> Result<(), ChainError>,
    ) -> Result<(), ChainError> {
        let flexibility = 1.0 / self.levels.props_over_slab;
        act(&mut self.equal, 0.0)?;
        act(&mut self.finite, flexibility)
    }

    fn live_off(&mut self) -> Result<(), ChainError> {
        let Some(slab) = self.live.take() else { return Ok(()) };
        let live = self.levels.live.si();
        self.both(|c, _| c.load(slab, -live))
    }

    /// Share of the specified strength at this day.
    fn strength(&self, slab: usize) -> f64 {
        let text = &self.levels.slabs[slab];
        if text.there {
            return 1.0;
        }
        self.cast[slab].map_or(0.0, |cast| text.gain.share(self.day - cast))
    }

    /// What was cast on an earlier day is hard. With finite stiffness slabs stiffen with the root of their strength (ACI 318 19.2.2, from
    /// memory); what they carry stays.
    fn grow_stiffer(&mut self) -> Result<(), ChainError> {
        for slab in 0..self.levels.slabs.len() {
            // A slab is fresh on its own day alone.
            if self.equal.is_fresh(slab) && self.cast[slab].is_some_and(|cast| self.day > cast) {
                self.both(|c, _| c.harden(slab))?;
            }
            let stiffness = self.strength(slab).sqrt();
            if self.finite.is_cast(slab) && stiffness > 0.0 {
                self.finite.stiffen(slab, stiffness)?;
            }
        }
        Ok(())
    }

    fn index(&self, name: &str) -> usize {
        // Names are checked when the scene is read; one that is nowhere is no slab of the chain.
        self.levels.slabs.iter().position(|s| s.name == name).unwrap_or(usize::MAX)
    }

    fn act(&mut self, action: &LevelAction) -> Result<String, ChainError> {
        let (forms, live) = (self.levels.forms.si(), self.levels.live.si());
        match action {
            LevelAction::Cast(name) => {
                let slab = self.index(name);
                self.both(|c, flexibility| {
                    c.cast(slab, flexibility)?;
                    c.load(slab, forms + live)
                })?;
                self.cast[slab] = Some(self.day);
                self.left[slab] = 1.0;
                self.live = Some(slab);
                Ok(format!("cast {name}"))
            }
            LevelAction::Strip(name) => {
                let slab = self.index(name);
                self.both(|c, _| {
                    c.take_props(slab)?;
                    c.load(slab, -forms)
                })?;
                Ok(format!("strip {name}"))
            }
            LevelAction::Leave { slab: name, share } => {
                let slab = self.index(name);
                let share = *share;
                self.both(|c, _| {
                    if c.is_fresh(slab) {
                        return Err(ChainError::Fresh(slab));
                    }
                    if share < 1.0 {
                        c.take_share(slab, 1.0 - share)?;
                    } else if share > 1.0 || share.is_nan() {
                        return Err(ChainError::BadNumber);
                    }
                    c.load(slab, -forms)
                })?;
                self.left[slab] *= share;
                Ok(format!("strip {name}, leaving {:.0} % of its posts", 100.0 * share))
            }
            LevelAction::Reshore(name) => {
                let slab = self.index(name);
                self.both(|c, flexibility| c.reshore(slab, flexibility))?;
                self.left[slab] = 1.0;
                Ok(format!("reshore under {name}"))
            }
            LevelAction::TakeProps(name) => {
                let slab = self.index(name);
                self.both(|c, _| c.take_props(slab))?;
                Ok(format!("take the props under {name}"))
            }
            LevelAction::Put { slab: name, load } => {
                let (slab, load) = (self.index(name), load.si());
                self.both(|c, _| c.load(slab, load))?;
                Ok(format!("put load on {name}"))
            }
            LevelAction::TakeOff { slab: name, load } => {
                let (slab, load) = (self.index(name), load.si());
                self.both(|c, _| c.load(slab, -load))?;
                Ok(format!("take load off {name}"))
            }
        }
    }

    fn state(&self, step: usize, what: String, at: Option<String>) -> LevelState {
        let cast = (0..self.levels.slabs.len()).filter(|&i| self.equal.is_cast(i));
        let slabs = cast
            .map(|i| {
                let text = &self.levels.slabs[i];
                let (capacity, by) = capacity_at(text, self.code, self.strength(i));
                SlabLoad {
                    name: text.name.clone(),
                    age: self.cast[i].map(|cast| self.day - cast),
                    fresh: self.equal.is_fresh(i),
                    equal: self.equal.slab(i),
                    finite: self.finite.slab(i),
                    capacity,
                    by,
                }
            })
            .collect();
        let props = self.props();
        let props_after = Vec::new();
        LevelState { step, what, day: self.day, at, slabs, props, props_after }
    }

    fn props(&self) -> Vec<PropLoad> {
        let each = self.levels.each.si();
        (0..self.levels.slabs.len())
            .filter_map(|i| {
                let per_post = |c: &Chain<f64>| Some(c.prop(i)? * each / self.left[i]);
                Some(PropLoad {
                    slab: self.levels.slabs[i].name.clone(),
                    kind: self.equal.kind(i)?,
                    equal: per_post(&self.equal)?,
                    finite: per_post(&self.finite)?,
                    left: self.left[i],
                    capacity: self.capacity,
                    lifted: self.equal.has_lifted(i),
                })
            })
            .collect()
    }
}

/// What a slab may carry at a share of its specified strength, pascals, and what decides it.
///
/// Without steel or column given, the design load counts, times the share of strength under a US
/// pack (the careful reading of ACI 347.2R, from memory) and times its 0.6th power elsewhere
/// (Sadgrove, from memory). Bending and punching, where given, may only lower it.
#[must_use]
pub fn capacity_at(slab: &LevelSlab, code: Code, strength: f64) -> (f64, &'static str) {
    let designed = slab.designed_for.si();
    let mut least = match code {
        Code::Aci318 => (designed * strength, "design load by share of strength"),
        Code::En1992 => (designed * sadgrove(strength), "design load after Sadgrove"),
    };
    let fc = slab.specified.si() * strength;
    if let Some(b) = &slab.bending {
        let strip = Bending {
            depth: b.depth.si(),
            steel: b.bar.si() / b.apart.si(),
            fy: b.fy.si(),
            coefficient: b.coefficient,
            span: b.span.si(),
        };
        let load = bending_load(code, &strip, fc, b.load_factor);
        if load < least.0 {
            least = (load, "bending");
        }
    }
    if let Some(p) = &slab.punching {
        let column = Punching {
            depth: p.depth.si(),
            column: (p.column.0.si(), p.column.1.si()),
            area: p.carries.si(),
            ratio: p.steel_ratio,
        };
        let load = punching_load(code, &column, fc, p.load_factor);
        if load < least.0 {
            least = (load, "punching");
        }
    }
    least
}

/// What the chain refused, with the slab's name.
fn words(error: &ChainError, levels: &Levels) -> String {
    let name = |i: &usize| levels.slabs.get(*i).map_or("?", |s| s.name.as_str());
    match error {
        ChainError::NoSlab(_) => "there is no such slab".to_owned(),
        ChainError::CastTwice(i) => format!("slab \"{}\" is cast already", name(i)),
        ChainError::NothingBeneath(i) => {
            format!("slab \"{}\" is cast with no slab beneath it to stand its shores on", name(i))
        }
        ChainError::NotCast(i) => format!("slab \"{}\" is not cast yet", name(i)),
        ChainError::Fresh(i) => format!("slab \"{}\" is still fresh", name(i)),
        ChainError::NoProps(i) => format!("no props stand under slab \"{}\"", name(i)),
        ChainError::PropsThere(i) => format!("props stand under slab \"{}\" already", name(i)),
        ChainError::BadNumber => "a share is above 0 and below 1".to_owned(),
        ChainError::NotSettled => {
            "which props push and which have let go does not settle".to_owned()
        }
    }
}

/// Steps of the levels that cannot be done, or that name a step of the sequence that is nowhere.
///
/// # Errors
/// Each with its place in the scene.
pub fn check(
    assembly: &crate::assembly::Assembly,
    pack: &Pack,
    steps: &[&str],
    source: &crate::scene::SceneSource,
) -> Result<(), crate::scene::Problems> {
    let Some(levels) = &assembly.scene.levels else { return Ok(()) };
    let mut problems = Vec::new();
    if let Err(e) = run(levels, pack, &assembly.library) {
        problems.push(source.problem_at(&format!("levels.steps[{}]", e.step), e.what));
    }
    for (i, step) in levels.steps.iter().enumerate() {
        if let Some(at) = step.at.as_ref().filter(|at| !steps.contains(&at.as_str())) {
            let message = format!("there is no step \"{at}\" in the sequence");
            problems.push(source.problem_at(&format!("levels.steps[{i}].at"), message));
        }
    }
    if problems.is_empty() { Ok(()) } else { Err(crate::scene::Problems(problems)) }
}
