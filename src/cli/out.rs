//! Standard output: locked, buffered, and at peace with a reader that stops reading.

use crate::report::Style;
use std::io::{self, BufWriter, ErrorKind, IsTerminal, StdoutLock, Write};

/// Where results go. When the reader is gone the rest is dropped without an error, so that
/// `standwell check … | head` keeps the exit status of what was judged.
pub struct Out {
    writer: BufWriter<StdoutLock<'static>>,
    reader_gone: bool,
    style: Style,
}

impl Out {
    /// Takes hold of standard output.
    #[must_use]
    pub fn new() -> Self {
        let stdout = io::stdout();
        let colour = stdout.is_terminal() && colour_welcome();
        Self {
            writer: BufWriter::new(stdout.lock()),
            reader_gone: false,
            style: if colour { Style::colour() } else { Style::plain() },
        }
    }

    /// How to mark text up for this output.
    #[must_use]
    pub fn style(&self) -> Style {
        self.style
    }

    /// Writes out what is buffered.
    pub fn finish(&mut self) -> io::Result<()> {
        self.flush()
    }

    fn forgive<T>(&mut self, result: io::Result<T>, instead: T) -> io::Result<T> {
        match result {
            Err(error) if error.kind() == ErrorKind::BrokenPipe => {
                self.reader_gone = true;
                Ok(instead)
            }
            other => other,
        }
    }
}

/// <https://no-color.org>: any value but the empty one turns colour off.
fn colour_welcome() -> bool {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|value| value == "dumb");
    !refused && !dumb
}

impl Write for Out {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.reader_gone {
            return Ok(bytes.len());
        }
        let written = self.writer.write(bytes);
        self.forgive(written, bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        if self.reader_gone {
            return Ok(());
        }
        let flushed = self.writer.flush();
        self.forgive(flushed, ())
    }
}
