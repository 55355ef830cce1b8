//! `standwell walk`: the stations of a walk-through, and ticking them off.

use super::job::{self, SceneArg, Source};
use super::{Context, Status, check};
use crate::permit::{Asked, window};
use crate::record::model::{Record, Walked};
use crate::record::{self, Date, Entry, PermitKind};
use crate::walk::{self, Walk};
use anyhow::Context as _;
use std::io::Write;
use std::path::PathBuf;

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
    /// The permit the walk is for.
    #[arg(long = "for", value_enum, value_name = "load|strike", default_value = "load")]
    kind: KindArg,
    /// Walk this stage: the id of its step, or its number. Left out, the one before what the permit is
    /// for begins, or the last.
    #[arg(long, value_name = "ID|N")]
    stage: Option<String>,
    /// The as-built record; left out, the file beside the scene that ends in .asbuilt.ron.
    #[arg(long, value_name = "FILE")]
    record: Option<PathBuf>,
    #[arg(long, value_enum, default_value = "text")]
    format: FormatArg,
    /// Write to this file instead of standard output.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Put down in the record that this station, by its id or number, was looked at and is in order.
    #[arg(long, value_name = "STATION", requires = "by")]
    tick: Option<String>,
    /// As --tick, for a station that is not in order.
    #[arg(long, value_name = "STATION", requires = "by", conflicts_with = "tick")]
    fault: Option<String>,
    /// Who looked.
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// The day, such as 2026-03-09; left out, today.
    #[arg(long, value_name = "DAY")]
    on: Option<Date>,
    #[arg(long, value_name = "TEXT", default_value = "")]
    note: String,
    /// Picture file beside the record.
    #[arg(long, value_name = "FILE", default_value = "")]
    photo: String,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum KindArg {
    Load,
    Strike,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum FormatArg {
    Text,
    Html,
    Json,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let source = match args.scene.source() {
        Ok(source) => source,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let scene = match &source {
        Source::File(path) => path.clone(),
        Source::Shipped(shipped) => PathBuf::from(format!("{}.ron", shipped.name)),
    };
    let review = match job::judge(&args.scene, context) {
        Ok(judged) => judged.review,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let path = args.record.clone().unwrap_or_else(|| record::path_beside(&scene));
    let mut record = Record::default();
    let mut known = None;
    if args.record.is_some() && args.tick.is_none() && args.fault.is_none() || path.exists() {
        match record::load(&path, &review.assembly) {
            Ok(loaded) => {
                record = loaded.record;
                known = Some(loaded.source.file_text().to_owned());
            }
            Err(problems) => return Ok(context.problems(&problems)),
        }
    }
    let kind = match args.kind {
        KindArg::Load => PermitKind::Load,
        KindArg::Strike => PermitKind::Strike,
    };
    let last = review.sequence.stages.len().saturating_sub(1);
    let mut window = match window(&review, kind, &Asked::default()) {
        Ok(window) => (window.from, window.until),
        Err(why) => {
            eprintln!("standwell: {why}; this is a walk through the last stage");
            (last, last)
        }
    };
    if let Some(asked) = &args.stage {
        match check::stage_named(&review, asked) {
            Ok(stage) => window = (stage, window.1.max(stage)),
            Err(message) => {
                eprintln!("standwell: {message}");
                return Ok(Status::Usage);
            }
        }
    }
    let mut walk = walk::walk(&review, &record, kind, window);
    if let Some(asked) = args.tick.as_ref().or(args.fault.as_ref()) {
        let Some(station) = walk.find(asked) else {
            eprintln!("standwell: there is no station \"{asked}\"; without --tick all are listed");
            return Ok(Status::Usage);
        };
        let by = args.by.clone().unwrap_or_default();
        if by.trim().is_empty() {
            eprintln!("standwell: say with --by who looked");
            return Ok(Status::Usage);
        }
        let walked = Walked {
            station: station.id.clone(),
            by,
            on: args.on.or_else(Date::today).context("the clock gives no day: say it with --on")?,
            in_order: args.tick.is_some(),
            note: args.note.clone(),
            photo: args.photo.clone(),
        };
        record::add_to_file(&path, known.as_deref(), &Entry::Walked(walked.clone()))?;
        eprintln!("put down in {}", path.display());
        record.walked.push(walked);
        walk = walk::walk(&review, &record, kind, window);
    }
    write(args, &walk, &review, context)?;
    let clean = walk.in_order() == walk.stations.len();
    Ok(if clean { Status::Clean } else { Status::Found })
}

fn write(
    args: &Args,
    walk: &Walk,
    review: &crate::review::Review,
    context: &mut Context,
) -> anyhow::Result<()> {
    let mut bytes = Vec::new();
    match args.format {
        FormatArg::Text => {
            let style = if args.out.is_some() {
                crate::report::Style::plain()
            } else {
                context.out.style()
            };
            walk::text(&mut bytes, walk, style)?;
        }
        FormatArg::Html => bytes.extend_from_slice(walk::html(walk, review).as_bytes()),
        FormatArg::Json => {
            serde_json::to_writer_pretty(&mut bytes, walk)?;
            bytes.push(b'\n');
        }
    }
    match &args.out {
        None => context.out.write_all(&bytes)?,
        Some(path) => {
            std::fs::write(path, bytes)
                .with_context(|| format!("cannot write {}", path.display()))?;
            eprintln!("wrote {}", path.display());
        }
    }
    Ok(())
}
