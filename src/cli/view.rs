//! `standwell view`, and what happens without a command: the window.

use super::job::{self, SceneArg, Source};
use super::{Context, Status, check};

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
}

/// Opens a job in the window, and stays until it is closed.
pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let source = match args.scene.source() {
        Ok(source) => source,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    if let Some(why) = no_window() {
        anyhow::bail!("{why}; `standwell check` prints the review");
    }
    open(&source)?;
    Ok(Status::Clean)
}

/// Opens the demo or, where no window can be opened, says so and prints its review. That is what
/// was asked for, so the exit status is 0 whatever the review finds.
pub fn open_demo(context: &mut Context) -> anyhow::Result<Status> {
    if let Some(why) = no_window() {
        eprintln!("standwell: {why}; here is the demo's review instead");
        check::print_demo(context)?;
        return Ok(Status::Clean);
    }
    open(&SceneArg { scene: None }.source().map_err(anyhow::Error::new)?)?;
    Ok(Status::Clean)
}

/// Why no window can be opened, if none can.
fn no_window() -> Option<&'static str> {
    if !cfg!(feature = "viewer") {
        return Some("this program was built without the window");
    }
    let set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let needs_display = cfg!(all(unix, not(target_os = "macos")));
    (needs_display && !set("DISPLAY")).then_some("there is no display (DISPLAY is not set)")
}

#[cfg(feature = "viewer")]
fn open(source: &Source) -> anyhow::Result<()> {
    crate::viewer::open(Some(path_of(source)))
}

/// As the window knows it: a file, or the name of a job that is part of the program.
#[cfg(feature = "viewer")]
fn path_of(source: &Source) -> std::path::PathBuf {
    match source {
        Source::File(path) => path.clone(),
        Source::Shipped(_) => {
            format!("{}{}", crate::viewer::rooms::SHIPPED, job::name_of(source)).into()
        }
    }
}

#[cfg(not(feature = "viewer"))]
fn open(source: &Source) -> anyhow::Result<()> {
    anyhow::bail!("cannot show {}: built without the window", job::name_of(source))
}
