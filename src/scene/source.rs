//! The text of a scene with its places.

use super::patch::{self, Patch, Shifts};
use super::problem::Problem;
use super::tree::{NodeId, SyntaxError, Tree};
use std::ops::Range;
use std::path::PathBuf;
use std::sync::Arc;

/// A document's text, its tree, and where it came from.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SceneSource {
    pub path: PathBuf,
    /// The text in the present format. It is the file's own text unless that is in an older one.
    pub text: String,
    /// The text's tree.
    pub tree: Arc<Tree>,
    /// The file's own text where it is in an older format, and the way back to its places.
    older: Option<Older>,
}

#[derive(Clone, Debug, Default, PartialEq)]
struct Older {
    text: String,
    shifts: Vec<Shifts>,
}

impl SceneSource {
    /// Reads the text into its tree.
    ///
    /// # Errors
    /// A problem with line and column where the text is not RON.
    pub fn new(path: impl Into<PathBuf>, text: impl Into<String>) -> Result<Self, Problem> {
        let mut source =
            Self { path: path.into(), text: text.into(), tree: Arc::default(), older: None };
        match super::tree::parse(&source.text) {
            Ok(tree) => source.tree = Arc::new(tree),
            Err(error) => return Err(source.syntax(&error)),
        }
        Ok(source)
    }

    fn syntax(&self, error: &SyntaxError) -> Problem {
        Problem { help: error.help.clone(), ..self.problem(&error.at, error.message.clone()) }
    }

    /// Puts patches into the text, as a step from an older format to the next. Places keep
    /// meaning the file's.
    ///
    /// # Errors
    /// Where the text is no longer RON, which would be a mistake in the step.
    pub fn step_up(&mut self, patches: &[Patch]) -> Result<(), Problem> {
        let wrong = |s: &Self| s.problem(&(0..0), "the step up from an older format failed");
        let (text, shifts) = patch::apply(&self.text, patches).ok_or_else(|| wrong(self))?;
        let tree = super::tree::parse(&text).map_err(|_| wrong(self))?;
        let older = std::mem::replace(&mut self.text, text);
        self.tree = Arc::new(tree);
        self.older
            .get_or_insert_with(|| Older { text: older, shifts: Vec::new() })
            .shifts
            .push(shifts);
        Ok(())
    }

    /// The text as it is in the file.
    #[must_use]
    pub fn file_text(&self) -> &str {
        self.older.as_ref().map_or(&self.text, |older| &older.text)
    }

    /// True where the file is in an older format than this program writes.
    #[must_use]
    pub fn is_older(&self) -> bool {
        self.older.is_some()
    }

    /// Line and column, from 1, in the file, of a byte of [`SceneSource::text`].
    #[must_use]
    pub fn place(&self, byte: usize) -> (usize, usize) {
        let byte = match &self.older {
            Some(older) => older.shifts.iter().rev().fold(byte, |at, s| s.before(at)),
            None => byte,
        };
        let text = self.file_text();
        let mut byte = byte.min(text.len());
        while !text.is_char_boundary(byte) {
            byte -= 1;
        }
        let before = &text[..byte];
        let line = before.bytes().filter(|&b| b == b'\n').count() + 1;
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

    /// A problem with the value at a path such as `blocks[0].post`. Where the document does not
    /// write that value, the innermost one around it is pointed at.
    #[must_use]
    pub fn problem_at(&self, path: &str, message: impl Into<String>) -> Problem {
        Problem { path: path.to_owned(), ..self.problem(&self.range(path), message) }
    }

    /// Bytes of the value at a path, or of the innermost one around it.
    #[must_use]
    pub fn range(&self, path: &str) -> Range<usize> {
        let node = self.tree.nearest(path).and_then(|id| self.tree.node(id));
        node.map_or(0..0, |node| node.range.clone())
    }

    /// The value at a path.
    #[must_use]
    pub fn find(&self, path: &str) -> Option<NodeId> {
        self.tree.find(path)
    }
}
