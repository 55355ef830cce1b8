//! The hand-calculation sheet as text and for machines.

use super::json::{Criteria, Program};
use super::style::Style;
use super::words::wrap;
use super::{CAUTIONS, Report, SAMPLE_CAUTION};
use crate::calc::CalcSheet;
use crate::capacity::work::{Line, Section};
use crate::criteria::Pack;
use crate::findings::{Finding, Measure};
use crate::units::UnitSystem;
use schemars::JsonSchema;
use serde::Serialize;
use std::io::{self, Write};

const WIDTH: usize = 100;

/// Sheets of one finding or member.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CalcReport {
    pub program: Program,
    pub title: String,
    pub criteria: Criteria,
    pub cautions: Vec<String>,
    /// The findings asked for: what was measured and what it may be.
    pub findings: Vec<FoundReport>,
    pub sheets: Vec<CalcSheet>,
}

/// A finding in short, over its sheets.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FoundReport {
    pub code: String,
    pub headline: String,
    pub members: Vec<String>,
    /// What was measured and its limit, in words.
    pub measures: Vec<String>,
    pub notes: Vec<String>,
}

impl CalcReport {
    /// Puts sheets together under the job's title and pack.
    #[must_use]
    pub fn of(
        title: &str,
        pack: &Pack,
        findings: &[&Finding],
        sheets: Vec<CalcSheet>,
        units: UnitSystem,
    ) -> Self {
        let mut cautions: Vec<String> = CAUTIONS.iter().map(ToString::to_string).collect();
        if sheets.iter().any(|s| s.sample_data) {
            cautions.insert(0, SAMPLE_CAUTION.to_owned());
        }
        let measured = |m: &Measure| super::words::measure(units, m);
        Self {
            program: Report::program(),
            title: title.to_owned(),
            criteria: Criteria::of(pack),
            cautions,
            findings: findings
                .iter()
                .map(|f| FoundReport {
                    code: f.code.clone(),
                    headline: f.headline.clone(),
                    members: f.subjects.clone(),
                    measures: f.evidence.measures.iter().map(measured).collect(),
                    notes: f.evidence.notes.clone(),
                })
                .collect(),
            sheets,
        }
    }
}

/// Writes the report for a person with a calculator.
pub fn write(out: &mut dyn Write, report: &CalcReport, style: Style) -> io::Result<()> {
    writeln!(out, "{}", style.bold(&report.title))?;
    writeln!(out, "  criteria    {} ({})", report.criteria.title, report.criteria.region)?;
    if let Some(words) = &report.criteria.incomplete {
        writeln!(out, "              {words}")?;
    }
    for caution in &report.cautions {
        for (i, line) in wrap(caution, WIDTH - 4).iter().enumerate() {
            let lead = if i == 0 { "  ! " } else { "    " };
            writeln!(out, "{}", style.dim(&format!("{lead}{line}")))?;
        }
    }
    for finding in &report.findings {
        writeln!(out, "\n{}  {}", style.bold(&finding.code), finding.headline)?;
        for measure in &finding.measures {
            writeln!(out, "    {measure}")?;
        }
        for note in &finding.notes {
            for line in wrap(note, WIDTH - 4) {
                writeln!(out, "    {line}")?;
            }
        }
    }
    for sheet in &report.sheets {
        let head = format!("{} ({}), after step {}", sheet.member, sheet.part, sheet.step);
        writeln!(out, "\n{}", style.bold(&head))?;
        for section in &sheet.sections {
            write_section(out, section, style)?;
        }
    }
    Ok(())
}

fn write_section(out: &mut dyn Write, section: &Section, style: Style) -> io::Result<()> {
    writeln!(out, "\n  {}", style.bold(&section.title))?;
    for line in &section.lines {
        write_line(out, line, style)?;
    }
    for note in &section.notes {
        for line in wrap(note, WIDTH - 4) {
            writeln!(out, "    {line}")?;
        }
    }
    Ok(())
}

fn write_line(out: &mut dyn Write, line: &Line, style: Style) -> io::Result<()> {
    let source =
        if line.source.is_empty() { String::new() } else { format!("  [{}]", line.source) };
    let result = with_unit(&line.symbol, line.value, &line.unit);
    if line.formula.is_empty() {
        return writeln!(out, "    {result}    {}{}", line.meaning, style.dim(&source));
    }
    writeln!(
        out,
        "    {} = {}    {}{}",
        line.symbol,
        line.formula,
        line.meaning,
        style.dim(&source)
    )?;
    let inputs: Vec<String> =
        line.inputs.iter().map(|i| with_unit(&i.symbol, i.value, &i.unit)).collect();
    if !inputs.is_empty() {
        for (i, text) in wrapped(&inputs, WIDTH - 13).iter().enumerate() {
            writeln!(out, "        {} {text}", if i == 0 { "with" } else { "    " })?;
        }
    }
    writeln!(out, "        {result}")
}

/// Inputs in rows, never broken within one.
fn wrapped(inputs: &[String], width: usize) -> Vec<String> {
    let mut rows: Vec<String> = Vec::new();
    for input in inputs {
        match rows.last_mut() {
            Some(row) if row.len() + input.len() + 2 <= width => {
                row.push_str("; ");
                row.push_str(input);
            }
            _ => rows.push(input.clone()),
        }
    }
    rows
}

fn with_unit(symbol: &str, value: f64, unit: &str) -> String {
    if unit.is_empty() {
        format!("{symbol} = {value}")
    } else {
        format!("{symbol} = {value} {unit}")
    }
}
