//! A post's load as a tree of where it comes from, for people and for machines.

use super::style::Style;
use crate::assembly::{Assembly, MemberId};
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

/// Below this share of the post's load a branch of the tree is counted with its neighbours.
const LEAST_SHARE: f64 = 0.01;

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
    let least = LEAST_SHARE * report.force.abs();
    let shares: Vec<Part<'_>> =
        report.shares.iter().map(|s| (&s.path[..], s.what.as_str(), s.force)).collect();
    branch(out, assembly, &shares, 0, least, unit)?;
    if report.rest.abs() > 1.0 {
        writeln!(out, "{:>12}  by no path that could be followed", unit.force(report.rest))?;
    }
    if assembly.library.sample {
        writeln!(out, "\n{}", super::SAMPLE_CAUTION)?;
    }
    Ok(())
}

/// What is left of a path, its source, and newtons.
type Part<'a> = (&'a [MemberId], &'a str, f64);

/// The branches above a member: what lies on it itself, then each member that rests on it.
fn branch(
    out: &mut dyn Write,
    assembly: &Assembly,
    shares: &[Part<'_>],
    deep: usize,
    least: f64,
    unit: UnitSystem,
) -> io::Result<()> {
    let indent = "  ".repeat(deep);
    let mut own: BTreeMap<&str, f64> = BTreeMap::new();
    let mut above: BTreeMap<MemberId, Vec<Part<'_>>> = BTreeMap::new();
    for &(path, what, force) in shares {
        match path {
            [] => {}
            [_] => *own.entry(what).or_default() += force,
            [rest @ .., _] => {
                let next = rest[rest.len() - 1];
                above.entry(next).or_default().push((rest, what, force));
            }
        }
    }
    for (what, force) in own {
        if force.abs() >= least {
            writeln!(out, "{:>12}  {indent}{what}", unit.force(force))?;
        }
    }
    let sum = |list: &[Part<'_>]| list.iter().map(|s| s.2).sum::<f64>();
    let mut above: Vec<_> = above.into_iter().map(|(m, list)| (sum(&list), m, list)).collect();
    above.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut small = (0, 0.0);
    for (force, member, list) in above {
        if force.abs() < least {
            small = (small.0 + 1, small.1 + force);
            continue;
        }
        writeln!(out, "{:>12}  {indent}{}", unit.force(force), assembly.name(member))?;
        branch(out, assembly, &list, deep + 1, least, unit)?;
    }
    if small.0 > 0 {
        writeln!(out, "{:>12}  {indent}{} more, each under 1 %", unit.force(small.1), small.0)?;
    }
    Ok(())
}
