//! `standwell grid`: a new job, one grid of posts of a given size.

use super::{Context, Status};
use crate::units::{Length, UnitSystem};
use anyhow::Context as _;
use std::fmt::Write as _;
use std::io::Write;
use std::path::PathBuf;

/// Lines one way with one-letter names.
const LETTERS: u32 = 26;
/// Bays one way; more are a slip of the pen.
const MOST: u32 = 300;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Bays along x and along y.
    #[arg(long, value_parser = bays, value_name = "NxM")]
    bays: (u32, u32),
    /// Bay length, or one along x and one along y: "6 ft", "8 ft x 6 ft", "1.8 m".
    #[arg(long, value_parser = spacing, default_value = "6 ft")]
    spacing: (Spacing, Spacing),
    /// From the floor to the heads, where ledgers and joists meet the posts.
    #[arg(long, value_parser = length, default_value = "9 ft")]
    height: Spacing,
    /// Posts are put up bay after bay from a tower at the first corner; with this, only the
    /// finished stage is there.
    #[arg(long)]
    no_sequence: bool,
    /// With joists between the lines and sheets nailed over them, laid bay after bay at the end.
    #[arg(long)]
    deck: bool,
    /// Write to this file instead of standard output. A file that is there is kept.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// A length with the words it was written in.
#[derive(Clone, Debug, PartialEq)]
pub struct Spacing {
    pub text: String,
    pub length: Length,
}

fn bays(text: &str) -> Result<(u32, u32), String> {
    let count = |text: &str| text.trim().parse().ok().filter(|n| (1..=MOST).contains(n));
    text.split_once(['x', '×'])
        .and_then(|(x, y)| Some((count(x)?, count(y)?)))
        .ok_or_else(|| format!("write two numbers of bays such as 12x8, each from 1 to {MOST}"))
}

fn length(text: &str) -> Result<Spacing, String> {
    let length: Length = text.parse().map_err(|e: crate::units::QuantityError| e.to_string())?;
    if length.si() > 0.0 {
        Ok(Spacing { text: text.trim().to_owned(), length })
    } else {
        Err("a length above zero is due".to_owned())
    }
}

fn spacing(text: &str) -> Result<(Spacing, Spacing), String> {
    match text.split_once(['x', '×']) {
        Some((x, y)) => Ok((length(x)?, length(y)?)),
        None => length(text).map(|one| (one.clone(), one)),
    }
}

pub(super) fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let scene = match scene(args) {
        Ok(scene) => scene,
        Err(message) => {
            eprintln!("standwell: {message}");
            return Ok(Status::Usage);
        }
    };
    match &args.out {
        None => context.out.write_all(scene.as_bytes())?,
        Some(path) => {
            let file = std::fs::OpenOptions::new().write(true).create_new(true).open(path);
            let told = || format!("cannot write {}", path.display());
            file.with_context(told)?.write_all(scene.as_bytes()).with_context(told)?;
            eprintln!("wrote {}", path.display());
        }
    }
    Ok(Status::Clean)
}

/// The text of a floor of so many bays of 6 ft at a height of 9 ft, erected from its first corner.
///
/// # Errors
/// A number of bays that is none.
pub fn floor(bays: (u32, u32), deck: bool) -> Result<String, String> {
    if ![bays.0, bays.1].iter().all(|n| (1..=MOST).contains(n)) {
        return Err(format!("from 1 to {MOST} bays each way"));
    }
    let spacing = spacing("6 ft")?;
    let height = length("9 ft")?;
    scene(&Args { bays, spacing, height, no_sequence: false, deck, out: None })
}

/// The text of the scene file.
fn scene(args: &Args) -> Result<String, String> {
    let (x, y) = args.bays;
    let post = post_for(args.height.length)?;
    let (x_lines, x_first, x_second) = lines_x(x);
    let (along_x, along_y) = &args.spacing;
    let units =
        if args.height.text.contains(['f', 'i']) { UnitSystem::Feet } else { UnitSystem::Metres };
    let units = match units {
        UnitSystem::Feet => "feet",
        UnitSystem::Metres => "metres",
    };
    let mut text = String::new();
    let mut line = |part: String| writeln!(text, "{part}").map_err(|e| e.to_string());
    line(format!(
        "// A grid of {x} by {y} bays on sample equipment. Replace what differs on your site."
    ))?;
    line("(".to_owned())?;
    line("    format: 1,".to_owned())?;
    line(format!("    title: \"Grid of {x} by {y} bays\","))?;
    line(format!("    units: {units},"))?;
    line("    equipment: [\"sample\"],".to_owned())?;
    line("    criteria: \"us\",".to_owned())?;
    // So light a frame is held by its own weight alone until the deck is on.
    line("    wind: (working: \"25 mph\"),".to_owned())?;
    line("    crew: (size: 5),".to_owned())?;
    line("    floors: [(name: \"floor\", level: \"0 m\", kind: Slab)],".to_owned())?;
    line("    blocks: [(".to_owned())?;
    line("        name: \"main\",".to_owned())?;
    line(format!("        x: (lines: \"{x_lines}\", every: \"{}\"),", along_x.text))?;
    line(format!("        y: (lines: \"1..{}\", every: \"{}\"),", y + 1, along_y.text))?;
    line("        stands_on: \"floor\",".to_owned())?;
    line(format!("        head: \"{}\",", args.height.text))?;
    line(format!("        post: \"{post}\","))?;
    line("        ledger: [\"ledger-4\", \"ledger-6\", \"ledger-8\"],".to_owned())?;
    line("        joist: [\"joist-4\", \"joist-6\", \"joist-8\"],".to_owned())?;
    line(format!("        brace: \"{}\",", brace_for(args)))?;
    line("        brace_every: 3,".to_owned())?;
    if args.deck {
        line("        fillers: 2,".to_owned())?;
        line(format!("        sheet: \"{}\",", sheet_for(along_x.length)))?;
    }
    line("    )],".to_owned())?;
    if !args.no_sequence {
        line("    sequence: [".to_owned())?;
        let tower = format!("{x_first}1-{x_second}2");
        line(format!("        Tower(id: \"tower\", block: \"main\", at: \"{tower}\"),"))?;
        if x > 1 || y > 1 {
            line(format!("        Erect(id: \"erect\", block: \"main\", from: \"{tower}\"),"))?;
        }
        if args.deck {
            line("        Deck(id: \"deck\", block: \"main\", nailed: true),".to_owned())?;
        }
        line("    ],".to_owned())?;
    }
    line(")".to_owned())?;
    Ok(text)
}

/// Names of the lines crossed along x, with the first two: letters, then `X1_`-like names when
/// the alphabet runs out, so that no grid point can be read in two ways.
fn lines_x(bays: u32) -> (String, String, String) {
    let letter = |index: u32| char::from(b'A' + u8::try_from(index % LETTERS).unwrap_or(0));
    if bays < LETTERS {
        return (format!("A..{}", letter(bays)), "A".to_owned(), "B".to_owned());
    }
    let name = |index: u32| format!("{}{}", letter(index / LETTERS), letter(index));
    let names: Vec<String> = (0..=bays).map(name).collect();
    (names.join(" "), name(0), name(1))
}

/// The sample post that reaches so high.
fn post_for(height: Length) -> Result<&'static str, String> {
    let feet = height.si() / 0.3048;
    match feet {
        f if f < 6.0 - 1e-9 => Err("the sample posts reach from 6 ft to 16 ft".to_owned()),
        f if f <= 10.0 + 1e-9 => Ok("post-10"),
        f if f <= 12.0 + 1e-9 => Ok("post-12"),
        f if f <= 16.0 + 1e-9 => Ok("post-16"),
        _ => Err("the sample posts reach from 6 ft to 16 ft".to_owned()),
    }
}

/// The sample sheet that covers a bay in one length, or the longest.
fn sheet_for(bay: Length) -> &'static str {
    match bay.si() / 0.3048 {
        f if f <= 4.0 + 1e-9 => "sheet-4",
        f if f <= 6.0 + 1e-9 => "sheet-6",
        _ => "sheet-8",
    }
}

/// The sample brace long enough for the longer bay's diagonal.
fn brace_for(args: &Args) -> &'static str {
    let bay = args.spacing.0.length.si().max(args.spacing.1.length.si());
    if bay.hypot(args.height.length.si()) <= 4.2 { "brace" } else { "brace-long" }
}
