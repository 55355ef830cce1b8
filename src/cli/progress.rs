//! Progress on long work, on standard error only.

use std::io::{IsTerminal, Write};
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// Work shorter than this says nothing.
const QUIET: Duration = Duration::from_millis(500);
/// Between two lines.
const EVERY: Duration = Duration::from_millis(100);

/// Tells how far the work is. Safe to call from several threads.
pub struct Progress {
    started: Instant,
    terminal: bool,
    asked_for: bool,
    last: Mutex<Option<Instant>>,
}

impl Progress {
    /// Starts the clock. `asked_for`: show it at once and even where nobody looks at a terminal.
    #[must_use]
    pub fn new(asked_for: bool) -> Self {
        Self {
            started: Instant::now(),
            terminal: std::io::stderr().is_terminal(),
            asked_for,
            last: Mutex::new(None),
        }
    }

    /// So many stages of so many are judged.
    pub fn judged(&self, done: usize, total: usize) {
        if !self.asked_for && (!self.terminal || self.started.elapsed() < QUIET) {
            return;
        }
        let Ok(mut last) = self.last.lock() else { return };
        if done < total && last.is_some_and(|last| last.elapsed() < EVERY) {
            return;
        }
        *last = Some(Instant::now());
        let mut stderr = std::io::stderr().lock();
        // Progress that cannot be written is not worth stopping for.
        drop(if self.terminal {
            write!(stderr, "\rjudged {done} of {total} stages ")
        } else {
            writeln!(stderr, "judged {done} of {total} stages")
        });
    }

    /// Clears the line.
    pub fn done(&self) {
        let shown = self.last.lock().is_ok_and(|last| last.is_some());
        if shown && self.terminal {
            drop(write!(std::io::stderr().lock(), "\r{:40}\r", ""));
        }
    }
}
