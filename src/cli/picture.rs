//! `standwell picture`: one stage drawn to a PNG file, without a window.

use super::job::SceneArg;
use super::{Context, Status};
use std::path::PathBuf;

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
    /// The id of the step that leads to the stage, or its number; the last one when left out.
    #[arg(long, value_name = "ID|N")]
    stage: Option<String>,
    /// The PNG file to write.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Width and height in pixels.
    #[arg(long, value_parser = size, default_value = "1600x1000")]
    size: (u32, u32),
}

/// `1600x1000`; both from 16 to 8192.
fn size(text: &str) -> Result<(u32, u32), String> {
    let fits = |text: &str| text.trim().parse().ok().filter(|n| (16..=8192).contains(n));
    text.split_once(['x', '×'])
        .and_then(|(width, height)| Some((fits(width)?, fits(height)?)))
        .ok_or_else(|| "write width and height such as 1600x1000, each from 16 to 8192".to_owned())
}

pub fn run(args: &Args, _context: &mut Context) -> anyhow::Result<Status> {
    anyhow::bail!("pictures are not part of this build: {args:?}")
}
