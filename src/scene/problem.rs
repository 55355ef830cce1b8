//! What is wrong with a file, and where.

use std::fmt;
use std::path::PathBuf;

/// One thing wrong with a file a person wrote.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    pub file: PathBuf,
    /// From 1; 0 where the whole file is meant.
    pub line: usize,
    pub column: usize,
    /// Path inside the document, such as `blocks[0].x.every`.
    pub path: String,
    pub message: String,
    /// What would fit, or a name that is close.
    pub help: Option<String>,
}

/// All that is wrong, in the order of the file.
#[derive(Clone, Debug, Default, PartialEq, Eq, thiserror::Error)]
pub struct Problems(pub Vec<Problem>);

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.file.display())?;
        if self.line > 0 {
            write!(f, ":{}:{}", self.line, self.column)?;
        }
        write!(f, ": {}", self.message)?;
        if !self.path.is_empty() {
            write!(f, " (at {})", self.path)?;
        }
        if let Some(help) = &self.help {
            write!(f, "\n  help: {help}")?;
        }
        Ok(())
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, problem) in self.0.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{problem}")?;
        }
        Ok(())
    }
}
