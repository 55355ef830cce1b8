//! `standwell check`: judge every stage of a job, or one of them.

use super::job::{self, Format, SceneArg, SeverityArg, UnitsArg};
use super::{Context, Status};
use crate::findings::{Finding, Severity};
use crate::report::beside::{self as report_beside, Beside};
use crate::report::text::Detail;
use crate::report::{Report, Selection, Subject, text};
use crate::review::Review;
use crate::units::UnitSystem;
use std::io::Write;

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
    /// One stage alone: the id of the step that leads to it, or its number.
    #[arg(long, value_name = "ID|N")]
    stage: Option<String>,
    /// Leave out what is less severe. What could not be judged is always listed.
    #[arg(long, value_enum, value_name = "SEVERITY", default_value = "note")]
    from: SeverityArg,
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    /// Exit status 1 from this severity up.
    #[arg(long, value_enum, value_name = "SEVERITY", default_value = "fix-first")]
    fail_on: SeverityArg,
    /// Judge under this pack instead of the scene's; options after plus signs: `us+california`.
    #[arg(long, value_name = "PACK")]
    criteria: Option<String>,
    /// Judge under this pack as well, and show what differs.
    #[arg(long, value_name = "PACK", conflicts_with = "stage")]
    beside: Option<String>,
    /// Units to show, instead of the scene's own.
    #[arg(long, value_enum)]
    units: Option<UnitsArg>,
    /// List every consequence with its numbers, and every member by name.
    #[arg(long)]
    all: bool,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let judged = match job::judge_under(&args.scene, args.criteria.as_deref(), context) {
        Ok(judged) => judged,
        Err(problems) => return unread(args.format, &problems, context),
    };
    if let Some(other) = &args.beside {
        return beside(args, &judged, other, context);
    }
    let review = &judged.review;
    let stage = match args.stage.as_deref().map(|asked| stage_named(review, asked)).transpose() {
        Ok(stage) => stage,
        Err(message) => {
            eprintln!("standwell: {message}");
            return Ok(Status::Usage);
        }
    };
    let selection = Selection { stage, from: args.from.into() };
    let fail_on = args.fail_on.into();
    let status = status_of(review, &selection, fail_on);
    let subject = Subject {
        review,
        files: &judged.files,
        selection,
        fail_on,
        units: args.units.map_or(review.assembly.scene.units, UnitSystem::from),
        exit_status: status.code(),
    };
    match args.format {
        Format::Text => {
            let style = context.out.style();
            text::write(&mut context.out, &subject, style, Detail { all: args.all })?;
        }
        Format::Json => json(&Report::of(&subject), context)?,
    }
    Ok(status)
}

/// Judges under another pack as well and shows what differs. The status is the worse of both.
fn beside(
    args: &Args,
    a: &job::Judged,
    other: &str,
    context: &mut Context,
) -> anyhow::Result<Status> {
    let b = match job::judge_under(&args.scene, Some(other), context) {
        Ok(judged) => judged,
        Err(problems) => return unread(args.format, &problems, context),
    };
    let units = args.units.map_or(a.review.assembly.scene.units, UnitSystem::from);
    let fail_on = args.fail_on.into();
    let selection = Selection { stage: None, from: args.from.into() };
    let status = |review| status_of(review, &selection, fail_on);
    let (status_a, status_b) = (status(&a.review), status(&b.review));
    let report = |judged: &job::Judged, status: Status| {
        Report::of(&Subject {
            review: &judged.review,
            files: &judged.files,
            selection: selection.clone(),
            fail_on,
            units,
            exit_status: status.code(),
        })
    };
    let both = Beside {
        program: Report::program(),
        rules: report_beside::rules(&a.review, &b.review, units),
        findings: report_beside::findings(&a.review, &b.review),
        a: report(a, status_a),
        b: report(&b, status_b),
    };
    match args.format {
        Format::Text => {
            let style = context.out.style();
            report_beside::write(&mut context.out, &both, style)?;
        }
        Format::Json => {
            serde_json::to_writer_pretty(&mut context.out, &both)?;
            writeln!(context.out)?;
        }
    }
    Ok(if status_a.code() >= status_b.code() { status_a } else { status_b })
}

/// The demo's review as text, for where no window can be opened.
pub fn print_demo(context: &mut Context) -> anyhow::Result<Status> {
    let args = Args {
        scene: SceneArg { scene: None },
        stage: None,
        from: SeverityArg::Note,
        format: Format::Text,
        fail_on: SeverityArg::FixFirst,
        criteria: None,
        beside: None,
        units: None,
        all: false,
    };
    run(&args, context)
}

/// The files could not be read: problems for people on standard error, for machines as a report.
fn unread(
    format: Format,
    problems: &crate::scene::Problems,
    context: &mut Context,
) -> anyhow::Result<Status> {
    let status = context.problems(problems);
    if format == Format::Json {
        json(&Report::of_problems(problems, status.code()), context)?;
    }
    Ok(status)
}

fn json(report: &Report, context: &mut Context) -> anyhow::Result<()> {
    serde_json::to_writer_pretty(&mut context.out, report)?;
    writeln!(context.out)?;
    Ok(())
}

/// The status of what was asked for: the findings of the stage, or of all, and whether any of
/// its stages has something that could not be judged. No stage at all is nothing judged.
pub fn status_of(review: &Review, selection: &Selection, fail_on: Severity) -> Status {
    let asked = |index: usize| selection.stage.is_none_or(|stage| stage == index);
    let unknown = review.summaries.is_empty()
        || review.summaries.iter().enumerate().any(|(i, s)| asked(i) && s.unknown);
    if unknown {
        return Status::Unknown;
    }
    let there: Vec<&Finding> =
        review.findings.iter().filter(|finding| selection.at_stage(finding)).collect();
    Status::of(there, fail_on)
}

/// A stage by its step's id or, where no step is called so, by its number.
pub fn stage_named(review: &Review, asked: &str) -> Result<usize, String> {
    let stages = &review.sequence.stages;
    if let Some(stage) = stages.iter().find(|stage| stage.step == asked) {
        return Ok(stage.index);
    }
    if let Ok(number) = asked.parse::<usize>() {
        if number < stages.len() {
            return Ok(number);
        }
        return Err(format!("there is no stage {number}: the job has {} stages", stages.len()));
    }
    let near = stages
        .iter()
        .map(|stage| (strsim::damerau_levenshtein(&stage.step, asked), stage.step.as_str()))
        .min()
        .filter(|(distance, _)| *distance <= 3)
        .map_or_else(
            || "`standwell stages` lists them".to_owned(),
            |(_, near)| format!("did you mean \"{near}\"?"),
        );
    Err(format!("there is no step \"{asked}\"; {near}"))
}
