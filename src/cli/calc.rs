//! `standwell calc`: the numbers and formulas that led to a finding, or of a member at a stage.

use super::check::stage_named;
use super::job::{self, Format, SceneArg, UnitsArg};
use super::{Context, Status};
use crate::assembly::MemberId;
use crate::calc::{CalcSheet, of_member};
use crate::findings::Finding;
use crate::report::calc::{CalcReport, write};
use crate::review::Review;
use crate::units::UnitSystem;
use std::io::Write;

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
    /// A finding: its code and a step at which it stands, `SW202@pour`.
    #[arg(long, value_name = "CODE@STEP", conflicts_with = "member")]
    finding: Option<String>,
    /// A member by its name.
    #[arg(long, value_name = "NAME")]
    member: Option<String>,
    /// The stage of the member: the id of the step that leads to it, or its number; the last one
    /// when left out.
    #[arg(long, value_name = "ID|N", conflicts_with = "finding")]
    stage: Option<String>,
    #[arg(long, value_enum, default_value = "text")]
    format: Format,
    /// Units to show, instead of the scene's own.
    #[arg(long, value_enum)]
    units: Option<UnitsArg>,
    /// Judge under this pack instead of the scene's, `us+california`.
    #[arg(long, value_name = "PACK")]
    criteria: Option<String>,
}

/// Sheets for a finding of many members: those used most.
const SHEETS: usize = 3;

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let judged = match job::judge_under(&args.scene, args.criteria.as_deref(), context) {
        Ok(judged) => judged,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let review = &judged.review;
    let units = args.units.map_or(review.assembly.scene.units, UnitSystem::from);
    let asked = match (&args.finding, &args.member) {
        (Some(finding), _) => of_finding(review, finding, units),
        (None, Some(member)) => {
            of_one(review, member, args.stage.as_deref(), units).map(|s| (Vec::new(), vec![s]))
        }
        (None, None) => Err("say which --finding or --member".to_owned()),
    };
    let (findings, sheets) = match asked {
        Ok(asked) => asked,
        Err(message) => {
            eprintln!("standwell: {message}");
            return Ok(Status::Usage);
        }
    };
    let title = &review.assembly.scene.title;
    let report = CalcReport::of(title, &review.pack, &findings, sheets, units);
    match args.format {
        Format::Text => {
            let style = context.out.style();
            write(&mut context.out, &report, style)?;
        }
        Format::Json => {
            serde_json::to_writer_pretty(&mut context.out, &report)?;
            writeln!(context.out)?;
        }
    }
    Ok(Status::Clean)
}

fn sheet(review: &Review, stage: usize, member: MemberId, units: UnitSystem) -> Option<CalcSheet> {
    Some(of_member(&review.at(stage)?, member, units))
}

fn of_one(
    review: &Review,
    name: &str,
    stage: Option<&str>,
    units: UnitSystem,
) -> Result<CalcSheet, String> {
    let assembly = &review.assembly;
    let member = assembly.find(name).ok_or_else(|| {
        let near = assembly
            .names()
            .map(|n| (strsim::damerau_levenshtein(n, name), n))
            .min()
            .filter(|(distance, _)| *distance <= 3)
            .map_or_else(String::new, |(_, near)| format!("; did you mean \"{near}\"?"));
        format!("there is no member \"{name}\"{near}")
    })?;
    let stage = match stage {
        Some(asked) => stage_named(review, asked)?,
        None => review.stages.len().saturating_sub(1),
    };
    sheet(review, stage, member, units).ok_or_else(|| "there is no stage".to_owned())
}

/// The findings of a code that stand after a step, with the sheets of their members.
fn of_finding<'r>(
    review: &'r Review,
    asked: &str,
    units: UnitSystem,
) -> Result<(Vec<&'r Finding>, Vec<CalcSheet>), String> {
    let (code, step) =
        asked.split_once('@').ok_or("write the finding as CODE@STEP, such as SW202@pour")?;
    let stage = stage_named(review, step)?;
    let found: Vec<&Finding> = review
        .findings
        .iter()
        .filter(|f| f.code.eq_ignore_ascii_case(code) || f.hazard.eq_ignore_ascii_case(code))
        .filter(|f| (f.from_stage..=f.last_stage).contains(&stage))
        .collect();
    if found.is_empty() {
        return Err(format!("no finding {code} stands after step {step}"));
    }
    let mut members: Vec<MemberId> = found
        .iter()
        .flat_map(|f| f.subjects.iter().chain(&f.others))
        .filter_map(|name| review.assembly.find(name))
        .collect();
    members.sort_unstable();
    members.dedup();
    let mut sheets: Vec<CalcSheet> =
        members.into_iter().filter_map(|m| sheet(review, stage, m, units)).collect();
    sheets.sort_by(|a, b| most_used(b).total_cmp(&most_used(a)));
    sheets.truncate(SHEETS);
    Ok((found, sheets))
}

/// The greatest use on a sheet.
fn most_used(sheet: &CalcSheet) -> f64 {
    sheet
        .sections
        .iter()
        .flat_map(|s| &s.lines)
        .filter(|l| l.symbol == "U")
        .map(|l| l.value)
        .fold(0.0, f64::max)
}
