//! `standwell picture`: one stage drawn to a PNG file, without a window.

use super::job::{self, SceneArg};
use super::{Context, Status, check};
use crate::review::Review;
use crate::viewer::state::stands_at;
use crate::viewer::theme::Look;
use crate::viewer::vocab::{Item, NamedView, Unfolded};
use crate::viewer::{self, Options};
use std::path::PathBuf;
use std::sync::Arc;

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
    /// From where.
    #[arg(long, value_enum, default_value_t)]
    view: ViewArg,
    /// A member's name or a hazard's code: brought near, with the rest out of focus.
    #[arg(long, value_name = "NAME|CODE")]
    about: Option<String>,
    /// Dark colours.
    #[arg(long)]
    dark: bool,
    /// Black on white, for a projector.
    #[arg(long, conflicts_with = "dark")]
    contrast: bool,
    /// No signs, names or levels.
    #[arg(long, conflicts_with = "panels")]
    bare: bool,
    /// The whole window with its panels.
    #[arg(long)]
    panels: bool,
    /// With the hand calculation of what the picture is about.
    #[arg(long, requires = "panels")]
    calc: bool,
    /// With the way of its load.
    #[arg(long, requires = "panels")]
    load: bool,
    /// Text of the panels so many times its own size, from 0.5 to 3.
    #[arg(long, requires = "panels", value_name = "TIMES", value_parser = text, default_value = "1")]
    text: f32,
}

/// Views with a name.
#[derive(Clone, Copy, Debug, Default, clap::ValueEnum)]
enum ViewArg {
    #[default]
    Corner,
    Plan,
    Front,
    Side,
}

impl From<ViewArg> for NamedView {
    fn from(arg: ViewArg) -> Self {
        match arg {
            ViewArg::Corner => Self::Corner,
            ViewArg::Plan => Self::Plan,
            ViewArg::Front => Self::Front,
            ViewArg::Side => Self::Side,
        }
    }
}

/// `1600x1000`; both from 16 to 8192.
fn size(text: &str) -> Result<(u32, u32), String> {
    let fits = |text: &str| text.trim().parse().ok().filter(|n| (16..=8192).contains(n));
    text.split_once(['x', '×'])
        .and_then(|(width, height)| Some((fits(width)?, fits(height)?)))
        .ok_or_else(|| "write width and height such as 1600x1000, each from 16 to 8192".to_owned())
}

/// How large the text is.
fn text(text: &str) -> Result<f32, String> {
    let fits = text.trim().parse().ok().filter(|times| (0.5..=3.0).contains(times));
    fits.ok_or_else(|| "write a number from 0.5 to 3".to_owned())
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let judged = match job::judge(&args.scene, context) {
        Ok(judged) => judged,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let review = judged.review;
    let last = review.sequence.stages.len().saturating_sub(1);
    let stage = match args.stage.as_deref().map(|asked| check::stage_named(&review, asked)) {
        None => last,
        Some(Ok(stage)) => stage,
        Some(Err(message)) => {
            eprintln!("standwell: {message}");
            return Ok(Status::Usage);
        }
    };
    let item = match &args.about {
        None => None,
        Some(about) => match item(&review, stage, about) {
            Some(item) => Some(item),
            None => {
                eprintln!("standwell: \"{about}\" is no member, and no hazard found at that stage");
                return Ok(Status::Usage);
            }
        },
    };
    let options = Options {
        view: args.view.into(),
        look: match (args.dark, args.contrast) {
            (true, _) => Look::Dark,
            (_, true) => Look::Contrast,
            _ => Look::Day,
        },
        item,
        labels: !args.bare,
        panels: args.panels,
        unfolded: Unfolded { calc: args.calc, load: args.load },
        text: args.text,
    };
    viewer::picture(Arc::new(review), stage, &args.out, args.size, &options)?;
    eprintln!("wrote {}", args.out.display());
    Ok(Status::Clean)
}

/// A member by name, or the first finding of a hazard at the stage by its code.
fn item(review: &Review, stage: usize, about: &str) -> Option<Item> {
    let code = |f: &crate::findings::Finding| f.code == about || f.hazard == about;
    let finding = review.findings.iter().position(|f| code(f) && stands_at(f, stage));
    review.assembly.find(about).map(Item::Member).or(finding.map(Item::Finding))
}
