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
    let demo = SceneArg { scene: None }.source()?;
    let why = match no_window() {
        None => match open(&demo) {
            Ok(()) => return Ok(Status::Clean),
            Err(error) => format!("{error:#}"),
        },
        Some(why) => why,
    };
    eprintln!("standwell: {why}; here is the demo's review instead");
    check::print_demo(context)?;
    Ok(Status::Clean)
}

/// Why no window can be opened, if none can.
fn no_window() -> Option<String> {
    if !cfg!(feature = "viewer") {
        return Some("this program was built without the window".to_owned());
    }
    if !cfg!(all(unix, not(target_os = "macos"))) {
        return None;
    }
    match std::env::var("DISPLAY") {
        Ok(name) if nobody_answers(&name) => Some(format!("nobody answers at display {name}")),
        Ok(name) if !name.is_empty() => None,
        _ => Some("there is no display (DISPLAY is not set)".to_owned()),
    }
}

/// Whether a display on this machine, `:0` or `:1.0`, is known not to be there. Asked before the
/// window is begun, which would end the program. A display reached in another way may be there.
#[cfg(target_os = "linux")]
fn nobody_answers(display: &str) -> bool {
    use std::os::linux::net::SocketAddrExt;
    use std::os::unix::net::{SocketAddr, UnixStream};
    let Some(number) = display.strip_prefix(':').and_then(|rest| rest.split('.').next()) else {
        return false;
    };
    let path = format!("/tmp/.X11-unix/X{number}");
    let unnamed = SocketAddr::from_abstract_name(path.as_bytes());
    UnixStream::connect(&path).is_err()
        && unnamed.and_then(|address| UnixStream::connect_addr(&address)).is_err()
}

#[cfg(not(target_os = "linux"))]
fn nobody_answers(_display: &str) -> bool {
    false
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
