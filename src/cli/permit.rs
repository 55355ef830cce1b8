//! `standwell permit`: the as-built record to begin with, a permit drafted, issued, verified.

use super::job::{self, Format, SceneArg, Source};
use super::{Context, Status};
use crate::permit::{self, Asked, Basis, Issuer, Permit, Picture};
use crate::record::{self, Date, LoadedRecord, PermitKind};
use crate::review::Review;
use crate::scene::{FileStamp, Problems};
use anyhow::Context as _;
use std::io::Write;
use std::path::{Path, PathBuf};

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Print an as-built record to begin with, to lie beside the scene.
    Record(RecordArgs),
    /// Draft a permit, and say what stands in its way.
    Draft(DraftArgs),
    /// Issue a permit in a person's name, if nothing stands in its way.
    Issue(IssueArgs),
    /// Say whether an issued permit still holds.
    Verify(VerifyArgs),
}

#[derive(Debug, clap::Args)]
struct RecordArgs {
    #[command(flatten)]
    scene: SceneArg,
    /// Write it to this file instead of standard output. A file that is there is kept.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// For what.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum KindArg {
    Load,
    Strike,
}

#[derive(Debug, clap::Args)]
struct DraftArgs {
    #[command(flatten)]
    scene: SceneArg,
    /// To load or to strike.
    #[arg(long = "for", value_enum, value_name = "load|strike")]
    kind: KindArg,
    /// The as-built record; left out, the file beside the scene that ends in .asbuilt.ron.
    #[arg(long, value_name = "FILE")]
    record: Option<PathBuf>,
    /// Step whose stage is the one as built and inspected; left out, the last before it begins.
    #[arg(long, value_name = "STEP")]
    from: Option<String>,
    /// Last step covered.
    #[arg(long, value_name = "STEP")]
    until: Option<String>,
    /// A PNG or JPEG picture for the sheet; may be given several times.
    #[arg(long, value_name = "FILE")]
    picture: Vec<PathBuf>,
    /// Write the printable sheet to this file.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
}

#[derive(Debug, clap::Args)]
struct IssueArgs {
    #[command(flatten)]
    draft: DraftArgs,
    /// The person who issues it.
    #[arg(long, value_name = "NAME")]
    by: String,
    /// What that person is on the job.
    #[arg(long, value_name = "ROLE", default_value = "")]
    role: String,
    /// The day it is issued, such as 2026-03-09; left out, today.
    #[arg(long, value_name = "DAY")]
    on: Option<Date>,
    /// The last day it counts.
    #[arg(long, value_name = "DAY")]
    valid_until: Option<Date>,
    #[arg(long, value_name = "TEXT", default_value = "")]
    note: String,
    /// The JSON file to write; left out, beside the scene. A file that is there is kept.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
struct VerifyArgs {
    /// The permit's JSON file.
    permit: PathBuf,
    /// The scene it was issued for; left out, the file the permit names, beside it.
    #[arg(long, value_name = "FILE")]
    scene: Option<PathBuf>,
    /// The day to hold against the permit's last; left out, today.
    #[arg(long, value_name = "DAY")]
    on: Option<Date>,
    /// Where it is void, write a page that says so, to hang in the place of its sheet.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    match &args.what {
        What::Record(args) => start(args, context),
        What::Draft(args) => draft(args, context),
        What::Issue(args) => issue(args, context),
        What::Verify(args) => verify(args, context),
    }
}

fn start(args: &RecordArgs, context: &mut Context) -> anyhow::Result<Status> {
    let (assembly, _, sequence) = match job::laid_out(&args.scene) {
        Ok(read) => read,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let Some(stage) = sequence.stages.last() else {
        anyhow::bail!("the scene has no stage");
    };
    let text = record::start(&assembly, stage);
    match &args.out {
        None => context.out.write_all(text.as_bytes())?,
        Some(path) => new_file(path, text.as_bytes())?,
    }
    Ok(Status::Clean)
}

fn new_file(path: &Path, bytes: &[u8]) -> anyhow::Result<()> {
    permit::new_file(path, bytes).with_context(|| format!("cannot write {}", path.display()))?;
    eprintln!("wrote {}", path.display());
    Ok(())
}

/// A job judged, with its record and where it lies.
struct Ready {
    review: Review,
    stamps: Vec<FileStamp>,
    scene: PathBuf,
    record: Option<LoadedRecord>,
    pictures: Vec<Picture>,
}

impl Ready {
    fn basis(&self) -> Basis<'_> {
        Basis {
            review: &self.review,
            record: self.record.as_ref(),
            files: &self.stamps,
            scene: &self.scene,
            pictures: &self.pictures,
        }
    }
}

fn ready(args: &DraftArgs, context: &Context) -> anyhow::Result<Result<Ready, Problems>> {
    let source = match args.scene.source() {
        Ok(source) => source,
        Err(problems) => return Ok(Err(problems)),
    };
    let scene = match &source {
        Source::File(path) => path.clone(),
        Source::Shipped(shipped) => PathBuf::from(format!("{}.ron", shipped.name)),
    };
    let judged = match job::judge(&args.scene, context) {
        Ok(judged) => judged,
        Err(problems) => return Ok(Err(problems)),
    };
    let path = args.record.clone().unwrap_or_else(|| record::path_beside(&scene));
    let record = if args.record.is_some() || path.exists() {
        match record::load(&path, &judged.review.assembly) {
            Ok(record) => Some(record),
            Err(problems) => return Ok(Err(problems)),
        }
    } else {
        None
    };
    let mut pictures = Vec::new();
    for path in &args.picture {
        let bytes =
            std::fs::read(path).with_context(|| format!("cannot read {}", path.display()))?;
        let known =
            [&b"\x89PNG\r\n\x1a\n"[..], &[0xFF, 0xD8, 0xFF]].iter().any(|m| bytes.starts_with(m));
        if !known {
            anyhow::bail!("{} is neither a PNG nor a JPEG picture", path.display());
        }
        pictures.push(Picture { path: path.clone(), bytes });
    }
    Ok(Ok(Ready { review: judged.review, stamps: judged.stamps, scene, record, pictures }))
}

fn drafted(args: &DraftArgs, ready: &Ready) -> Permit {
    let kind = match args.kind {
        KindArg::Load => PermitKind::Load,
        KindArg::Strike => PermitKind::Strike,
    };
    let asked = Asked { from: args.from.clone(), until: args.until.clone() };
    permit::draft(&ready.basis(), kind, &asked)
}

fn status(permit: &Permit) -> Status {
    if permit.refused_as_unknown() {
        Status::Unknown
    } else if permit.refusals.is_empty() {
        Status::Clean
    } else {
        Status::Found
    }
}

fn draft(args: &DraftArgs, context: &mut Context) -> anyhow::Result<Status> {
    let ready = match ready(args, context)? {
        Ok(ready) => ready,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let permit = drafted(args, &ready);
    sheet(args, &permit, &ready)?;
    show(args.format, &permit, context)?;
    photos(&ready);
    Ok(status(&permit))
}

fn sheet(args: &DraftArgs, permit: &Permit, ready: &Ready) -> anyhow::Result<()> {
    if let Some(path) = &args.html {
        let page = permit::html(permit, &ready.basis());
        std::fs::write(path, page).with_context(|| format!("cannot write {}", path.display()))?;
        eprintln!("wrote {}", path.display());
    }
    Ok(())
}

fn issue(args: &IssueArgs, context: &mut Context) -> anyhow::Result<Status> {
    let ready = match ready(&args.draft, context)? {
        Ok(ready) => ready,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let draft = drafted(&args.draft, &ready);
    let on = args.on.or_else(Date::today).context("the clock gives no day: say it with --on")?;
    let issuer = Issuer {
        by: args.by.clone(),
        role: args.role.clone(),
        on,
        valid_until: args.valid_until,
        note: args.note.clone(),
    };
    match permit::issue(&draft, &issuer) {
        Ok(issued) => {
            let beside = || permit::path_beside(&issued, &ready.scene);
            let path = args.out.clone().unwrap_or_else(beside);
            new_file(&path, permit::json(&issued)?.as_bytes())?;
            sheet(&args.draft, &issued, &ready)?;
            show(args.draft.format, &issued, context)?;
            photos(&ready);
            Ok(Status::Clean)
        }
        Err(error) => {
            sheet(&args.draft, &draft, &ready)?;
            show(args.draft.format, &draft, context)?;
            eprintln!("standwell: not issued: {error}");
            Ok(if draft.refusals.is_empty() { Status::Found } else { status(&draft) })
        }
    }
}

/// Says which photos of the record are not there.
fn photos(ready: &Ready) {
    let Some(record) = &ready.record else { return };
    for missing in record::missing_photos(&record.record, &record.stamp.path) {
        eprintln!("standwell: {}", missing.words());
    }
}

fn show(format: Format, permit: &Permit, context: &mut Context) -> anyhow::Result<()> {
    match format {
        Format::Json => {
            serde_json::to_writer_pretty(&mut context.out, permit)?;
            writeln!(context.out)?;
        }
        Format::Text => {
            let style = context.out.style();
            permit::text(&mut context.out, permit, style)?;
        }
    }
    Ok(())
}

fn verify(args: &VerifyArgs, context: &mut Context) -> anyhow::Result<Status> {
    let told = || format!("cannot read {}", args.permit.display());
    let text = std::fs::read_to_string(&args.permit).with_context(told)?;
    let permit: Permit = serde_json::from_str(&text)
        .with_context(|| format!("{} is not a permit", args.permit.display()))?;
    let named = permit.files.first().context("the permit names no scene")?;
    let beside = || args.permit.parent().unwrap_or(Path::new("")).join(&named.path);
    let scene = args.scene.clone().unwrap_or_else(beside);
    let today = args.on.or_else(Date::today);
    let voids = permit::verify(&permit, &scene, today, &|_, _| true);
    if voids.is_empty() {
        let by = permit.issue.as_ref().map_or("nobody", |i| i.by.as_str());
        writeln!(
            context.out,
            "holds: {} for \"{}\", issued by {by}",
            permit.kind.words(),
            permit.job
        )?;
        return Ok(Status::Clean);
    }
    writeln!(context.out, "VOID: {} for \"{}\"", permit.kind.words(), permit.job)?;
    for void in &voids {
        writeln!(context.out, "  {void}")?;
    }
    if let Some(path) = &args.html {
        let page = permit::void_html(&permit, &voids);
        std::fs::write(path, page).with_context(|| format!("cannot write {}", path.display()))?;
        eprintln!("wrote {}", path.display());
    }
    Ok(Status::Found)
}
