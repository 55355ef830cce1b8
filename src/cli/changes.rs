//! `standwell changes`: the changes tried in a job.

use super::job::{self, SceneArg, UnitsArg};
use super::{Context, Status};
use crate::changes::{self, words};
use crate::units::UnitSystem;
use std::io::Write;

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
    /// Units to show, instead of the scene's own.
    #[arg(long, value_enum)]
    units: Option<UnitsArg>,
}

/// Lists them, and says what keeps one from being made. Status 2 if any cannot be made.
pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let loaded = match args.scene.source().and_then(|source| job::load(&source)) {
        Ok(loaded) => loaded,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let units = args.units.map_or(loaded.scene.units, UnitSystem::from);
    if loaded.scene.changes.is_empty() {
        writeln!(context.out, "no changes are tried in this job")?;
        return Ok(Status::Clean);
    }
    for (i, change) in loaded.scene.changes.iter().enumerate() {
        let (line, _) = loaded.source.place(loaded.source.range(&format!("changes[{i}]")).start);
        writeln!(context.out, "{}  (line {line})", change.name)?;
        writeln!(context.out, "    {}", words::of(&change.change, units))?;
        writeln!(context.out, "    by hand: {}", words::by_hand(&change.change))?;
    }
    match changes::lay_out(loaded) {
        Ok(_) => Ok(Status::Clean),
        Err(problems) => Ok(context.problems(&problems)),
    }
}
