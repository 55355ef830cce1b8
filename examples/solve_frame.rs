//! Solves a frame in the neutral format and prints everything as JSON, so that anyone can hold
//! the engine against another library.
//!
//! ```text
//! cargo run --no-default-features --example solve_frame -- FRAME.json \
//!     [--case V] [--modes 4] [--inertia 4.18,4.62] [--relative 0.95,0.999,1.001,1.05] \
//!     [--form cubic|exact]
//! ```
//!
//! The format is described in `standwell::mechanics::neutral`. Out come, in the units that went in:
//!
//! * `mechanisms`: `count` (null where it cannot be told, with `unknown` saying why), `spins`,
//!   `motions` (per motion, per node, three translations and three rotations);
//! * `cases`: per case `displacements` per node, `end_forces` per member (`i` and `j`, local axes,
//!   force and moment on the member by its node), `axial` (tension positive), `reactions`,
//!   `strain_energy`, `residual`; or `unknown` and why;
//! * `condition` of the first-order stiffness (scaled): round-off may grow by as much;
//! * `critical_load_factors`, ascending, for the case named, and their `modes`;
//! * `inertia`: per factor asked for, how many critical load factors lie below it (`--relative`
//!   gives factors as multiples of the lowest);
//! * `timings`, milliseconds; with `processor`, processor time of the thread.
//!
//! Mechanisms are pinned before solving; a case that does work on one has no answer. Exit status:
//! 0 an answer for everything, 1 something is unknown, 2 no frame.
#![allow(clippy::print_stdout, clippy::exit, reason = "a program that prints its answer")]

use std::time::Instant;

use anyhow::Context;
use clap::Parser;
use serde_json::{Map, Value, json};
use standwell::mechanics::answers::{CriticalMode, Mechanisms, Solution, Unknown};
use standwell::mechanics::frame::ElementForm;
use standwell::mechanics::mechanisms;
use standwell::mechanics::model::Model;
use standwell::mechanics::neutral::{self, Neutral};

#[derive(Parser)]
struct Arguments {
    /// Frame in the neutral format; `-` reads from standard input.
    frame: String,
    /// Case whose axial forces make the frame unstable; the first one where not given.
    #[arg(long)]
    case: Option<String>,
    /// How many of the lowest critical load factors.
    #[arg(long, default_value_t = 4)]
    modes: usize,
    /// Factors at which critical load factors below are counted.
    #[arg(long, value_delimiter = ',')]
    inertia: Vec<f64>,
    /// The same, as multiples of the lowest critical load factor.
    #[arg(long, value_delimiter = ',')]
    relative: Vec<f64>,
    /// Beam element: cubic shape functions, or the exact beam-column.
    #[arg(long, default_value = "cubic", value_parser = ["cubic", "exact"])]
    form: String,
}

fn main() {
    match run(&Arguments::parse()) {
        Ok((answer, whole)) => {
            println!("{answer:#}");
            std::process::exit(i32::from(!whole));
        }
        Err(error) => {
            eprintln!("{error:#}");
            std::process::exit(2);
        }
    }
}

/// Milliseconds by stage of the work.
#[derive(Default)]
struct Timings(Map<String, Value>);

impl Timings {
    fn time<T>(&mut self, stage: &str, work: impl FnOnce() -> T) -> T {
        let (start, processor) = (Instant::now(), processor());
        let out = work();
        let used = (self::processor() - processor) * 1e3;
        self.0.insert(format!("{stage} processor"), json!(used));
        self.0.insert(stage.into(), json!(start.elapsed().as_secs_f64() * 1e3));
        out
    }
}

/// Processor time of this thread so far, seconds; zero where the system does not say.
fn processor() -> f64 {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    text.split(' ').next().and_then(|n| n.parse::<f64>().ok()).map_or(0.0, |n| n * 1e-9)
}

fn run(arguments: &Arguments) -> anyhow::Result<(Value, bool)> {
    let text = if arguments.frame == "-" {
        std::io::read_to_string(std::io::stdin()).context("standard input")?
    } else {
        std::fs::read_to_string(&arguments.frame).with_context(|| arguments.frame.clone())?
    };
    let mut timings = Timings::default();
    let neutral = timings.time("read", || neutral::read(&text))?;
    let frame = &neutral.frame;
    let form = if arguments.form == "exact" { ElementForm::Exact } else { ElementForm::Cubic };
    let found = timings.time("mechanisms", || mechanisms::find(frame))?;
    let mut whole = found.count.is_ok();
    let mut out = Map::new();
    out.insert("element".into(), json!(arguments.form));
    out.insert("nodes".into(), json!(frame.nodes.len()));
    out.insert("members".into(), json!(frame.members.len()));
    out.insert("mechanisms".into(), mechanisms_json(&found));

    let model = timings.time("numbering", || Model::new(frame, form, &found.all_pins()))?;
    out.insert("unknowns".into(), json!(model.size()));
    let factored = timings.time("factor", || model.factor());
    out.insert(
        "condition".into(),
        json!(factored.as_ref().ok().map(standwell::mechanics::solve::Factored::condition)),
    );
    let mut cases = Map::new();
    let mut axial = None;
    let wanted = arguments.case.clone().or_else(|| neutral.cases.keys().next().cloned());
    if let Some(name) = &arguments.case {
        anyhow::ensure!(neutral.cases.contains_key(name), "there is no case {name:?}");
    }
    for (name, case) in &neutral.cases {
        let outcome = match &factored {
            Ok(factored) => timings.time(&format!("solve {name}"), || factored.solve(case)),
            Err(unknown) => Err(unknown.clone()),
        };
        let outcome = outcome.and_then(no_work_on_mechanisms);
        whole &= outcome.is_ok();
        if Some(name) == wanted.as_ref() {
            axial = outcome.as_ref().ok().map(|s| s.axial.clone());
        }
        cases.insert(name.clone(), or_unknown(outcome.map(|s| solution_json(&s))));
    }
    out.insert("cases".into(), Value::Object(cases));
    if let (Some(axial), Some(case)) = (axial, wanted) {
        out.insert("case".into(), json!(case));
        whole &= critical(arguments, &neutral, &model, &axial, &mut out, &mut timings);
    }
    out.insert("timings".into(), Value::Object(timings.0));
    Ok((Value::Object(out), whole))
}

/// A load that pushes against a pin pushes a mechanism.
fn no_work_on_mechanisms(solution: Solution) -> Result<Solution, Unknown> {
    let forces = solution.end_forces.iter().flatten().flatten();
    let largest = forces.fold(0.0, |m: f64, f| m.max(f.abs()));
    match solution.pin_reactions.iter().find(|r| r.abs() > 1e-8 * largest.max(1e-300)) {
        Some(r) => Err(Unknown::NotConverged(format!(
            "no balance: the load pushes a mechanism (its pin carries {r:e})"
        ))),
        None => Ok(solution),
    }
}

fn critical(
    arguments: &Arguments,
    neutral: &Neutral,
    model: &Model<'_>,
    axial: &[f64],
    out: &mut Map<String, Value>,
    timings: &mut Timings,
) -> bool {
    let mut whole = true;
    let mut lowest = None;
    if arguments.modes > 0 {
        let outcome = timings.time("lowest", || model.lowest(axial, arguments.modes));
        whole &= outcome.is_ok();
        match outcome {
            Ok(modes) => {
                lowest = modes.first().map(|m| m.factor);
                let factors: Vec<f64> = modes.iter().map(|m| m.factor).collect();
                out.insert("critical_load_factors".into(), json!(factors));
                let modes: Vec<Value> = modes.iter().map(mode_json).collect();
                out.insert("modes".into(), json!(modes));
            }
            Err(unknown) => {
                out.insert("critical_load_factors".into(), Value::Null);
                out.insert("critical_unknown".into(), json!(unknown.to_string()));
            }
        }
    }
    let relative = lowest.map(|l| arguments.relative.iter().map(move |r| (*r, r * l)));
    let asked = arguments.inertia.iter().map(|f| (*f, *f)).chain(relative.into_iter().flatten());
    let mut counts = Map::new();
    for (label, factor) in asked {
        let outcome = timings.time(&format!("inertia {label}"), || model.inertia(axial, factor));
        whole &= outcome.is_ok();
        let value = outcome.map(|i| {
            json!({ "factor": i.factor, "negative": i.negative, "in_members": i.local,
                    "margin": i.margin })
        });
        counts.insert(label.to_string(), or_unknown(value));
    }
    out.insert("inertia".into(), Value::Object(counts));
    let compressed = axial.iter().filter(|n| **n < 0.0).count();
    out.insert("compressed_members".into(), json!([compressed, neutral.frame.members.len()]));
    whole
}

fn or_unknown(outcome: Result<Value, Unknown>) -> Value {
    outcome.unwrap_or_else(|unknown| json!({ "unknown": unknown.to_string() }))
}

fn mechanisms_json(found: &Mechanisms) -> Value {
    json!({
        "count": found.count.as_ref().ok(),
        "unknown": found.count.as_ref().err().map(ToString::to_string),
        "spins": found.spins,
        "motions": found.motions,
        "pins": found.pins,
        "residual": found.residual,
    })
}

fn solution_json(solution: &Solution) -> Value {
    let ends: Vec<Value> =
        solution.end_forces.iter().map(|e| json!({ "i": e[0], "j": e[1] })).collect();
    json!({
        "displacements": solution.displacement,
        "end_forces": ends,
        "axial": solution.axial,
        "reactions": solution.reactions,
        "strain_energy": solution.strain_energy,
        "residual": solution.residual,
    })
}

fn mode_json(mode: &CriticalMode) -> Value {
    json!({ "factor": mode.factor, "displacements": mode.mode, "bowing": mode.bowing,
            "residual": mode.residual })
}
