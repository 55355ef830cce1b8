//! Reads and judges scenes on a thread of their own, so that the window never waits; reads them
//! again when a file changes. A file that cannot be read leaves the last good scene on screen.

use crate::review::Review;
use crate::viewer::camera::Framing;
use crate::viewer::idle::Wake;
use crate::viewer::state::{Errand, Progress, ViewerState};
use crate::viewer::trial::{News, TryOut};
use crate::viewer::vocab::Intent;
use crate::viewer::watch::absolute;
use bevy::prelude::*;
use bevy::winit::{EventLoopProxyWrapper, WinitUserEvent};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Mutex};

/// A judged scene and the files it came from.
pub struct Judged {
    pub review: Review,
    pub files: Vec<PathBuf>,
    /// The scene's text as it was read.
    pub text: String,
}

/// Reads and judges a scene. `progress` is told stages done and of how many, and answers whether
/// to go on. The error is text for a person.
pub type JudgeFn =
    dyn Fn(&Path, &dyn Fn(usize, usize) -> bool) -> Result<Judged, String> + Send + Sync;

/// How scenes are read; tests put their own in.
#[derive(Resource, Clone)]
pub struct Judge(pub Arc<JudgeFn>);

/// Wakes the window from another thread. Without a window nothing has to be woken.
#[derive(Resource, Clone, Default)]
pub struct Bell(Option<Arc<Mutex<Ring>>>);

type Ring = Box<dyn Fn() + Send>;

impl Bell {
    pub fn ring(&self) {
        if let Some(ring) = &self.0
            && let Ok(ring) = ring.lock()
        {
            ring();
        }
    }
}

/// What a thread gives back.
pub(super) struct Answer {
    pub ticket: u64,
    pub path: PathBuf,
    pub what: What,
}

pub(super) enum What {
    Read(Box<Result<Judged, String>>),
    Tried(super::trial::Tried),
}

struct Job {
    ticket: u64,
    path: PathBuf,
    cancel: Arc<AtomicBool>,
    done: Arc<AtomicUsize>,
    total: Arc<AtomicUsize>,
}

/// What a job's thread tells of itself, and what it listens to.
pub(super) struct Line {
    pub ticket: u64,
    pub path: PathBuf,
    pub send: std::sync::mpsc::Sender<Answer>,
    pub bell: Bell,
    cancel: Arc<AtomicBool>,
    done: Arc<AtomicUsize>,
    total: Arc<AtomicUsize>,
}

impl Line {
    /// Tells how far the work is; whether to go on.
    pub fn progress(&self, now: usize, of: usize) -> bool {
        self.done.fetch_max(now, Ordering::Relaxed);
        self.total.store(of, Ordering::Relaxed);
        self.bell.ring();
        !self.cancel.load(Ordering::Relaxed)
    }

    pub fn tell(&self, what: What) {
        // The window may have closed meanwhile.
        let _ = self.send.send(Answer { ticket: self.ticket, path: self.path.clone(), what });
        self.bell.ring();
    }
}

/// Scenes being read, the file dialog being open, files being watched.
#[derive(Resource, Default)]
pub struct Desk {
    tickets: u64,
    job: Option<Job>,
    answers: Option<Mutex<Receiver<Answer>>>,
    dialog: Option<Mutex<Receiver<Option<PathBuf>>>>,
    pub(super) watch: super::watch::Watch,
    /// The folder for unsaved work on jobs that are part of the program; none: it is not kept.
    pub keeps: Option<PathBuf>,
    /// The window itself wrote the scene's file: the change that will be heard is no news.
    pub(super) wrote: bool,
}

/// Hooks the bell up once there is an event loop.
pub fn hang_bell(mut bell: ResMut<'_, Bell>, proxy: Option<Res<'_, EventLoopProxyWrapper>>) {
    if let Some(proxy) = proxy {
        let proxy = (**proxy).clone();
        let ring = move || {
            // The window is gone: nobody is left to wake.
            let _ = proxy.send_event(WinitUserEvent::WakeUp);
        };
        bell.0 = Some(Arc::new(Mutex::new(Box::new(ring))));
    }
}

/// Acts on intents: changes the state, and runs the errands that follow.
pub fn act_on_intents(
    mut state: ResMut<'_, ViewerState>,
    mut desk: ResMut<'_, Desk>,
    mut intents: MessageReader<'_, '_, Intent>,
    mut framing: MessageWriter<'_, Framing>,
    judge: Res<'_, Judge>,
    try_out: Res<'_, TryOut>,
    bell: Res<'_, Bell>,
    mut wake: ResMut<'_, Wake>,
) {
    for intent in intents.read() {
        wake.ask();
        match state.act(intent) {
            None => {}
            Some(Errand::Load(path)) => desk.start(path, &mut state, &judge, &bell),
            Some(Errand::CancelLoading) => desk.cancel(&mut state),
            Some(Errand::AskForFile) => desk.ask_for_file(&bell),
            Some(Errand::Frame(item)) => {
                framing.write(Framing::Item(item));
            }
            Some(Errand::Fit) => {
                framing.write(Framing::All);
            }
            Some(Errand::TryOut) => desk.try_out(&mut state, &try_out, &bell),
            Some(Errand::Edit(edit)) => desk.edit(&edit, &mut state, &try_out, &bell),
        }
    }
}

/// Takes in what other threads have finished.
pub fn collect(
    mut state: ResMut<'_, ViewerState>,
    mut desk: ResMut<'_, Desk>,
    mut intents: MessageWriter<'_, Intent>,
    judge: Res<'_, Judge>,
    try_out: Res<'_, TryOut>,
    bell: Res<'_, Bell>,
    mut wake: ResMut<'_, Wake>,
) {
    if let Some(path) = desk.chosen_file() {
        intents.write(Intent::Open(path));
        wake.ask();
    }
    while let Some(answer) = desk.answer() {
        wake.ask();
        // An answer to a question no longer asked.
        if desk.job.as_ref().is_none_or(|j| j.ticket != answer.ticket) {
            continue;
        }
        let read = match answer.what {
            What::Tried(tried) => {
                if tried.is_last() {
                    desk.job = None;
                    state.loading = None;
                }
                super::trial::take_in(tried, &answer.path, &mut state);
                continue;
            }
            What::Read(read) => *read,
        };
        desk.job = None;
        state.loading = None;
        match read {
            Ok(judged) => {
                desk.watch.files(&judged.files, &bell);
                state.arrived(&answer.path, Arc::new(judged.review));
                let keeps = desk.keeps.as_deref();
                state.trying.open(super::rooms::book(&answer.path, keeps, &judged.text));
            }
            Err(problem) => {
                // So that the next save is noticed even if this file was never read well.
                desk.watch.also(&answer.path, &bell);
                state.problem = Some(problem);
                state.look_at_permit();
            }
        }
    }
    if let Some(job) = &desk.job {
        let (done, total) = (job.done.load(Ordering::Relaxed), job.total.load(Ordering::Relaxed));
        let progress = Progress { path: job.path.clone(), done, total };
        if state.loading.as_ref() != Some(&progress) {
            state.loading = Some(progress);
            wake.ask();
        }
    }
    if desk.watch.settling() {
        wake.ask();
    }
    let changed = desk.watch.changed();
    if let Some(path) = changed.and_then(|files| desk.concerned(&files, &state)) {
        match desk.news(&path, &state) {
            News::None => {}
            News::Read => desk.start(path, &mut state, &judge, &bell),
            News::Judge => desk.try_out(&mut state, &try_out, &bell),
            News::Clash(clash) => state.trying.not_saved = Some(clash),
        }
        wake.ask();
    }
}

impl Desk {
    /// Which scene a change of files is of. A file that was asked for last and could not be read waits to
    /// be mended; what else changes is the scene's on screen.
    fn concerned(&self, files: &BTreeSet<PathBuf>, state: &ViewerState) -> Option<PathBuf> {
        let Some(main) = self.watch.main() else { return state.path.clone() };
        match state.path.as_ref().filter(|shown| **shown != main) {
            Some(shown) if !files.contains(&absolute(&main)) => {
                // Another scene is being read: it takes this one's place.
                self.job.is_none().then(|| shown.clone())
            }
            _ => Some(main),
        }
    }

    fn start(&mut self, path: PathBuf, state: &mut ViewerState, judge: &Judge, bell: &Bell) {
        self.watch.main_file(&path);
        state.trying.judging = false;
        let judge = judge.0.clone();
        self.work(&path, state, bell, move |line| {
            let read = std::panic::AssertUnwindSafe(|| {
                judge(&line.path, &|now, of| line.progress(now, of))
            });
            let result = std::panic::catch_unwind(read).unwrap_or_else(|_| {
                Err(format!(
                    "{}: judging it failed inside the program; please report it with the file",
                    line.path.display()
                ))
            });
            line.tell(What::Read(Box::new(result)));
        });
    }

    /// Does some work on a thread of its own, in place of what is being done.
    pub(super) fn work(
        &mut self,
        path: &Path,
        state: &mut ViewerState,
        bell: &Bell,
        work: impl FnOnce(&Line) + Send + 'static,
    ) {
        self.cancel(state);
        self.tickets += 1;
        let ticket = self.tickets;
        let cancel = Arc::new(AtomicBool::new(false));
        let (done, total) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)));
        let (send, receive) = channel();
        self.answers = Some(Mutex::new(receive));
        state.loading = Some(Progress { path: path.to_owned(), done: 0, total: 0 });
        let (path, bell) = (path.to_owned(), bell.clone());
        self.job = Some(Job {
            ticket,
            path: path.clone(),
            cancel: cancel.clone(),
            done: done.clone(),
            total: total.clone(),
        });
        let line = Line { ticket, path, send, bell, cancel, done, total };
        let spawned = std::thread::Builder::new().name("judge".into()).spawn(move || work(&line));
        if let Err(problem) = spawned {
            self.job = None;
            state.loading = None;
            state.problem = Some(format!("no thread to read the scene on: {problem}"));
        }
    }

    fn cancel(&mut self, state: &mut ViewerState) {
        if let Some(job) = self.job.take() {
            job.cancel.store(true, Ordering::Relaxed);
            state.loading = None;
            state.trying.judging = false;
        }
    }

    fn answer(&self) -> Option<Answer> {
        self.answers.as_ref()?.lock().ok()?.try_recv().ok()
    }

    fn ask_for_file(&mut self, bell: &Bell) {
        if self.dialog.is_some() {
            return;
        }
        let (send, receive) = channel();
        let bell = bell.clone();
        let work = move || {
            let picked = rfd::FileDialog::new().add_filter("Scenes", &["ron"]).pick_file();
            let _ = send.send(picked);
            bell.ring();
        };
        if std::thread::Builder::new().name("file dialog".into()).spawn(work).is_ok() {
            self.dialog = Some(Mutex::new(receive));
        }
    }

    fn chosen_file(&mut self) -> Option<PathBuf> {
        use std::sync::mpsc::TryRecvError;
        let answer = match self.dialog.as_ref()?.lock().ok()?.try_recv() {
            Err(TryRecvError::Empty) => return None,
            Err(TryRecvError::Disconnected) => None,
            Ok(answer) => answer,
        };
        self.dialog = None;
        answer
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        if let Some(job) = &self.job {
            job.cancel.store(true, Ordering::Relaxed);
        }
    }
}
