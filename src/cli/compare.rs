//! `standwell compare`: what gets better and what worse, under other criteria, without the changes
//! tried, or from one stage to another.

use super::check::stage_named;
use super::job::{self, SceneArg};
use super::{Context, Status};
use crate::findings::Finding;
use crate::review::{self, Known, Review, Turn, compare, compare_stages};
use crate::scene::edit::{Edit, edit};
use crate::scene::{self, Loaded, Problems};
use crate::units::UnitSystem;
use std::io::{self, Write};

#[derive(Debug, clap::Args)]
#[command(group = clap::ArgGroup::new("with").required(true))]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
    /// With the job judged under these criteria: a name such as `uk-eu`, or a file beside it.
    #[arg(long, value_name = "PACK", group = "with")]
    criteria: Option<String>,
    /// The job as its author wrote it, with the changes tried in it made.
    #[arg(long, group = "with")]
    tried: bool,
    /// One stage with another, each by the id of its step or its number.
    #[arg(long, num_args = 2, value_names = ["ID|N", "ID|N"], group = "with")]
    stages: Option<Vec<String>>,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let loaded = match args.scene.source().and_then(|source| job::load(&source)) {
        Ok(loaded) => loaded,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let judged = match both(args, loaded) {
        Ok(judged) => judged,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    match (&judged, &args.stages) {
        ((one, None), Some(asked)) => {
            let mut at = Vec::new();
            for asked in asked {
                match stage_named(one, asked) {
                    Ok(stage) => at.push(stage),
                    Err(message) => {
                        eprintln!("standwell: {message}");
                        return Ok(Status::Usage);
                    }
                }
            }
            write_stages(&mut context.out, one, at[0], at[1])?;
        }
        ((before, Some(after)), _) => write(&mut context.out, before, after)?,
        ((_, None), None) => {}
    }
    Ok(Status::Clean)
}

/// The job as it is, and what it is compared with.
fn both(args: &Args, loaded: Loaded) -> Result<(Review, Option<Review>), Problems> {
    let judge = |loaded| review::judge(loaded, &|_, _| true);
    if let Some(pack) = &args.criteria {
        let source = loaded.source.clone();
        let with = format!("{pack:?}");
        let change = Edit::Replace { path: "criteria".to_owned(), with };
        let text = edit(&source.text, &source.tree, &change)
            .map_err(|error| Problems(vec![source.problem_at("criteria", error.to_string())]))?;
        let other = scene::read(&text, &source.path)?;
        return Ok((judge(loaded)?, Some(judge(other)?)));
    }
    if args.tried {
        let mut author = loaded.clone();
        author.scene.changes.clear();
        return Ok((judge(author)?, Some(judge(loaded)?)));
    }
    Ok((judge(loaded)?, None))
}

fn write(out: &mut dyn Write, before: &Review, after: &Review) -> io::Result<()> {
    writeln!(out, "{}", before.assembly.scene.title)?;
    writeln!(out, "  from        {}", before.pack.title)?;
    writeln!(out, "  to          {}", after.pack.title)?;
    for change in &after.changes {
        if !before.changes.contains(change) {
            let words = crate::changes::words::of(&change.change, after.assembly.scene.units);
            writeln!(out, "  tried       {}: {words}", change.name)?;
        }
    }
    let compared = compare(before, after);
    for (turn, title) in [(Turn::Worse, "worse"), (Turn::Better, "better")] {
        writeln!(out, "\n{title}: {}", compared.of_turn(turn).count())?;
        for pair in compared.of_turn(turn) {
            let old = pair.before.map(|i| &before.findings[i]);
            let new = pair.after.map(|i| &after.findings[i]);
            writeln!(out, "  {}", pair_words(old, new))?;
        }
    }
    writeln!(out, "\nas before: {}", compared.of_turn(Turn::Same).count())?;
    let differ = |turn: Turn| {
        let of = |p: &&review::StagePair| p.worst == Some(turn);
        compared.stages.iter().filter(of).map(|p| p.step.as_str()).collect::<Vec<_>>()
    };
    for (turn, title) in [(Turn::Worse, "stages worse"), (Turn::Better, "stages better")] {
        let steps = differ(turn);
        if !steps.is_empty() {
            writeln!(out, "{title}: {}", steps.join(" "))?;
        }
    }
    Ok(())
}

/// One finding as it was and as it is.
fn pair_words(old: Option<&Finding>, new: Option<&Finding>) -> String {
    let severity = |f: &Finding| if f.unknown { "unknown" } else { f.severity.words() };
    let from = |f: &Finding| format!("{} from step {}", f.headline, f.from_step);
    match (old, new) {
        (Some(old), Some(new)) if severity(old) == severity(new) => {
            format!("{} {}, {}", new.code, severity(new), from(new))
        }
        (Some(old), Some(new)) => {
            format!("{} {}, was {}: {}", new.code, severity(new), severity(old), from(new))
        }
        (None, Some(new)) => format!("{} {}, new: {}", new.code, severity(new), from(new)),
        (Some(old), None) => format!("{} was {}, gone: {}", old.code, severity(old), from(old)),
        (None, None) => String::new(),
    }
}

fn write_stages(out: &mut dyn Write, review: &Review, i: usize, j: usize) -> io::Result<()> {
    let name = |at: usize| {
        let step = review.sequence.stages.get(at).map_or("", |s| s.step.as_str());
        format!("stage {at} ({step})")
    };
    let units = review.assembly.scene.units;
    let difference = compare_stages(review, i, review, j);
    writeln!(out, "{} and {}", name(i), name(j))?;
    for number in &difference.reserves {
        let (before, after) = (known(&number.before, units), known(&number.after, units));
        writeln!(out, "  {:<22} {before} -> {after}", number.what)?;
    }
    let lists = [
        (format!("only at {}", name(i)), difference.only_before),
        (format!("only at {}", name(j)), difference.only_after),
        ("at both".to_owned(), difference.both.iter().map(|&(k, _)| k).collect()),
    ];
    for (title, list) in lists {
        writeln!(out, "\n{title}: {}", list.len())?;
        for k in list {
            let f = &review.findings[k];
            let severity = if f.unknown { "unknown" } else { f.severity.words() };
            writeln!(out, "  {} {severity}, {}", f.code, f.headline)?;
        }
    }
    Ok(())
}

/// A reserve in words.
fn known(known: &Known, units: UnitSystem) -> String {
    match known {
        Known::Nothing => "nothing to judge".to_owned(),
        Known::Exactly(value) => units.ratio(*value),
        Known::AtLeast(value) => format!("at least {}", units.ratio(*value)),
        Known::Below(value) => format!("below {}", units.ratio(*value)),
        Known::Unknown(why) => format!("unknown: {why}"),
    }
}
