//! A post's load as a tree of where it comes from, for people and for machines.

use super::load_tree::{self, What};
use super::style::Style;
use crate::assembly::Assembly;
use crate::checks::support::words;
use crate::loads::path::LoadReport;
use crate::units::UnitSystem;
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::{self, Write};

/// A load report for machines. Forces in newtons, downwards positive.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct LoadJson {
    pub stage: String,
    pub post: String,
    pub at_foot: f64,
    pub least: f64,
    pub greatest: f64,
    /// What no path explains.
    pub rest: f64,
    pub by_source: BTreeMap<String, f64>,
    pub paths: Vec<PathJson>,
    pub sample_data: bool,
}

/// One path, from what lies on top to the post.
#[derive(Clone, Debug, PartialEq, Serialize, schemars::JsonSchema)]
pub struct PathJson {
    pub source: String,
    pub members: Vec<String>,
    pub force: f64,
}

/// The report with names.
#[must_use]
pub fn json(assembly: &Assembly, step: &str, report: &LoadReport) -> LoadJson {
    LoadJson {
        stage: step.to_owned(),
        post: assembly.name(report.post).to_owned(),
        at_foot: report.force,
        least: report.least,
        greatest: report.greatest,
        rest: report.rest,
        by_source: by_source(report),
        paths: report
            .shares
            .iter()
            .map(|s| PathJson {
                source: s.what.clone(),
                members: s.path.iter().map(|&m| assembly.name(m).to_owned()).collect(),
                force: s.force,
            })
            .collect(),
        sample_data: assembly.library.sample,
    }
}

fn by_source(report: &LoadReport) -> BTreeMap<String, f64> {
    let mut out: BTreeMap<String, f64> = BTreeMap::new();
    for share in &report.shares {
        *out.entry(share.what.clone()).or_default() += share.force;
    }
    out
}

/// Writes the report as a tree from the post up.
pub fn write(
    out: &mut dyn Write,
    assembly: &Assembly,
    step: &str,
    report: &LoadReport,
    unit: UnitSystem,
    style: Style,
) -> io::Result<()> {
    let who = words::sentence(&words::beam(assembly, report.post));
    let head = format!("{who} after step {step}: {} at its foot", unit.force(report.force));
    writeln!(out, "{}", style.bold(&head))?;
    writeln!(
        out,
        "At this stage it can be {} to {}: people anywhere on the deck or nowhere, and members over",
        unit.force(report.least),
        unit.force(report.greatest)
    )?;
    writeln!(out, "several supports as single spans or as one continuous beam.")?;
    writeln!(out)?;
    let mut sources: Vec<(String, f64)> = by_source(report).into_iter().collect();
    sources.sort_by(|a, b| b.1.total_cmp(&a.1));
    for (what, force) in sources {
        writeln!(out, "{:>12}  {what}", unit.force(force))?;
    }
    writeln!(out)?;
    for row in load_tree::rows(report) {
        let (force, indent) = (unit.force(row.force), "  ".repeat(row.deep));
        match row.what {
            What::Load(what) => writeln!(out, "{force:>12}  {indent}{what}")?,
            What::Through(id) => writeln!(out, "{force:>12}  {indent}{}", assembly.name(id))?,
            What::Small(count) => {
                writeln!(out, "{force:>12}  {indent}{count} more, each under 1 %")?;
            }
        }
    }
    if report.rest.abs() > 1.0 {
        writeln!(out, "{:>12}  by no path that could be followed", unit.force(report.rest))?;
    }
    if assembly.library.sample {
        writeln!(out, "\n{}", super::SAMPLE_CAUTION)?;
    }
    Ok(())
}
