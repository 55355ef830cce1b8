//! Looks out for changes of the files that a walk or a permit rests on.
//!
//! A thread of its own holds their sizes and times against those it saw before, once a second, and only
//! while a walk or a permit is on. It wakes the window when something is otherwise and never else: at
//! rest nothing is drawn. It looks by itself and is not told by the system, since folders of a network
//! or of a synchronising program tell nothing.
//!
//! Known to work by `tests/viewer/lookout.rs`: a record changed by another program voids the permit on
//! screen without a click, and until then no frame is asked for.

use super::Mode;
use crate::record;
use crate::viewer::idle::Wake;
use crate::viewer::loading::Bell;
use crate::viewer::state::ViewerState;
use bevy::prelude::*;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::{Duration, SystemTime};

/// How often it looks.
const EVERY: Duration = Duration::from_secs(1);

/// What tells one state of a file from another; none: there is no such file.
type Stamp = Option<(u64, Option<SystemTime>)>;

fn stamp(path: &Path) -> Stamp {
    let there = std::fs::metadata(path).ok()?;
    Some((there.len(), there.modified().ok()))
}

#[derive(Default)]
struct Shared {
    files: Vec<(PathBuf, Stamp)>,
    /// Counts the lists, so that an old list's stamps are not held against a new one.
    round: u64,
    news: BTreeSet<PathBuf>,
    over: bool,
}

/// The thread's other end.
#[derive(Resource, Default)]
pub struct Lookout {
    shared: Option<Arc<(Mutex<Shared>, Condvar)>>,
    wanted: BTreeSet<PathBuf>,
}

impl Lookout {
    /// Looks out for these files and no others. Stamps of those already looked at are kept: a change
    /// between two lists is not lost.
    fn watch(&mut self, files: BTreeSet<PathBuf>, bell: &Bell) {
        if files == self.wanted {
            return;
        }
        self.wanted = files;
        let shared = self.shared.get_or_insert_with(|| {
            let shared = Arc::new((Mutex::new(Shared::default()), Condvar::new()));
            let (theirs, bell) = (shared.clone(), bell.clone());
            // Without the thread the button that looks again remains.
            let _ = std::thread::Builder::new()
                .name("lookout".into())
                .spawn(move || look(&theirs, &bell));
            shared
        });
        let (lock, turn) = &**shared;
        let mut there = lock.lock().unwrap_or_else(PoisonError::into_inner);
        let known = std::mem::take(&mut there.files);
        let before = |path: &PathBuf| known.iter().find(|(p, _)| p == path).map(|(_, s)| *s);
        there.files = self
            .wanted
            .iter()
            .map(|path| (path.clone(), before(path).unwrap_or_else(|| stamp(path))))
            .collect();
        there.round += 1;
        turn.notify_all();
    }

    /// Files that are not as they were, each told once.
    fn news(&self) -> BTreeSet<PathBuf> {
        let Some(shared) = &self.shared else { return BTreeSet::new() };
        let mut there = shared.0.lock().unwrap_or_else(PoisonError::into_inner);
        let news = std::mem::take(&mut there.news);
        news.into_iter().filter(|path| self.wanted.contains(path)).collect()
    }
}

impl Drop for Lookout {
    fn drop(&mut self) {
        if let Some(shared) = &self.shared {
            shared.0.lock().unwrap_or_else(PoisonError::into_inner).over = true;
            shared.1.notify_all();
        }
    }
}

/// The thread's work.
fn look(shared: &(Mutex<Shared>, Condvar), bell: &Bell) {
    let (lock, turn) = shared;
    let mut there = lock.lock().unwrap_or_else(PoisonError::into_inner);
    loop {
        if there.over {
            return;
        }
        if there.files.is_empty() {
            there = turn.wait(there).unwrap_or_else(PoisonError::into_inner);
            continue;
        }
        let (round, files) = (there.round, there.files.clone());
        // A slow folder must not keep the window waiting.
        drop(there);
        let now: Vec<Stamp> = files.iter().map(|(path, _)| stamp(path)).collect();
        there = lock.lock().unwrap_or_else(PoisonError::into_inner);
        if there.round != round {
            continue;
        }
        let mut any = false;
        let Shared { files, news, .. } = &mut *there;
        for ((path, before), now) in files.iter_mut().zip(now) {
            if *before != now {
                *before = now;
                news.insert(path.clone());
                any = true;
            }
        }
        if any {
            bell.ring();
        }
        there = turn.wait_timeout(there, EVERY).unwrap_or_else(PoisonError::into_inner).0;
    }
}

/// Looks out for what the walk or the permit on screen rests on, and tells the state of changes.
pub fn follow(
    mut state: ResMut<'_, ViewerState>,
    mut lookout: ResMut<'_, Lookout>,
    bell: Res<'_, Bell>,
    mut wake: ResMut<'_, Wake>,
) {
    if state.is_changed() {
        let files = state.rests_on();
        // Not through `ResMut` where nothing changes.
        if files != lookout.wanted {
            lookout.watch(files, &bell);
        }
    }
    if lookout.wanted.is_empty() {
        return;
    }
    let news = lookout.news();
    if !news.is_empty() {
        state.changed_on_disk(&news);
        wake.ask();
    }
}

impl ViewerState {
    /// Files that the walk or the permit on screen rests on; nothing where neither is.
    #[must_use]
    pub fn rests_on(&self) -> BTreeSet<PathBuf> {
        let mut out = BTreeSet::new();
        let Some(scene) = self.scene_file() else { return out };
        let record = record::path_beside(&scene);
        match &self.guide.mode {
            Mode::Off | Mode::Teach(_) => return out,
            Mode::Walk(walking) => {
                let typed = self.guide.fields.photo.trim();
                let photos = walking.record.walked.iter().map(|w| w.photo.as_str()).chain([typed]);
                let photos = photos.filter(|p| !p.trim().is_empty());
                out.extend(photos.map(|photo| record::photo_path(&record, photo)));
            }
            Mode::Permit(signing) => {
                let folder = scene.parent().unwrap_or(Path::new(""));
                let lying = signing.lying.as_ref();
                out.extend(lying.map(|l| l.path.clone()));
                let permits = signing.permit.iter().chain(lying.map(|l| &l.permit));
                let files = permits.flat_map(|p| p.files.iter().chain(&p.pictures));
                let own = files.filter(|f| !f.path.starts_with("shipped:"));
                out.extend(own.map(|f| folder.join(&f.path)));
                let missing = signing.missing_photos.iter();
                out.extend(missing.map(|m| record::photo_path(&record, &m.photo)));
            }
        }
        out.insert(record);
        out.insert(scene);
        out
    }
}
