//! `standwell scenes`: the jobs that come with the program.

use super::shipped::{self, SHIPPED};
use super::{Context, Status};
use std::io::Write;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Print the file of this job, to save and edit.
    #[arg(long, value_name = "NAME")]
    print: Option<String>,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    if let Some(name) = &args.print {
        let Some(scene) = shipped::find(name) else {
            eprintln!("standwell: no shipped job is called \"{name}\"");
            return Ok(Status::Usage);
        };
        context.out.write_all(scene.text.as_bytes())?;
        return Ok(Status::Clean);
    }
    let width = SHIPPED.iter().map(|scene| scene.name.len()).max().unwrap_or(0);
    for scene in SHIPPED {
        writeln!(context.out, "{:<width$}  {}", scene.name, scene.about())?;
    }
    Ok(Status::Clean)
}
