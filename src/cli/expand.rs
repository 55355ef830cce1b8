//! `standwell expand`: the sequence with every line written out as steps.

use super::job::{self, SceneArg};
use super::{Context, Status};
use crate::scene::model::{SequenceItem, StepText};
use std::io::Write;

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let steps = match job::expand(&args.scene) {
        Ok(steps) => steps,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    writeln!(context.out, "{}", as_ron(steps)?)?;
    Ok(Status::Clean)
}

/// The steps as the value of a scene's `sequence`.
pub fn as_ron(steps: Vec<StepText>) -> Result<String, ron::Error> {
    let items: Vec<SequenceItem> = steps.into_iter().map(SequenceItem::Step).collect();
    let pretty = ron::ser::PrettyConfig::new().depth_limit(3).indentor("  ");
    ron::ser::to_string_pretty(&items, pretty)
}
