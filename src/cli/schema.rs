//! `standwell schema`: the JSON schema of the report.

use super::{Context, Status};
use crate::report::Report;
use std::io::Write;

pub fn run(context: &mut Context) -> anyhow::Result<Status> {
    serde_json::to_writer_pretty(&mut context.out, &schemars::schema_for!(Report))?;
    writeln!(context.out)?;
    Ok(Status::Clean)
}
