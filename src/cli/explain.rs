//! `standwell explain`: what a hazard is, why it is dangerous and how it is judged.

use super::job::Format;
use super::{Context, Status};
use crate::checks::{Hazard, REGISTER};
use serde::Serialize;
use std::io::Write;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Code or name, such as `SW101` or `post-not-held`; all are listed when left out.
    hazard: Option<String>,
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
}

/// A hazard for machines.
#[derive(Serialize)]
struct HazardReport<'a> {
    code: &'a str,
    name: &'a str,
    summary: &'a str,
    /// The severity it usually has.
    severity: crate::findings::Severity,
    /// Markdown.
    doc: &'a str,
    sources: Vec<SourceReport<'a>>,
}

#[derive(Serialize)]
struct SourceReport<'a> {
    title: &'a str,
    locator: &'a str,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let Some(asked) = &args.hazard else {
        list(args.format, context)?;
        return Ok(Status::Clean);
    };
    let Some(hazard) = find(asked) else {
        eprintln!("standwell: no hazard is called \"{asked}\"{}", suggestion(asked));
        return Ok(Status::Usage);
    };
    match args.format {
        Format::Text => text(hazard, context)?,
        Format::Json => json(&report(hazard), context)?,
    }
    Ok(Status::Clean)
}

fn list(format: Format, context: &mut Context) -> anyhow::Result<()> {
    if format == Format::Json {
        return json(&REGISTER.iter().map(|h| report(h)).collect::<Vec<_>>(), context);
    }
    let width = REGISTER.iter().map(|h| h.name.len()).max().unwrap_or(0);
    for hazard in REGISTER {
        writeln!(
            context.out,
            "{}  {:<9}  {:<width$}  {}",
            hazard.code,
            hazard.severity.words(),
            hazard.name,
            hazard.summary
        )?;
    }
    Ok(())
}

fn json(value: &impl Serialize, context: &mut Context) -> anyhow::Result<()> {
    serde_json::to_writer_pretty(&mut context.out, value)?;
    writeln!(context.out)?;
    Ok(())
}

fn find(asked: &str) -> Option<&'static Hazard> {
    REGISTER
        .iter()
        .copied()
        .find(|hazard| hazard.code.eq_ignore_ascii_case(asked) || hazard.name == asked)
}

fn suggestion(asked: &str) -> String {
    let asked = asked.to_lowercase();
    REGISTER
        .iter()
        .flat_map(|hazard| [hazard.code.to_lowercase(), hazard.name.to_owned()])
        .map(|name| (strsim::damerau_levenshtein(&name, &asked), name))
        .min()
        .filter(|(distance, _)| *distance <= 3)
        .map_or_else(
            || "; `standwell explain` lists them".to_owned(),
            |(_, near)| format!("; did you mean \"{near}\"?"),
        )
}

fn report(hazard: &'static Hazard) -> HazardReport<'static> {
    HazardReport {
        code: hazard.code,
        name: hazard.name,
        summary: hazard.summary,
        severity: hazard.severity,
        doc: hazard.doc.trim(),
        sources: hazard
            .sources
            .iter()
            .map(|source| SourceReport { title: source.title, locator: source.locator })
            .collect(),
    }
}

/// The doc comment of the check, as it stands in its file.
fn text(hazard: &Hazard, context: &mut Context) -> anyhow::Result<()> {
    let style = context.out.style();
    writeln!(context.out, "{}", style.bold(&format!("{} {}", hazard.code, hazard.name)))?;
    writeln!(context.out, "{}; usually {}", hazard.summary, hazard.severity.words())?;
    writeln!(context.out)?;
    for line in hazard.doc.trim().lines() {
        let line = line.strip_prefix(' ').unwrap_or(line);
        match line.strip_prefix("## ") {
            Some(heading) => writeln!(context.out, "{}", style.bold(heading))?,
            None => writeln!(context.out, "{line}")?,
        }
    }
    if !hazard.sources.is_empty() {
        writeln!(context.out)?;
        for source in hazard.sources {
            writeln!(context.out, "Source: {}, {}", source.title, source.locator)?;
        }
    }
    Ok(())
}
