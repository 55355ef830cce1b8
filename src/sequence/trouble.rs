//! What is wrong with a step, before its place in the file is looked up.

use crate::scene::{Problem, SceneSource};
use std::ops::Range;

/// One thing wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Trouble {
    pub message: String,
    pub help: Option<String>,
}

impl Trouble {
    #[must_use]
    pub fn new(message: impl Into<String>) -> Self {
        Self { message: message.into(), help: None }
    }
    #[must_use]
    pub fn help(self, help: impl Into<String>) -> Self {
        self.help_maybe(Some(help.into()))
    }
    #[must_use]
    pub fn help_maybe(self, help: Option<String>) -> Self {
        Self { help, ..self }
    }
}

/// Where in the sequence: an entry, and an action of a step written out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct At {
    /// Position in the scene's `sequence`.
    pub item: usize,
    /// Position in the step's `do`.
    pub action: Option<usize>,
}

impl At {
    /// The entry as a whole.
    #[must_use]
    pub fn item(item: usize) -> Self {
        Self { item, action: None }
    }

    /// Path inside the document.
    #[must_use]
    pub fn path(self) -> String {
        match self.action {
            Some(action) => format!("sequence[{}].do[{action}]", self.item),
            None => format!("sequence[{}]", self.item),
        }
    }

    /// Bytes of the scene's text; empty where the text does not tell.
    #[must_use]
    pub fn bytes(self, source: &SceneSource) -> Range<usize> {
        source.range(&self.path())
    }

    /// The trouble as a problem at this place; without line and column where there is no text.
    #[must_use]
    pub fn problem(self, source: &SceneSource, trouble: Trouble) -> Problem {
        let mut problem = source.problem_at(&self.path(), trouble.message);
        if self.bytes(source).is_empty() {
            (problem.line, problem.column) = (0, 0);
        }
        problem.help = trouble.help;
        problem
    }
}
