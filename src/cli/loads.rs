//! `standwell loads`: where a post's load comes from.

use super::job::{self, Format, SceneArg, UnitsArg};
use super::{Context, Status};
use crate::assembly::{Assembly, MemberId};
use crate::sequence::{Sequence, Stage};
use std::io::Write;

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
    /// Step after which to look; the last when left out.
    #[arg(long, value_name = "ID")]
    stage: Option<String>,
    /// The post, `C4` or `main.post.C4`; all posts with their range when left out.
    #[arg(long, value_name = "NAME")]
    post: Option<String>,
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    /// Units to show, instead of those the scene asks for.
    #[arg(long, value_enum, value_name = "SYSTEM")]
    units: Option<UnitsArg>,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let (assembly, pack, sequence) = match job::laid_out(&args.scene) {
        Ok(found) => found,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let Some(stage) = stage(&sequence, args.stage.as_deref()) else { return Ok(Status::Usage) };
    let posts = match args.post.as_deref() {
        None => assembly.members.iter().filter(|m| m.is_post()).map(|m| m.id).collect::<Vec<_>>(),
        Some(name) => match post(&assembly, name) {
            Some(post) => vec![post],
            None => return Ok(Status::Usage),
        },
    };
    let state = crate::loads::take_down(&assembly, &pack, stage);
    let unit = args.units.map_or(assembly.scene.units, Into::into);
    let style = context.out.style();
    let there: Vec<MemberId> = posts.into_iter().filter(|&p| stage.state(p).is_there()).collect();
    if there.is_empty() {
        eprintln!("standwell: no such post is there after step {}", stage.step);
        return Ok(Status::Usage);
    }
    let report = |post| crate::loads::path::report(&assembly, &pack, stage, &state, post);
    match (args.format, args.post.is_some()) {
        (Format::Json, _) => {
            let all: Vec<_> = there
                .iter()
                .map(|&p| crate::report::loads::json(&assembly, &stage.step, &report(p)))
                .collect();
            serde_json::to_writer_pretty(&mut context.out, &all)?;
            writeln!(context.out)?;
        }
        (Format::Text, true) => {
            for &post in &there {
                crate::report::loads::write(
                    &mut context.out,
                    &assembly,
                    &stage.step,
                    &report(post),
                    unit,
                    style,
                )?;
            }
        }
        (Format::Text, false) => {
            writeln!(
                context.out,
                "{:<16} {:>12} {:>12} {:>12}",
                "post", "at foot", "least", "greatest"
            )?;
            for &post in &there {
                let i = post.index();
                writeln!(
                    context.out,
                    "{:<16} {:>12} {:>12} {:>12}",
                    crate::checks::support::short(&assembly, post),
                    unit.force(state.at_foot[i]),
                    unit.force(state.foot_least[i]),
                    unit.force(state.foot_greatest[i])
                )?;
            }
        }
    }
    if state.no_path.is_empty() && state.unknown.is_empty() && state.unplaced.is_empty() {
        return Ok(Status::Clean);
    }
    for (why, force) in &state.unplaced {
        eprintln!("standwell: not on any post: {why} ({})", unit.force(*force));
    }
    for (_, why) in &state.unknown {
        eprintln!("standwell: not known: {why}");
    }
    for &member in &state.no_path {
        eprintln!("standwell: nothing carries {}", assembly.name(member));
    }
    Ok(Status::Unknown)
}

fn stage<'a>(sequence: &'a Sequence, asked: Option<&str>) -> Option<&'a Stage> {
    let Some(asked) = asked else { return sequence.stages.last() };
    let found = sequence.stages.iter().find(|s| s.step == asked);
    if found.is_none() {
        eprintln!("standwell: there is no step \"{asked}\"; `standwell stages` lists them");
    }
    found
}

/// A post by its full name, or by its grid point where one block alone has it.
fn post(assembly: &Assembly, name: &str) -> Option<MemberId> {
    if let Some(id) = assembly.find(name).filter(|&id| assembly.member(id).is_post()) {
        return Some(id);
    }
    let fits: Vec<MemberId> = assembly
        .members
        .iter()
        .filter(|m| m.is_post() && m.name.ends_with(&format!(".post.{name}")))
        .map(|m| m.id)
        .collect();
    match fits[..] {
        [one] => Some(one),
        [] => {
            eprintln!("standwell: there is no post \"{name}\"");
            None
        }
        _ => {
            eprintln!("standwell: several blocks have a post {name}: name it in full");
            None
        }
    }
}
