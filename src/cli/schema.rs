//! `standwell schema`: the JSON schemas of what the program writes for machines.

use super::{Context, Status};
use crate::report::beside::Beside;
use crate::report::calc::CalcReport;
use crate::report::{Report, json::Criteria};
use std::io::Write;

#[derive(Debug, clap::Args)]
pub struct Args {
    /// Which report's.
    #[arg(long, value_enum, default_value = "check")]
    of: Which,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Which {
    Check,
    /// `check --beside`.
    Beside,
    Calc,
    Rules,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let schema = match args.of {
        Which::Check => schemars::schema_for!(Report),
        Which::Beside => schemars::schema_for!(Beside),
        Which::Calc => schemars::schema_for!(CalcReport),
        Which::Rules => schemars::schema_for!(Criteria),
    };
    serde_json::to_writer_pretty(&mut context.out, &schema)?;
    writeln!(context.out)?;
    Ok(Status::Clean)
}
