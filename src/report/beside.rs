//! One job under two packs: the numbers that differ, and what is found under one and not the other.

use super::json::{Program, Report};
use super::style::Style;
use crate::criteria::compare::differs;
use crate::findings::{Finding, Severity};
use crate::review::Review;
use crate::units::UnitSystem;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::{self, Write};

/// Both reports, and what differs between them.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Beside {
    pub program: Program,
    /// Numbers of the packs that differ.
    pub rules: Vec<RuleDiffers>,
    /// Findings that are not the same under both.
    pub findings: Vec<FindingDiffers>,
    pub a: Report,
    pub b: Report,
}

/// A number that the packs give differently. Null: no such rule, or no limit.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RuleDiffers {
    pub name: String,
    /// SI values.
    pub a: Option<f64>,
    pub b: Option<f64>,
    /// In the units of the report.
    pub a_words: String,
    pub b_words: String,
    pub a_from: String,
    pub b_from: String,
}

/// A finding under one pack or both, with its severity there; null: not found.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FindingDiffers {
    pub code: String,
    pub members: Vec<String>,
    pub from_step: String,
    pub a: Option<Found>,
    pub b: Option<Found>,
}

#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Found {
    pub severity: Severity,
    pub unknown: bool,
    pub headline: String,
}

impl Found {
    fn of(finding: &Finding) -> Self {
        Self {
            severity: finding.severity,
            unknown: finding.unknown,
            headline: finding.headline.clone(),
        }
    }
}

/// Numbers of two packs that differ, in a person's units.
#[must_use]
pub fn rules(a: &Review, b: &Review, units: UnitSystem) -> Vec<RuleDiffers> {
    differs(&a.pack, &b.pack)
        .into_iter()
        .map(|d| {
            let words = |line: &Option<crate::criteria::RuleLine<'_>>| {
                line.as_ref().map_or_else(|| "none".to_owned(), |l| l.words(units).to_owned())
            };
            let from = |line: &Option<crate::criteria::RuleLine<'_>>| {
                line.as_ref().map_or_else(String::new, |l| l.from.to_owned())
            };
            RuleDiffers {
                name: d.name.to_owned(),
                a: d.a.as_ref().and_then(|l| l.si),
                b: d.b.as_ref().and_then(|l| l.si),
                a_words: words(&d.a),
                b_words: words(&d.b),
                a_from: from(&d.a),
                b_from: from(&d.b),
            }
        })
        .collect()
}

/// Findings that differ in severity or in words, by code, members and the step that made them.
#[must_use]
pub fn findings(a: &Review, b: &Review) -> Vec<FindingDiffers> {
    type Key<'f> = (&'f str, &'f [String], &'f str);
    let mut all: BTreeMap<Key<'_>, [Option<&Finding>; 2]> = BTreeMap::new();
    for (side, review) in [a, b].into_iter().enumerate() {
        for f in &review.findings {
            let key = (f.code.as_str(), f.subjects.as_slice(), f.from_step.as_str());
            all.entry(key).or_default()[side] = Some(f);
        }
    }
    all.into_iter()
        .filter(|(_, [x, y])| match (x, y) {
            (Some(x), Some(y)) => {
                (x.severity, x.unknown, &x.headline) != (y.severity, y.unknown, &y.headline)
            }
            _ => true,
        })
        .map(|((code, members, step), [x, y])| FindingDiffers {
            code: code.to_owned(),
            members: members.to_vec(),
            from_step: step.to_owned(),
            a: x.map(Found::of),
            b: y.map(Found::of),
        })
        .collect()
}

/// Writes what differs.
pub fn write(out: &mut dyn Write, beside: &Beside, style: Style) -> io::Result<()> {
    let job = |report: &Report| report.job.clone();
    let (Some(a), Some(b)) = (job(&beside.a), job(&beside.b)) else { return Ok(()) };
    writeln!(out, "{}", style.bold(&a.title))?;
    for (letter, job) in [("A", &a), ("B", &b)] {
        writeln!(out, "  {letter}  {} ({})", job.criteria.title, job.criteria.region)?;
        if let Some(words) = &job.criteria.incomplete {
            writeln!(out, "     {words}")?;
        }
    }
    for caution in &beside.a.cautions {
        writeln!(out, "{}", style.dim(&format!("  ! {caution}")))?;
    }
    writeln!(out, "\n{}", style.bold("Numbers that differ"))?;
    for rule in &beside.rules {
        writeln!(out, "  {:<28}A {:<16}B {}", rule.name, rule.a_words, rule.b_words)?;
    }
    if beside.rules.is_empty() {
        writeln!(out, "  none")?;
    }
    let only = |f: &FindingDiffers| (f.a.is_some(), f.b.is_some());
    for (title, which) in [
        ("Found under A alone", (true, false)),
        ("Found under B alone", (false, true)),
        ("Found under both, and not the same", (true, true)),
    ] {
        let listed: Vec<&FindingDiffers> =
            beside.findings.iter().filter(|f| only(f) == which).collect();
        writeln!(out, "\n{} ({})", style.bold(title), listed.len())?;
        for f in listed {
            writeln!(out, "  {}  after {}", f.code, f.from_step)?;
            for (letter, found) in [("A", &f.a), ("B", &f.b)] {
                if let Some(found) = found {
                    let words = if found.unknown { "unknown" } else { found.severity.words() };
                    writeln!(out, "    {letter}  {words}: {}", found.headline)?;
                }
            }
        }
    }
    let same = beside.a.findings.len() - beside.findings.iter().filter(|f| f.a.is_some()).count();
    writeln!(out, "\n{same} findings are the same under both")
}
