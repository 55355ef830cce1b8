//! Reads and judges scenes on a thread of their own, so that the window never waits; reads them
//! again when a file changes. A file that cannot be read leaves the last good scene on screen.

use crate::review::Review;
use crate::viewer::camera::Framing;
use crate::viewer::idle::Wake;
use crate::viewer::state::{Errand, Progress, ViewerState};
use crate::viewer::vocab::Intent;
use bevy::prelude::*;
use bevy::winit::{EventLoopProxyWrapper, WinitUserEvent};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::sync::{Arc, Mutex};

/// A judged scene and the files it came from.
pub struct Judged {
    pub review: Review,
    pub files: Vec<PathBuf>,
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

/// What one reading gives back.
struct Answer {
    ticket: u64,
    path: PathBuf,
    result: Result<Judged, String>,
}

struct Job {
    ticket: u64,
    path: PathBuf,
    cancel: Arc<AtomicBool>,
    done: Arc<AtomicUsize>,
    total: Arc<AtomicUsize>,
}

/// Scenes being read, the file dialog being open, files being watched.
#[derive(Resource, Default)]
pub struct Desk {
    tickets: u64,
    job: Option<Job>,
    answers: Option<Mutex<Receiver<Answer>>>,
    dialog: Option<Mutex<Receiver<Option<PathBuf>>>>,
    watch: super::watch::Watch,
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
        }
    }
}

/// Takes in what other threads have finished.
pub fn collect(
    mut state: ResMut<'_, ViewerState>,
    mut desk: ResMut<'_, Desk>,
    mut intents: MessageWriter<'_, Intent>,
    judge: Res<'_, Judge>,
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
        desk.job = None;
        state.loading = None;
        match answer.result {
            Ok(judged) => {
                desk.watch.files(&judged.files, &bell);
                state.arrived(&answer.path, Arc::new(judged.review));
            }
            Err(problem) => {
                // So that the next save is noticed even if this file was never read well.
                desk.watch.also(&answer.path, &bell);
                state.problem = Some(problem);
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
    if desk.watch.changed()
        && let Some(path) = desk.watch.main().or_else(|| state.path.clone())
    {
        desk.start(path, &mut state, &judge, &bell);
        wake.ask();
    }
}

impl Desk {
    fn start(&mut self, path: PathBuf, state: &mut ViewerState, judge: &Judge, bell: &Bell) {
        self.cancel(state);
        self.tickets += 1;
        let ticket = self.tickets;
        let cancel = Arc::new(AtomicBool::new(false));
        let (done, total) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)));
        let (send, receive) = channel();
        self.answers = Some(Mutex::new(receive));
        self.watch.main_file(&path);
        state.loading = Some(Progress { path: path.clone(), done: 0, total: 0 });
        self.job = Some(Job {
            ticket,
            path: path.clone(),
            cancel: cancel.clone(),
            done: done.clone(),
            total: total.clone(),
        });
        let (judge, bell) = (judge.0.clone(), bell.clone());
        let work = move || {
            let ring = bell.clone();
            let progress = move |now: usize, of: usize| {
                done.fetch_max(now, Ordering::Relaxed);
                total.store(of, Ordering::Relaxed);
                ring.ring();
                !cancel.load(Ordering::Relaxed)
            };
            let read = std::panic::AssertUnwindSafe(|| judge(&path, &progress));
            let result = std::panic::catch_unwind(read).unwrap_or_else(|_| {
                Err(format!(
                    "{}: judging it failed inside the program; please report it with the file",
                    path.display()
                ))
            });
            // The window may have closed meanwhile.
            let _ = send.send(Answer { ticket, path: path.clone(), result });
            bell.ring();
        };
        let spawned = std::thread::Builder::new().name("judge".into()).spawn(work);
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
