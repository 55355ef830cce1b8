//! Marks, words and colours of severities. Colour never stands alone: the mark and the word say
//! the same.

use crate::findings::{Finding, Severity};

/// Whether text may carry terminal colours.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    colour: bool,
}

impl Style {
    /// No colours: files, pipes, tests.
    #[must_use]
    pub fn plain() -> Self {
        Self { colour: false }
    }

    /// For a terminal.
    #[must_use]
    pub fn colour() -> Self {
        Self { colour: true }
    }

    /// Heavier type.
    #[must_use]
    pub fn bold(self, text: &str) -> String {
        self.code("1", text)
    }

    /// Lighter type, for what is secondary.
    #[must_use]
    pub fn dim(self, text: &str) -> String {
        self.code("2", text)
    }

    /// Text in the colour of a severity.
    #[must_use]
    pub fn severity(self, severity: Severity, unknown: bool, text: &str) -> String {
        let code = match (unknown, severity) {
            (true, _) => "1;35",
            (false, Severity::Stop) => "1;31",
            (false, Severity::FixFirst) => "1;33",
            (false, Severity::Watch) => "36",
            (false, Severity::Note) => "2",
        };
        self.code(code, text)
    }

    fn code(self, code: &str, text: &str) -> String {
        if self.colour { format!("\x1b[{code}m{text}\x1b[0m") } else { text.to_owned() }
    }
}

/// One sign for a severity, different in shape for each.
#[must_use]
pub fn mark(severity: Severity, unknown: bool) -> char {
    match (unknown, severity) {
        (true, _) => '?',
        (false, Severity::Stop) => '■',
        (false, Severity::FixFirst) => '▲',
        (false, Severity::Watch) => '●',
        (false, Severity::Note) => '○',
    }
}

/// The word for a severity; what could not be judged says so.
#[must_use]
pub fn word(severity: Severity, unknown: bool) -> &'static str {
    if unknown { "unknown" } else { severity.words() }
}

/// Mark and word, coloured where colours are welcome.
#[must_use]
pub fn label(style: Style, finding: &Finding) -> String {
    let (severity, unknown) = (finding.severity, finding.unknown);
    let text = format!("{} {}", mark(severity, unknown), word(severity, unknown));
    style.severity(severity, unknown, &text)
}
