//! `standwell stages`: the stages of a job with the worst of each.

use super::check::status_of;
use super::job::{self, SceneArg, SeverityArg};
use super::{Context, Status};
use crate::report::{Selection, stages};

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
    /// Exit status 1 from this severity up.
    #[arg(long, value_enum, value_name = "SEVERITY", default_value = "fix-first")]
    fail_on: SeverityArg,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let judged = match job::judge(&args.scene, context) {
        Ok(judged) => judged,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let style = context.out.style();
    stages::write(&mut context.out, &judged.review, style)?;
    Ok(status_of(&judged.review, &Selection::default(), args.fail_on.into()))
}
