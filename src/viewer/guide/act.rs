//! What a wish changes. Files are read and written here and nowhere else in the guide.

use super::{Fields, Mode, Teaching, Walking, Wish};
use crate::lessons::{self, Answer, Card, Opened, Phase, Replay, ResultLine, Session};
use crate::permit::{Asked, window};
use crate::record::model::{Record, Walked};
use crate::record::{self, Date, Entry, PermitKind};
use crate::review::Review;
use crate::scene::FileStamp;
use crate::viewer::rooms::SHIPPED;
use crate::viewer::state::{Errand, ViewerState};
use crate::viewer::vocab::Item;
use crate::walk::{self, StationKind};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Arc;

impl ViewerState {
    /// Acts on a wish.
    pub fn guide_act(&mut self, wish: &Wish) -> Option<Errand> {
        if !matches!(wish, Wish::Tick(_)) {
            self.guide.problem = None;
        }
        if !matches!(wish, Wish::Tick(_) | Wish::Fields(_)) {
            self.guide.news = None;
        }
        match wish {
            Wish::Fields(fields) => {
                self.guide.fields = fields.clone();
                self.look_for_photo();
            }
            Wish::Leave => return self.leave(),
            Wish::Lesson(name) => return self.begin_lesson(name),
            Wish::LessonHere => return self.begin_here(),
            Wish::Walk => return self.begin_walk(),
            Wish::Permit(kind) => {
                self.leave();
                self.begin_permit(*kind);
                return Some(Errand::Fit);
            }
            Wish::Draft if self.keeps_permit() => self.look_at_permit(),
            Wish::Draft => self.draft_anew(),
            Wish::Issue if self.guide.has_window => self.guide.picture_due = true,
            Wish::Issue => self.issue(None),
            // It comes too late where the permit was left meanwhile.
            Wish::IssueWith(picture) => {
                if std::mem::take(&mut self.guide.picture_due) {
                    self.issue(picture.as_deref().map(Vec::as_slice));
                }
            }
            Wish::VoidSheet => self.write_void(),
            Wish::Seen(in_order) => self.seen(*in_order),
            Wish::Next => return self.turn(1),
            Wish::Back => return self.turn(-1),
            Wish::Mark(id) => {
                let name = self.review.as_ref().map(|r| r.assembly.name(*id).to_owned())?;
                if let Mode::Teach(t) = &mut self.guide.mode
                    && matches!(t.session.card(), Some(Card::Mark { .. }))
                    && t.session.told.is_none()
                    && !t.marks.remove(&name)
                {
                    t.marks.insert(name);
                }
            }
            Wish::AnswerMarks => {
                let marks = match &self.guide.mode {
                    Mode::Teach(t) => t.marks.iter().cloned().collect(),
                    _ => return None,
                };
                self.answer(&Answer::Marks(marks));
            }
            Wish::GoOn(on) => self.answer(&Answer::GoOn(*on)),
            Wish::Pick(index) => self.answer(&Answer::Choice(*index)),
            Wish::Replay(on) => return self.replay(*on),
            Wish::Tick(seconds) => self.tick(*seconds),
            Wish::Export => self.export(),
        }
        None
    }

    /// A scene that was read. A lesson is not interrupted: what came waits behind it.
    pub fn arrived(&mut self, path: &Path, review: Arc<Review>) {
        let same = self.path.as_deref() == Some(path);
        let kept = self.keeps_permit();
        match &mut self.guide.mode {
            Mode::Teach(teaching) => teaching.before = Some((path.to_owned(), review, 0)),
            Mode::Permit(_) if same && kept => {
                self.show(path, review);
                self.look_at_permit();
            }
            Mode::Permit(_) if same => {
                self.show(path, review);
                self.draft_again("The scene was read again");
            }
            Mode::Walk(_) if same => {
                self.show(path, review);
                self.walk_again("The scene was read again");
            }
            Mode::Walk(_) | Mode::Permit(_) => {
                // Stations and drafts of what is no longer on screen would mislead.
                self.guide.mode = Mode::Off;
                self.show(path, review);
            }
            Mode::Off => self.show(path, review),
        }
    }

    pub(super) fn trouble(&mut self, what: impl std::fmt::Display) {
        self.guide.problem = Some(what.to_string());
    }

    /// Puts back what was on screen before a lesson.
    fn leave(&mut self) -> Option<Errand> {
        let mode = std::mem::take(&mut self.guide.mode);
        self.guide.picture_due = false;
        self.moving = false;
        if let Mode::Teach(teaching) = mode
            && let Some((path, review, stage)) = teaching.before
        {
            self.show(&path, review);
            self.stage = stage.min(self.last_stage());
            return Some(Errand::Fit);
        }
        None
    }

    fn before(&self) -> Option<(PathBuf, Arc<Review>, usize)> {
        Some((self.path.clone()?, self.review.clone()?, self.stage))
    }

    fn begin_lesson(&mut self, name: &str) -> Option<Errand> {
        self.leave();
        let Some(lesson) = lessons::find(name) else {
            self.trouble(format!("there is no lesson \"{name}\""));
            return None;
        };
        // Two scenes of a dozen posts: judged before anybody could notice.
        let path = PathBuf::from(format!("{SHIPPED}{name}"));
        match lessons::open(lesson.text, &path, &|_, _| true) {
            Ok(opened) => self.teach(opened, &path),
            Err(problems) => {
                self.trouble(problems);
                None
            }
        }
    }

    fn begin_here(&mut self) -> Option<Errand> {
        self.leave();
        let (path, review, _) = self.before()?;
        let name = crate::viewer::panels::top::name_of(&path);
        let lesson = lessons::made_from(&review, &name);
        let bytes = std::fs::read(&path).unwrap_or_default();
        let opened = Opened { lesson, review, right: None, scene: FileStamp::new(&path, &bytes) };
        self.teach(opened, &path)
    }

    fn teach(&mut self, opened: Opened, path: &Path) -> Option<Errand> {
        let before = self.before();
        let review = opened.review.clone();
        let session = Session::new(opened, self.guide.fields.trainee.clone());
        let teaching = Teaching { session, marks: BTreeSet::new(), replay: None, before };
        self.guide.mode = Mode::Teach(Box::new(teaching));
        self.show(path, review);
        self.show_card();
        Some(Errand::Fit)
    }

    /// The stage of the card, with nothing chosen.
    fn show_card(&mut self) {
        let Mode::Teach(t) = &mut self.guide.mode else { return };
        t.marks.clear();
        t.replay = None;
        let (stage, review) = (t.session.stage(), t.session.opened.review.clone());
        self.moving = false;
        self.selection.chosen = None;
        self.swap(review, stage);
    }

    /// Shows a stage of the lesson's scene, or of the one done right.
    fn swap(&mut self, review: Arc<Review>, stage: usize) {
        let same = self.review.as_ref().is_some_and(|r| Arc::ptr_eq(r, &review));
        if !same {
            let path = self.path.clone().unwrap_or_default();
            self.show(&path, review);
        }
        self.stage = stage.min(self.last_stage());
    }

    fn turn(&mut self, by: i32) -> Option<Errand> {
        match &mut self.guide.mode {
            Mode::Teach(t) => {
                if by > 0 {
                    t.session.next();
                } else {
                    t.session.back();
                }
                self.show_card();
                None
            }
            Mode::Walk(w) => {
                let last = w.walk.stations.len().saturating_sub(1);
                w.at = w.at.saturating_add_signed(by as isize).min(last);
                self.guide.fields.note.clear();
                self.guide.fields.photo.clear();
                self.guide.photo = None;
                self.go_to_station()
            }
            Mode::Off | Mode::Permit(_) => None,
        }
    }

    fn answer(&mut self, answer: &Answer) {
        let trainee = self.guide.fields.trainee.clone();
        let Mode::Teach(t) = &mut self.guide.mode else { return };
        t.session.trainee = trainee;
        let before = t.session.results.len();
        let finding = t
            .session
            .answer(answer, Date::today())
            .and_then(|told| told.score.missed.first().or(told.score.seen.first()))
            .map(|fault| fault.finding);
        let fresh: Vec<ResultLine> = t.session.results.iter().skip(before).cloned().collect();
        // The reason in the picture: the fault that was missed, or the one that was seen.
        self.selection.chosen = finding.map(Item::Finding);
        self.put_down(&fresh);
    }

    /// Keeps answers in the results' file.
    fn put_down(&mut self, lines: &[ResultLine]) {
        let Some(path) = self.guide.results.clone() else { return };
        let folder = path.parent().map_or(Ok(()), std::fs::create_dir_all);
        let done = folder.and_then(|()| lines.iter().try_for_each(|l| lessons::append(&path, l)));
        if let Err(error) = done {
            self.trouble(format!("{}: the answer is not kept: {error}", path.display()));
        }
    }

    fn export(&mut self) {
        let Some(path) = self.guide.results.clone() else { return };
        let to = path.with_extension("csv");
        let done = std::fs::read_to_string(&path).and_then(|text| {
            let table = lessons::csv(&lessons::parse(&text).0);
            std::fs::write(&to, table)
        });
        match done {
            Ok(()) => self.guide.exported = Some(to),
            Err(error) => self.trouble(format!("{}: not written: {error}", to.display())),
        }
    }

    fn replay(&mut self, on: bool) -> Option<Errand> {
        let stage = match &self.guide.mode {
            Mode::Teach(t) => t.session.stage(),
            _ => return None,
        };
        let Mode::Teach(t) = &mut self.guide.mode else { return None };
        let review = t.session.opened.review.clone();
        t.replay = on.then(|| {
            let still = Replay { finding: usize::MAX, stage, members: Vec::new(), tallest: 0.0 };
            (Replay::at_stage(&review, stage).unwrap_or(still), 0.0)
        });
        let finding =
            t.replay.as_ref().map(|(r, _)| r.finding).filter(|i| *i < review.findings.len());
        self.swap(review, stage);
        self.selection.chosen = finding.map(Item::Finding);
        self.moving = finding.is_some();
        None
    }

    /// Time goes by in a replay.
    fn tick(&mut self, seconds: f64) {
        let Mode::Teach(t) = &mut self.guide.mode else { return };
        let Some((_, clock)) = &mut t.replay else { return };
        let before = Replay::shown(*clock).phase;
        *clock += seconds.clamp(0.0, 0.1);
        let now = Replay::shown(*clock).phase;
        if before == now || now != Phase::Right {
            return;
        }
        let Some(Card::Replay { right_at, .. }) = t.session.card() else { return };
        let Some(right) = t.session.opened.right.clone() else { return };
        let stage = right.sequence.stages.iter().position(|s| &s.step == right_at);
        self.moving = false;
        self.selection.chosen = None;
        self.swap(right, stage.unwrap_or(0));
    }

    /// The scene's own file; a scene that comes with the program has its record in the working folder.
    pub(super) fn scene_file(&self) -> Option<PathBuf> {
        let path = self.path.as_ref()?;
        let text = path.to_string_lossy();
        Some(match text.strip_prefix(SHIPPED) {
            Some(name) => PathBuf::from(format!("{name}.ron")),
            None => path.clone(),
        })
    }

    fn begin_walk(&mut self) -> Option<Errand> {
        self.leave();
        let (review, scene) = (self.review.clone()?, self.scene_file()?);
        let path = record::path_beside(&scene);
        let (mut kept, mut known) = (Record::default(), None);
        if path.exists() {
            match record::load(&path, &review.assembly) {
                Ok(loaded) => {
                    kept = loaded.record;
                    known = Some(loaded.source.file_text().to_owned());
                }
                Err(problems) => {
                    // No panel of the guide is on that could say so.
                    self.problem = Some(problems.to_string());
                    return None;
                }
            }
        }
        let kind = PermitKind::Load;
        let last = review.sequence.stages.len().saturating_sub(1);
        let span =
            window(&review, kind, &Asked::default()).map_or((last, last), |w| (w.from, w.until));
        let walk = walk::walk(&review, &kept, kind, span);
        let missing_photos = record::missing_photos(&kept, &path);
        let walking = Walking { walk, at: 0, kind, record: kept, path, known, missing_photos };
        self.guide.mode = Mode::Walk(Box::new(walking));
        self.go_to_station()
    }

    pub(super) fn go_to_station(&mut self) -> Option<Errand> {
        let review = self.review.clone()?;
        let Mode::Walk(w) = &self.guide.mode else { return None };
        let station = w.walk.stations.get(w.at)?;
        self.stage = station.stage.min(self.last_stage());
        let item = match station.kind {
            StationKind::Finding => {
                let same = |f: &crate::findings::Finding| {
                    let first = f.subjects.first().map_or("", String::as_str);
                    format!("{}@{}:{first}", f.code, f.from_step) == station.id
                };
                review.findings.iter().position(same).map(Item::Finding)
            }
            _ => {
                let first = station.members.first().and_then(|name| review.assembly.find(name));
                first.map(Item::Member)
            }
        };
        self.moving = false;
        self.selection.chosen = item;
        Some(item.map_or(Errand::Fit, Errand::Frame))
    }

    fn seen(&mut self, in_order: bool) {
        let Fields { by, note, photo, .. } = self.guide.fields.clone();
        let Some(review) = self.review.clone() else { return };
        let Mode::Walk(w) = &mut self.guide.mode else { return };
        let Some(station) = w.walk.stations.get(w.at) else { return };
        let Some(on) = Date::today().filter(|_| !by.trim().is_empty()) else {
            self.trouble("an entry counts only with a person's name and a day");
            return;
        };
        let walked = Walked { station: station.id.clone(), by, on, in_order, note, photo };
        match record::add_to_file(&w.path, w.known.as_deref(), &Entry::Walked(walked.clone())) {
            Ok(text) => {
                w.known = Some(text);
                w.record.walked.push(walked);
                let span = (w.walk.stage, w.walk.until);
                w.walk = walk::walk(&review, &w.record, w.kind, span);
                w.missing_photos = record::missing_photos(&w.record, &w.path);
            }
            Err(error) => self.trouble(error),
        }
    }
}
