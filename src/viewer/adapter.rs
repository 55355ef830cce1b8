//! No graphics adapter and no display are told in a sentence, not in a dump.

use crate::scene::book::Book;
use crate::viewer::state::ViewerState;
use bevy::log::{Level, LogPlugin};
use bevy::prelude::{AppExit, Resource, World};
use bevy::render::error_handler::{RenderError, RenderErrorPolicy};
use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook, take_hook};
use std::sync::{Arc, Mutex, PoisonError};

/// Why nothing can be drawn here.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CannotDraw {
    #[error(
        "no graphics adapter was found; on a Debian-like system `apt-get install \
         mesa-vulkan-drivers` brings one made of software. `standwell check` needs none"
    )]
    NoAdapter,
    #[error("the display cannot be reached ({0}); `standwell check` needs none")]
    NoDisplay(String),
    #[error("drawing could not be started: {0}")]
    Other(String),
    #[error(
        "the graphics adapter stopped drawing ({0}), so the window was closed. What was not saved \
         is kept and offered again when the scene is opened next"
    )]
    Lost(String),
}

/// What the window ended of, if it did not end because somebody closed it.
#[derive(Resource, Clone, Default)]
pub struct End(Arc<Mutex<Option<CannotDraw>>>);

impl End {
    #[must_use]
    pub fn taken(&self) -> Option<CannotDraw> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).take()
    }
}

/// An adapter that is lost, or out of memory, ends the window: work that is not saved is kept
/// first, and why it ended is kept for [`End`].
pub fn on_error(error: &RenderError, main: &mut World, _: &mut World) -> RenderErrorPolicy {
    let first = error.description.lines().next().unwrap_or_default().trim().to_owned();
    stop(main, if first.is_empty() { format!("{:?}", error.ty) } else { first });
    RenderErrorPolicy::StopRendering
}

/// Keeps what is not saved and asks the program to end.
pub fn stop(main: &mut World, why: String) {
    let kept = main.get_resource::<ViewerState>().and_then(|s| s.trying.book.as_ref());
    // Where it cannot be kept either, there is nothing left to be done: the message says why.
    let why = match kept.filter(|book| book.is_unsaved()).map(Book::keep) {
        Some(Err(error)) => format!("{why}; unsaved work could not be kept: {error}"),
        _ => why,
    };
    if let Some(end) = main.get_resource::<End>() {
        let mut end = end.0.lock().unwrap_or_else(PoisonError::into_inner);
        end.get_or_insert(CannotDraw::Lost(why));
    }
    main.write_message(AppExit::error());
}

/// Runs what starts drawing. Bevy and winit panic where there is no adapter or no display; that
/// becomes an error, and nothing is printed.
///
/// # Errors
/// What the panic said.
pub fn guarded<T>(start: impl FnOnce() -> T) -> Result<T, CannotDraw> {
    // The hook belongs to the whole process: one at a time.
    static HOOK: Mutex<()> = Mutex::new(());
    let _one = HOOK.lock().unwrap_or_else(PoisonError::into_inner);
    let usual = take_hook();
    set_hook(Box::new(|_| {}));
    let started = catch_unwind(AssertUnwindSafe(start));
    set_hook(usual);
    started.map_err(|panic| why(&words(&*panic)))
}

fn words(panic: &(dyn Any + Send)) -> String {
    let text = panic.downcast_ref::<String>().cloned();
    text.or_else(|| panic.downcast_ref::<&str>().map(|s| (*s).to_owned())).unwrap_or_default()
}

fn why(words: &str) -> CannotDraw {
    let first = words.lines().next().unwrap_or("").to_owned();
    if words.contains("find a GPU") {
        CannotDraw::NoAdapter
    } else if words.contains("event loop") || words.contains("display") {
        CannotDraw::NoDisplay(first)
    } else {
        CannotDraw::Other(first)
    }
}

/// A log that speaks up only where something is wrong. `RUST_LOG` asks for more.
#[must_use]
pub fn quiet_log() -> LogPlugin {
    LogPlugin {
        level: Level::WARN,
        filter: "wgpu=error,naga=warn,winit=error,bevy_egui=error,bevy_render::renderer=error"
            .to_owned(),
        ..Default::default()
    }
}
