//! Where the window gets its scenes and hazards from.

use crate::changes::{self, LaidOut};
use crate::checks::{self, Hazard};
use crate::cli::shipped;
use crate::review::{self, Review};
use crate::scene;
use crate::scene::book::Book;
use crate::viewer::loading::{Judge, Judged};
use crate::viewer::trial::TryOut;
use crate::viewer::trying;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Marks the path of a scene that is part of the program.
pub const SHIPPED: &str = "shipped:";

/// All hazards.
#[must_use]
pub fn register() -> &'static [&'static Hazard] {
    checks::REGISTER
}

/// The scenes that are part of the program, as paths.
#[must_use]
pub fn shipped_scenes() -> Vec<PathBuf> {
    shipped::SHIPPED.iter().map(|s| PathBuf::from(format!("{SHIPPED}{}", s.name))).collect()
}

/// Reads and judges as the command line does.
#[must_use]
pub fn judge() -> Judge {
    Judge(Arc::new(|path: &Path, progress: &dyn Fn(usize, usize) -> bool| {
        let text = path.to_string_lossy();
        let loaded = match text.strip_prefix(SHIPPED).and_then(shipped::find) {
            Some(shipped) => scene::read(shipped.text, path),
            None => scene::load(path),
        };
        let loaded = loaded.map_err(|p| p.to_string())?;
        let files = loaded.files.iter().map(|f| f.path.clone()).collect();
        let text = loaded.source.file_text().to_owned();
        let review = review::judge(loaded, progress).map_err(|p| p.to_string())?;
        Ok(Judged { review, files, text })
    }))
}

/// Judges a text as the command line would its file; the stage on screen first.
#[must_use]
pub fn try_out() -> TryOut {
    TryOut(Arc::new(|ask, tell, progress| {
        let loaded = scene::read(&ask.text, &ask.path).map_err(|p| p.to_string())?;
        let laid_out = changes::lay_out(loaded).map_err(|p| p.to_string())?;
        let stages = &laid_out.sequence.stages;
        let same = stages.iter().position(|s| s.step == ask.step);
        let at = same.unwrap_or_else(|| ask.stage.min(stages.len().saturating_sub(1)));
        if let Some(glance) = trying::glance(&laid_out, at) {
            tell(glance);
        }
        let LaidOut { assembly, sequence, pack, changes } = laid_out;
        let review = review::judge_laid_out(assembly, pack, sequence, progress)
            .ok_or_else(|| review::CANCELLED.to_owned())?;
        Ok(Review { changes, ..review })
    }))
}

/// The book of a scene as it was read. Unsaved work on one that is part of the program is kept in
/// the folder `keeps`.
#[must_use]
pub fn book(path: &Path, keeps: Option<&Path>, text: &str) -> Book {
    let name = path.to_string_lossy();
    match name.strip_prefix(SHIPPED) {
        Some(job) => Book::of_program(keeps.map(|k| k.join(format!("{job}.unsaved"))), text),
        None => Book::new(Some(path.to_owned()), text),
    }
}

/// The file of a scene; none for one that is part of the program.
#[must_use]
pub fn file_of(path: &Path) -> Option<PathBuf> {
    (!path.to_string_lossy().starts_with(SHIPPED)).then(|| path.to_owned())
}
