//! Notices when a scene's files change on disk.

use crate::viewer::loading::Bell;
use notify::{RecommendedWatcher, RecursiveMode, Watcher};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// An editor writes a file in several goes: wait until it has been quiet for so long.
const QUIET: Duration = Duration::from_millis(120);

type Heard = (Instant, BTreeSet<PathBuf>);

/// Watches the folders of the files, since editors replace files rather than write into them.
#[derive(Default)]
pub struct Watch {
    watcher: Option<RecommendedWatcher>,
    folders: BTreeSet<PathBuf>,
    files: Arc<Mutex<BTreeSet<PathBuf>>>,
    /// When a change was heard last, and of which files since it was told.
    last: Arc<Mutex<Option<Heard>>>,
    main: Option<PathBuf>,
}

impl Watch {
    /// The scene that is read again when any of its files changes.
    pub fn main_file(&mut self, path: &Path) {
        self.main = Some(path.to_owned());
        if let Ok(mut last) = self.last.lock() {
            *last = None;
        }
    }

    #[must_use]
    pub fn main(&self) -> Option<PathBuf> {
        self.main.clone()
    }

    /// Watches these files and no others.
    pub fn files(&mut self, files: &[PathBuf], bell: &Bell) {
        let full: BTreeSet<PathBuf> = files.iter().chain(&self.main).map(|f| absolute(f)).collect();
        if let Ok(mut there) = self.files.lock() {
            *there = full.clone();
        }
        self.watch_folders(&full, bell);
    }

    /// Watches one more file.
    pub fn also(&mut self, file: &Path, bell: &Bell) {
        let mut all = self.files.lock().map(|f| f.clone()).unwrap_or_default();
        all.insert(absolute(file));
        if let Ok(mut there) = self.files.lock() {
            *there = all.clone();
        }
        self.watch_folders(&all, bell);
    }

    fn watch_folders(&mut self, files: &BTreeSet<PathBuf>, bell: &Bell) {
        if self.watcher.is_none() {
            let (files, last, bell) = (self.files.clone(), self.last.clone(), bell.clone());
            let heard = move |event: notify::Result<notify::Event>| {
                let Ok(event) = event else { return };
                if event.kind.is_access() {
                    return;
                }
                let Ok(files) = files.lock() else { return };
                let ours: Vec<PathBuf> =
                    event.paths.into_iter().filter(|p| files.contains(p)).collect();
                drop(files);
                if !ours.is_empty() {
                    if let Ok(mut last) = last.lock() {
                        let mut all = last.take().map(|(_, all)| all).unwrap_or_default();
                        all.extend(ours);
                        *last = Some((Instant::now(), all));
                    }
                    bell.ring();
                }
            };
            // Without a watcher the program works on; the reload key remains.
            self.watcher = notify::recommended_watcher(heard).ok();
        }
        let Some(watcher) = &mut self.watcher else { return };
        let wanted: BTreeSet<PathBuf> =
            files.iter().filter_map(|f| f.parent().map(Path::to_owned)).collect();
        for gone in self.folders.difference(&wanted) {
            let _ = watcher.unwatch(gone);
        }
        let mut watched = BTreeSet::new();
        for folder in &wanted {
            let known = self.folders.contains(folder);
            if known || watcher.watch(folder, RecursiveMode::NonRecursive).is_ok() {
                watched.insert(folder.clone());
            }
        }
        self.folders = watched;
    }

    /// A change was heard and the quiet after it is not over.
    #[must_use]
    pub fn settling(&self) -> bool {
        self.last.lock().is_ok_and(|l| l.is_some())
    }

    /// The files that changed, once after each change, when it has been quiet for a moment.
    pub fn changed(&mut self) -> Option<BTreeSet<PathBuf>> {
        let mut last = self.last.lock().ok()?;
        let settled = last.as_ref().is_some_and(|(at, _)| at.elapsed() >= QUIET);
        last.take_if(|_| settled).map(|(_, files)| files)
    }
}

/// A path as the system names it; of a file that is not there its folder's.
pub(super) fn absolute(path: &Path) -> PathBuf {
    std::fs::canonicalize(path)
        .or_else(|_| std::path::absolute(path))
        .unwrap_or_else(|_| path.to_owned())
}
