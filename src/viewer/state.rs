//! What the window shows, and the one place where intents change it.

use crate::assembly::model::Point;
use crate::findings::Finding;
use crate::review::{Known, Review};
use crate::units::UnitSystem;
use crate::viewer::guide::{Guide, Wish};
use crate::viewer::histories::History;
use crate::viewer::shown::Shown;
use crate::viewer::theme::{Grade, Look};
use crate::viewer::trying::Trying;
use crate::viewer::vocab::{EditIntent, Filter, Intent, Item, Selection, Unfolded};
use bevy::prelude::Resource;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// How far a scene being read has come.
#[derive(Clone, Debug, PartialEq)]
pub struct Progress {
    pub path: PathBuf,
    pub done: usize,
    pub total: usize,
}

/// What the window shows.
#[derive(Resource, Default)]
pub struct ViewerState {
    pub path: Option<PathBuf>,
    /// The last scene that could be read.
    pub review: Option<Arc<Review>>,
    /// Counts the reviews shown.
    pub revision: u64,
    pub stage: usize,
    pub playing: bool,
    pub units: UnitSystem,
    pub look: Look,
    pub filter: Filter,
    pub selection: Selection,
    pub moving: bool,
    pub loading: Option<Progress>,
    /// Why the last file could not be shown; the last good scene stays on screen.
    pub problem: Option<String>,
    /// Scenes that come with the program.
    pub scenes: Vec<PathBuf>,
    pub help: bool,
    /// A path is asked for.
    pub asks_path: bool,
    /// A member is asked for by its name.
    pub asks_name: bool,
    /// Teaching, walking through, signing.
    pub guide: Guide,
    /// The stage others are compared with.
    pub pinned: Option<usize>,
    /// Which kinds of reserve the strip leaves out.
    pub reserves_off: [bool; 4],
    /// Critical load factors found for single stages of this review.
    pub factors: BTreeMap<usize, Known>,
    /// The reserve of the member that was chosen last, over all stages.
    pub history: Option<History>,
    /// What of the scene is drawn.
    pub shown: Shown,
    /// Also while the eye moves: see [`crate::viewer::thrift`].
    pub always_full: bool,
    /// Ends of what is measured; none: nothing is.
    pub measure: Option<Vec<Point>>,
    /// What of the card is unfolded, and whether the card is rolled down to it: for pictures.
    pub unfolded: Unfolded,
    pub rolled_to_unfolded: bool,
    /// The changes tried in the scene.
    pub trying: Trying,
}

/// What a system outside the state has to do for an intent.
#[derive(Clone, Debug, PartialEq)]
pub enum Errand {
    Load(PathBuf),
    AskForFile,
    CancelLoading,
    Frame(Item),
    Fit,
    /// Judge the scene's text as it is in the book.
    TryOut,
    Edit(EditIntent),
}

impl ViewerState {
    /// Takes a new review in; the stage and what is chosen stay where they can.
    pub fn show(&mut self, path: &Path, review: Arc<Review>) {
        let same_file = self.path.as_deref() == Some(path);
        let names = self.names_of(self.selection.chosen);
        let at_end = self.review.as_ref().is_none_or(|r| self.stage + 1 >= r.sequence.stages.len());
        let step = self.review.as_ref().and_then(|r| r.sequence.stages.get(self.stage));
        let step = step.filter(|_| same_file).map(|s| s.step.clone());
        let last = review.sequence.stages.len().saturating_sub(1);
        let same_step = step.and_then(|s| review.sequence.stages.iter().position(|t| t.step == s));
        self.stage = match same_step {
            Some(at) if !at_end => at,
            _ if same_file => self.stage.min(last),
            _ => first_stage_to_show(&review),
        };
        if !same_file {
            self.units = review.assembly.scene.units;
            self.filter = Filter::default();
            self.shown = Shown::default();
            self.measure = None;
        }
        self.shown.measure(&review.assembly.members);
        self.selection = Selection {
            hovered: None,
            chosen: names.filter(|_| same_file).and_then(|n| find_again(&review, &n)),
        };
        // A pinned stage stays by its step.
        let pinned = self.pinned.filter(|_| same_file).and_then(|at| {
            let step = &self.review.as_ref()?.sequence.stages.get(at)?.step;
            review.sequence.stages.iter().position(|s| s.step == *step)
        });
        self.pinned = pinned;
        self.factors.clear();
        self.path = Some(path.to_owned());
        self.review = Some(review);
        self.revision += 1;
        self.playing = false;
        self.moving = false;
        self.problem = None;
    }

    #[must_use]
    pub fn last_stage(&self) -> usize {
        self.review.as_ref().map_or(0, |r| r.sequence.stages.len().saturating_sub(1))
    }

    /// The finding that is chosen.
    #[must_use]
    pub fn finding(&self) -> Option<(usize, &Finding)> {
        let Some(Item::Finding(i)) = self.selection.chosen else { return None };
        self.review.as_ref()?.findings.get(i).map(|f| (i, f))
    }

    /// Findings the list shows, in the review's order.
    #[must_use]
    pub fn listed(&self) -> Vec<usize> {
        let Some(review) = &self.review else { return Vec::new() };
        (0..review.findings.len())
            .filter(|&i| {
                let f = &review.findings[i];
                f.severity >= self.filter.least
                    && (self.filter.all_stages || stands_at(f, self.stage))
            })
            .collect()
    }

    /// Changes the state; what is left to do elsewhere is returned.
    pub fn act(&mut self, intent: &Intent) -> Option<Errand> {
        // While a trainee is asked, a click on a member is a mark, and no finding can be looked at.
        if self.guide.conceals() {
            match intent {
                Intent::Choose(Some(Item::Member(id))) => {
                    return self.guide_act(&Wish::Mark(*id));
                }
                Intent::Choose(_) | Intent::NextFinding(_) | Intent::LookAt(Item::Finding(_)) => {
                    return None;
                }
                _ => {}
            }
        }
        match intent {
            Intent::Open(path) => {
                self.asks_path = false;
                return Some(Errand::Load(path.clone()));
            }
            Intent::AskForPath(on) => (self.asks_path, self.asks_name) = (*on, false),
            Intent::AskForName(on) => {
                self.asks_name = *on && self.review.is_some();
                self.asks_path &= !self.asks_name;
            }
            Intent::AskForFile => return Some(Errand::AskForFile),
            Intent::Reload => return self.path.clone().map(Errand::Load),
            Intent::CancelLoading => return Some(Errand::CancelLoading),
            Intent::GoToStage(stage) => self.go_to(*stage),
            Intent::StepBy(by) => {
                self.playing = false;
                self.go_to(self.stage.saturating_add_signed(*by as isize));
            }
            Intent::Play(on) => {
                if *on && self.stage >= self.last_stage() {
                    self.go_to(0);
                }
                self.playing = *on;
            }
            Intent::Choose(item) => {
                self.selection.chosen = *item;
                self.moving = false;
                self.come_to_stage_of(*item);
            }
            Intent::Hover(item) => self.selection.hovered = *item,
            Intent::LookAt(item) => {
                self.come_to_stage_of(Some(*item));
                return Some(Errand::Frame(*item));
            }
            Intent::NextFinding(by) => {
                let next = self.next_finding(*by)?;
                self.selection.chosen = Some(next);
                self.moving = false;
                self.come_to_stage_of(Some(next));
                return Some(Errand::Frame(next));
            }
            Intent::Fit => return Some(Errand::Fit),
            Intent::View(_) => {}
            Intent::Look(look) => self.look = *look,
            Intent::Units(units) => self.units = *units,
            Intent::Move(on) => {
                self.moving =
                    *on && self.finding().is_some_and(|(_, f)| f.evidence.motion.is_some());
            }
            Intent::Filter(filter) => self.filter = *filter,
            Intent::Unfold(unfolded) => self.unfolded = *unfolded,
            Intent::Dismiss => self.problem = None,
            Intent::Help(on) => self.help = *on,
            Intent::Guide(wish) => return self.guide_act(wish),
            Intent::Shown(shown) => self.shown = (**shown).clone(),
            Intent::AlwaysFull(on) => self.always_full = *on,
            Intent::Measure(on) => self.measure = on.then(Vec::new),
            Intent::MeasureAt(point) => {
                if let Some(points) = &mut self.measure {
                    if points.len() >= 2 {
                        points.clear();
                    }
                    points.push(*point);
                }
            }
            Intent::Pin(stage) => self.pinned = stage.map(|s| s.min(self.last_stage())),
            Intent::Reserve(kind, on) => {
                if let Some(off) = self.reserves_off.get_mut(*kind) {
                    *off = !*on;
                }
            }
            Intent::Edit(edit) => match self.trying.act(edit) {
                Ok(errand) => return errand,
                Err(why) => self.problem = Some(why),
            },
        }
        None
    }

    fn go_to(&mut self, stage: usize) {
        self.stage = stage.min(self.last_stage());
        if let Some((_, f)) = self.finding()
            && !stands_at(f, self.stage)
        {
            self.moving = false;
        }
    }

    /// A finding of another stage is looked at where it begins.
    fn come_to_stage_of(&mut self, item: Option<Item>) {
        let Some(Item::Finding(i)) = item else { return };
        let Some(finding) = self.review.as_ref().and_then(|r| r.findings.get(i)) else { return };
        if !stands_at(finding, self.stage) {
            let stage = finding.from_stage;
            self.playing = false;
            self.go_to(stage);
        }
    }

    fn next_finding(&self, by: i32) -> Option<Item> {
        let listed = self.listed();
        let count = i64::try_from(listed.len()).ok().filter(|&n| n > 0)?;
        let now = match self.selection.chosen {
            Some(Item::Finding(i)) => listed.iter().position(|&l| l == i),
            _ => None,
        };
        let next = match now {
            Some(at) => (at as i64 + i64::from(by)).rem_euclid(count),
            None if by >= 0 => 0,
            None => count - 1,
        };
        Some(Item::Finding(listed[usize::try_from(next).ok()?]))
    }

    fn names_of(&self, item: Option<Item>) -> Option<Names> {
        let review = self.review.as_ref()?;
        match item? {
            Item::Member(id) => {
                review.assembly.members.get(id.index()).map(|m| Names::Member(m.name.clone()))
            }
            Item::Finding(i) => review
                .findings
                .get(i)
                .map(|f| Names::Finding(f.code.clone(), f.subjects.clone(), f.from_step.clone())),
        }
    }
}

/// What a chosen item is called, to find it again in a reloaded scene.
enum Names {
    Member(String),
    Finding(String, Vec<String>, String),
}

fn find_again(review: &Review, names: &Names) -> Option<Item> {
    match names {
        Names::Member(name) => review.assembly.find(name).map(Item::Member),
        Names::Finding(code, subjects, step) => {
            let same = |f: &Finding| f.code == *code && f.subjects == *subjects;
            let at = review.findings.iter().position(|f| same(f) && f.from_step == *step);
            at.or_else(|| review.findings.iter().position(same)).map(Item::Finding)
        }
    }
}

/// Whether a finding stands at a stage.
#[must_use]
pub fn stands_at(finding: &Finding, stage: usize) -> bool {
    (finding.from_stage..=finding.last_stage).contains(&stage)
}

/// The stage of the worst root finding; the last stage where there is nothing to fix.
#[must_use]
pub fn first_stage_to_show(review: &Review) -> usize {
    let worst = review
        .findings
        .iter()
        .filter(|f| f.root.is_none() && f.severity >= crate::findings::Severity::FixFirst)
        .max_by(|a, b| a.severity.cmp(&b.severity).then(b.from_stage.cmp(&a.from_stage)));
    let last = review.sequence.stages.len().saturating_sub(1);
    worst.map_or(last, |f| f.from_stage.min(last))
}

/// The worst of a stage, as shown.
#[must_use]
pub fn grade_of_stage(review: &Review, stage: usize) -> Option<Grade> {
    let summary = review.summaries.get(stage)?;
    let worst = summary.worst?;
    let grade = Grade::of(worst, false);
    Some(if summary.unknown { grade.max(Grade::Unknown) } else { grade })
}
