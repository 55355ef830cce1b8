//! `standwell expand`: the sequence with every line written out as steps.

use super::job::{self, SceneArg};
use super::{Context, Status};
use std::io::Write;

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
}

/// Prints a list that can take the place of the scene's `sequence`.
pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let steps = match job::expand(&args.scene) {
        Ok(steps) => steps,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    writeln!(context.out, "[")?;
    context.out.write_all(crate::sequence::to_ron(&steps).as_bytes())?;
    writeln!(context.out, "]")?;
    Ok(Status::Clean)
}
