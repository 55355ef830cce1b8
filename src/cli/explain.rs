//! `standwell explain`: what a hazard is, why it is dangerous and how it is judged.

use super::job::Format;
use super::{Context, Status};
use crate::checks::{self, Hazard, REGISTER};
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
    /// The severity it has at worst.
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
    let Some(hazard) = checks::find(asked) else {
        let help = checks::nearest(asked).map_or_else(
            || "`standwell explain` lists them".to_owned(),
            |near| format!("did you mean \"{near}\"?"),
        );
        eprintln!("standwell: no hazard is called \"{asked}\"; {help}");
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

/// The doc comment of the check, as it stands in its file, with headings in heavier type.
fn text(hazard: &Hazard, context: &mut Context) -> anyhow::Result<()> {
    let style = context.out.style();
    for line in checks::explain(hazard.code).unwrap_or_default().lines() {
        match line.trim_start_matches('#') {
            heading if heading.len() < line.len() => {
                writeln!(context.out, "{}", style.bold(heading.trim()))?;
            }
            line => writeln!(context.out, "{line}")?,
        }
    }
    Ok(())
}
