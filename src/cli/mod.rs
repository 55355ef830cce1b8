//! The command line: one file per subcommand.
//!
//! Results go to standard output alone; progress and problems to standard error. The exit status
//! is the answer for scripts, see [`Status`].

mod calc;
mod changes;
mod check;
mod compare;
mod expand;
mod explain;
pub mod grid;
mod job;
mod lesson;
mod levels;
mod loads;
mod out;
mod permit;
#[cfg(feature = "viewer")]
mod picture;
mod progress;
mod rules;
mod scenes;
mod schema;
pub mod shipped;
mod stages;
mod status;
mod strip;
mod view;
mod walk;

pub use status::Status;

use clap::{Parser, Subcommand};
use out::Out;
use std::ffi::OsString;
use std::process::ExitCode;

/// Would what stands right now stay standing?
///
/// Judges every stage of a slab-shoring job, from the first tower to stripping. Without a command
/// it opens the demo job in the window.
#[derive(Debug, Parser)]
#[command(name = "standwell", version, disable_help_subcommand = true)]
struct Args {
    #[command(subcommand)]
    command: Option<Command>,
    /// Say on standard error how long each part took.
    #[arg(long, global = true, hide = true)]
    verbose: bool,
    /// Show progress on standard error even where it is not a terminal.
    #[arg(long, global = true)]
    progress: bool,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Judge every stage of a job, or one of them.
    Check(check::Args),
    /// Write out the calculation behind a finding, or of a member, to check by hand.
    Calc(calc::Args),
    /// Print every number of a criteria pack with its source and file.
    Rules(rules::Args),
    /// Say what a hazard is, why it is dangerous and how it is judged.
    Explain(explain::Args),
    /// List the stages of a job with the worst of each.
    Stages(stages::Args),
    /// Say where a post's load comes from, as paths from what lies on top.
    Loads(loads::Args),
    /// Print the sequence with every line written out as steps, to copy and edit.
    Expand(expand::Args),
    /// What each slab and level of props carries, floor by floor.
    Levels(levels::Args),
    /// What comes free at each step of the stripping, and which posts stay.
    Strip(strip::Args),
    /// List the changes tried in a job, what each does and how to write it into the job by hand.
    Changes(changes::Args),
    /// Compare a job with itself under other criteria or without its changes, or two stages of it.
    Compare(compare::Args),
    /// Write a new job: one grid of posts of a given size.
    Grid(grid::Args),
    /// Draft, issue or verify a permit to load or to strike.
    Permit(permit::Args),
    /// Train on a lesson or any job, as text.
    Lesson(lesson::Args),
    /// Open the window.
    View(view::Args),
    /// Print the stations of a walk-through, or tick one off.
    Walk(walk::Args),
    /// Draw one stage to a PNG file, without a window.
    #[cfg(feature = "viewer")]
    Picture(picture::Args),
    /// Print the JSON schema of the report that `check --format json` gives, or of another.
    Schema(schema::Args),
    /// List the jobs that come with the program.
    Scenes(scenes::Args),
}

/// What every command gets besides its own arguments.
struct Context {
    out: Out,
    progress: bool,
    verbose: bool,
}

/// Runs the program on its arguments, the program's name first.
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args = match Args::try_parse_from(args) {
        Ok(args) => args,
        Err(error) => {
            // Help and version are results; all else is wrong usage. If the text cannot be
            // written there is nobody to tell.
            let asked_for = !error.use_stderr();
            drop(error.print());
            return if asked_for { Status::Clean } else { Status::Usage }.into();
        }
    };
    let mut context = Context { out: Out::new(), progress: args.progress, verbose: args.verbose };
    let status = dispatch(args.command, &mut context).and_then(|status| {
        context.out.finish()?;
        Ok(status)
    });
    match status {
        Ok(status) => status.into(),
        Err(error) => {
            eprintln!("standwell: {error:#}");
            Status::Unknown.into()
        }
    }
}

fn dispatch(command: Option<Command>, context: &mut Context) -> anyhow::Result<Status> {
    match command {
        None => view::open_demo(context),
        Some(Command::Check(args)) => check::run(&args, context),
        Some(Command::Calc(args)) => calc::run(&args, context),
        Some(Command::Rules(args)) => rules::run(&args, context),
        Some(Command::Explain(args)) => explain::run(&args, context),
        Some(Command::Stages(args)) => stages::run(&args, context),
        Some(Command::Loads(args)) => loads::run(&args, context),
        Some(Command::Expand(args)) => expand::run(&args, context),
        Some(Command::Levels(args)) => levels::run(&args, context),
        Some(Command::Strip(args)) => strip::run(&args, context),
        Some(Command::Changes(args)) => changes::run(&args, context),
        Some(Command::Compare(args)) => compare::run(&args, context),
        Some(Command::Grid(args)) => grid::run(&args, context),
        Some(Command::Permit(args)) => permit::run(&args, context),
        Some(Command::Walk(args)) => walk::run(&args, context),
        Some(Command::Lesson(args)) => lesson::run(&args, context),
        Some(Command::View(args)) => view::run(&args, context),
        #[cfg(feature = "viewer")]
        Some(Command::Picture(args)) => picture::run(&args, context),
        Some(Command::Schema(args)) => schema::run(&args, context),
        Some(Command::Scenes(args)) => scenes::run(&args, context),
    }
}
