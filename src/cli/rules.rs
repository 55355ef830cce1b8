//! `standwell rules`: every number of a criteria pack, its source, and the file that gives it.

use super::job::{Format, UnitsArg};
use super::{Context, Status};
use crate::report::json::Criteria;
use crate::report::rules;
use crate::scene::equip::shipped_packs;
use crate::units::UnitSystem;
use std::io::Write;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// A pack that ships, such as `us`, `uk`, `eu`, or a file; options after a plus sign:
    /// `us+california`. All that ship are listed when left out.
    pack: Option<String>,
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    /// Units to show.
    #[arg(long, value_enum, default_value = "metres")]
    units: UnitsArg,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let Some(asked) = &args.pack else {
        for name in shipped_packs() {
            match crate::scene::read_pack(name) {
                Ok(pack) => {
                    let state = pack.incomplete().unwrap_or_else(|| "complete".to_owned());
                    writeln!(context.out, "{name:<16}{} ({}); {state}", pack.title, pack.region)?;
                }
                Err(problems) => return Ok(context.problems(&problems)),
            }
        }
        return Ok(Status::Clean);
    };
    let pack = match crate::scene::read_pack(asked) {
        Ok(pack) => pack,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    match args.format {
        Format::Text => {
            let style = context.out.style();
            rules::write(&mut context.out, &pack, UnitSystem::from(args.units), style)?;
        }
        Format::Json => {
            serde_json::to_writer_pretty(&mut context.out, &Criteria::of(&pack))?;
            writeln!(context.out)?;
        }
    }
    Ok(Status::Clean)
}
