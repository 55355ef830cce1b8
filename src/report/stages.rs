//! The stages of a job as a table: what each leads to, its worst finding and least reserve.

use super::style::{Style, mark, word};
use crate::findings::Severity;
use crate::review::{Review, StageSummary};
use std::io::{self, Write};

/// Writes a table of the stages: what each leads to, its worst finding and least reserve.
pub fn write(out: &mut dyn Write, review: &Review, style: Style) -> io::Result<()> {
    let stages = &review.sequence.stages;
    if review.sequence.finished_only {
        writeln!(out, "The scene has no sequence: there is one stage, the finished one.")?;
    }
    let step_width = stages.iter().map(|s| s.step.chars().count()).max().unwrap_or(0).max(4);
    writeln!(
        out,
        "{:>5}  {:<11}  {:>7}  {:>8}  {:<step_width$}  title",
        "stage", "worst", "reserve", "findings", "step"
    )?;
    for (stage, summary) in stages.iter().zip(&review.summaries) {
        let cell = worst_cell(summary);
        let cell = match (summary.unknown, summary.worst) {
            (unknown, Some(severity)) => style.severity(severity, unknown, &cell),
            (true, None) => style.severity(Severity::FixFirst, true, &cell),
            (false, None) => cell,
        };
        writeln!(
            out,
            "{:>5}  {cell}  {:>7}  {:>8}  {:<step_width$}  {}",
            stage.index,
            reserve_words(summary),
            summary.findings.len(),
            stage.step,
            stage.title,
        )?;
    }
    let pack = &review.pack;
    let state = pack.incomplete().map_or_else(String::new, |words| format!(", {words}"));
    writeln!(out, "criteria: {}{state}", pack.full_title())
}

/// Unknown wins over all but *stop*, where both are said.
fn worst_cell(summary: &StageSummary) -> String {
    let text = match (summary.unknown, summary.worst) {
        (true, Some(Severity::Stop)) => "■? stop".to_owned(),
        (unknown, Some(severity)) => {
            format!("{} {}", mark(severity, unknown), word(severity, unknown))
        }
        (true, None) => "? unknown".to_owned(),
        (false, None) => "  –".to_owned(),
    };
    format!("{text:<11}")
}

/// `≥ 1.20` where the number is a proven lower bound.
fn reserve_words(summary: &StageSummary) -> String {
    match summary.reserve {
        None => "–".to_owned(),
        Some(reserve) if !reserve.is_finite() => "∞".to_owned(),
        Some(reserve) if summary.reserve_at_least => format!("≥ {reserve:.2}"),
        Some(reserve) => format!("{reserve:.2}"),
    }
}
