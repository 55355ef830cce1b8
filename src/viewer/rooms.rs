//! Where the window gets its scenes and hazards from.

use crate::checks::{self, Hazard};
use crate::cli::shipped;
use crate::viewer::loading::{Judge, Judged};
use crate::{review, scene};
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
        let review = review::judge(loaded, progress).map_err(|p| p.to_string())?;
        Ok(Judged { review, files })
    }))
}
