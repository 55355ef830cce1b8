//! The text of a scene with its places.

use super::problem::Problem;
use std::ops::Range;
use std::path::PathBuf;

/// A scene's text, and where it came from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SceneSource {
    pub path: PathBuf,
    pub text: String,
}

impl SceneSource {
    /// Line and column, from 1, of a byte.
    #[must_use]
    pub fn place(&self, byte: usize) -> (usize, usize) {
        let byte = byte.min(self.text.len());
        let before = self.text.get(..byte).unwrap_or("");
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
        (line, column)
    }

    /// A problem at a range of bytes.
    #[must_use]
    pub fn problem(&self, at: &Range<usize>, message: impl Into<String>) -> Problem {
        let (line, column) = self.place(at.start);
        Problem {
            file: self.path.clone(),
            line,
            column,
            path: String::new(),
            message: message.into(),
            help: None,
        }
    }
}
