//! Results: one line of JSON an answer, in a small local file, and as CSV for the trainer.

use serde::{Deserialize, Serialize};
use std::fmt::Write as _;
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;

/// One answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ResultLine {
    pub format: u32,
    pub trainee: String,
    pub on: String,
    pub lesson: String,
    /// SHA-256 of the scene's bytes.
    pub scene: String,
    /// Number of the card, from 1.
    pub card: usize,
    pub step: String,
    pub question: String,
    /// What was marked or chosen.
    pub answer: Vec<String>,
    /// Faults by code and first member.
    pub seen: Vec<String>,
    pub missed: Vec<String>,
    pub raised: Vec<String>,
    pub right: bool,
}

/// Adds a line at the end of the file, which is made if it is not there. A last line that was cut off
/// stays a line of its own.
///
/// # Errors
/// When the file cannot be written.
pub fn append(path: &Path, line: &ResultLine) -> io::Result<()> {
    let mut file = std::fs::OpenOptions::new().create(true).read(true).append(true).open(path)?;
    let mut text = serde_json::to_string(line).map_err(io::Error::other)?;
    text.push('\n');
    if file.seek(SeekFrom::End(0))? > 0 {
        file.seek(SeekFrom::End(-1))?;
        let mut last = [0u8];
        file.read_exact(&mut last)?;
        if last[0] != b'\n' {
            text.insert(0, '\n');
        }
    }
    file.write_all(text.as_bytes())?;
    file.sync_all()
}

/// The lines that read, and what is wrong with the others, by line number from 1.
#[must_use]
pub fn parse(text: &str) -> (Vec<ResultLine>, Vec<(usize, String)>) {
    let (mut lines, mut wrong) = (Vec::new(), Vec::new());
    for (i, line) in text.lines().enumerate().filter(|(_, l)| !l.trim().is_empty()) {
        match serde_json::from_str(line) {
            Ok(result) => lines.push(result),
            Err(error) => wrong.push((i + 1, error.to_string())),
        }
    }
    (lines, wrong)
}

/// The results as CSV after RFC 4180, with a heading row. A cell that a spreadsheet would take for a
/// formula gets a quote in front of it.
#[must_use]
pub fn csv(lines: &[ResultLine]) -> String {
    let mut out =
        "trainee,on,lesson,card,step,question,answer,seen,missed,raised for nothing,right\r\n"
            .to_owned();
    for line in lines {
        let cells = [
            line.trainee.clone(),
            line.on.clone(),
            line.lesson.clone(),
            line.card.to_string(),
            line.step.clone(),
            line.question.clone(),
            line.answer.join("; "),
            line.seen.join("; "),
            line.missed.join("; "),
            line.raised.join("; "),
            if line.right { "yes" } else { "no" }.to_owned(),
        ];
        let cells: Vec<String> = cells.iter().map(|c| cell(c)).collect();
        // Writing to a text cannot fail.
        let _ = write!(out, "{}\r\n", cells.join(","));
    }
    out
}

fn cell(text: &str) -> String {
    let text = if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        format!("'{text}")
    } else {
        text.to_owned()
    };
    if text.contains(['"', ',', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text
    }
}
