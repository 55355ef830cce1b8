//! `standwell levels`: what each slab and level of props carries, step by step, or the ratios of a
//! usual scheme.

use super::job::{self, SceneArg, UnitsArg};
use super::{Context, Status};
use crate::levels::job::{LevelState, run as go_through, worse_orders};
use crate::levels::{Contact, Order, Scheme};
use crate::scene::Loaded;
use crate::units::UnitSystem;
use num_rational::BigRational;
use num_traits::ToPrimitive;
use std::io::Write;

/// Floors that a scheme is gone through for.
const FLOORS: usize = 8;
/// Levels of one kind; more are a slip of the pen.
const MOST: usize = 9;

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
    /// Instead of a job: so many levels of shores, or of shores and reshores, "2+1", by equal sharing
    /// in fractions of one slab's weight.
    #[arg(long, value_parser = scheme, value_name = "M+N", conflicts_with = "scene")]
    scheme: Option<(usize, usize)>,
    /// With --scheme: take the lowest reshores before the shores are stripped.
    #[arg(long, requires = "scheme")]
    reshores_first: bool,
    /// With --scheme: let props pull, as the plain linear method does.
    #[arg(long, requires = "scheme")]
    linear: bool,
    /// Display units, instead of those the scene asks for.
    #[arg(long, value_enum)]
    units: Option<UnitsArg>,
}

fn scheme(text: &str) -> Result<(usize, usize), String> {
    let (m, n) = text.split_once('+').unwrap_or((text, "0"));
    let count = |t: &str, least: usize| {
        t.trim().parse().ok().filter(|n: &usize| (least..=MOST).contains(n))
    };
    count(m, 1)
        .zip(count(n, 0))
        .ok_or_else(|| format!("write levels of shores, 1 to {MOST}, and of reshores, such as 2+1"))
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    if let Some((shores, reshores)) = args.scheme {
        let order = if args.reshores_first { Order::ReshoresFirst } else { Order::StripFirst };
        let contact = if args.linear { Contact::Linear } else { Contact::PushOnly };
        return table(Scheme { shores, reshores, order, contact }, context);
    }
    let Loaded { scene, library, pack, source, .. } = match job::load_scene(&args.scene) {
        Ok(loaded) => loaded,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let Some(levels) = &scene.levels else {
        eprintln!(
            "standwell: this job has no `levels`; `standwell levels --scheme 2+1` shows a usual scheme"
        );
        return Ok(Status::Usage);
    };
    let states = match go_through(levels, &pack, &library) {
        Ok(states) => states,
        Err(e) => {
            let problem = source.problem_at(&format!("levels.steps[{}]", e.step), e.what);
            return Ok(context.problems(&crate::scene::Problems(vec![problem])));
        }
    };
    let units = args.units.map_or(scene.units, UnitSystem::from);
    writeln!(context.out, "{}", scene.title)?;
    writeln!(
        context.out,
        "Loads by equal sharing / with props that shorten (stiffness {} of a slab's). Props push and never pull.",
        levels.props_over_slab
    )?;
    if library.is_sample(&levels.post) {
        writeln!(context.out, "Sample data: use your supplier's table.")?;
    }
    let mut over = false;
    for state in &states {
        over |= print_state(state, units, context)?;
    }
    for worse in worse_orders(levels, &pack, &library) {
        over = true;
        writeln!(
            context.out,
            "\nStep {} comes too early: slab {} gets {:.3} of its weight; stripped first it would get {:.3}.",
            worse.step + 1,
            worse.slab,
            worse.written,
            worse.swapped
        )?;
    }
    writeln!(
        context.out,
        "\nFull-scale tests at Cardington: about 70 % of a new load stayed in the top supporting slab, 30 % went\nthrough one level of backprops (from memory). The engineer's drawings and the local code rule."
    )?;
    Ok(if over { Status::Found } else { Status::Clean })
}

/// One step; true where something carries more than it may.
fn print_state(
    state: &LevelState,
    units: UnitSystem,
    context: &mut Context,
) -> anyhow::Result<bool> {
    let out = &mut context.out;
    writeln!(out, "\n{}. day {}: {}", state.step + 1, state.day, state.what)?;
    let mut over = false;
    for slab in &state.slabs {
        let age = slab.age.map_or("there before".to_owned(), |a| format!("{a} d"));
        if slab.fresh {
            writeln!(out, "   slab  {:<8} fresh: its shores carry it", slab.name)?;
            continue;
        }
        let used = slab.use_of_capacity();
        let too_much = used > 1.0 + 1e-9;
        over |= too_much;
        writeln!(
            out,
            "   slab  {:<8} {:>12} / {:<12} of {:<12} {:>4.0} %  {age}, {}{}",
            slab.name,
            units.pressure(slab.equal),
            units.pressure(slab.finite),
            units.pressure(slab.capacity),
            100.0 * used,
            slab.by,
            if too_much { "  TOO MUCH" } else { "" }
        )?;
    }
    for props in &state.props {
        let used = props.use_of_capacity();
        let too_much = used.is_none_or(|u| u > 1.0 + 1e-9);
        over |= too_much;
        let kind = if props.kind == crate::levels::PropKind::Shore { "shores" } else { "reshores" };
        writeln!(
            out,
            "   posts {:<8} {:>12} / {:<12} of {:<12} {}  {kind}{}{}",
            props.slab,
            units.force(props.equal),
            units.force(props.finite),
            props.capacity.map_or("unknown".to_owned(), |c| units.force(c)),
            used.map_or("unknown".to_owned(), |u| format!("{:>4.0} %", 100.0 * u)),
            if props.lifted { ", lifted off: secure them" } else { "" },
            if too_much { "  TOO MUCH" } else { "" }
        )?;
    }
    Ok(over)
}

fn table(scheme: Scheme, context: &mut Context) -> anyhow::Result<Status> {
    let rows = scheme.rows::<BigRational>(FLOORS)?;
    let out = &mut context.out;
    writeln!(
        out,
        "{} levels of shores, {} of reshores; loads in units of one slab's weight, by equal sharing.",
        scheme.shores, scheme.reshores
    )?;
    let list = |values: &mut dyn Iterator<Item = (usize, String)>, letter: &str| {
        values.map(|(i, v)| format!("{letter}{}={v}", i + 1)).collect::<Vec<_>>().join(" ")
    };
    for row in &rows {
        let slabs = list(&mut row.slabs.iter().map(short).enumerate(), "slab ");
        let props = list(
            &mut row.props.iter().enumerate().filter_map(|(i, p)| Some((i, short(p.as_ref()?)))),
            "under ",
        );
        writeln!(out, "{:<17} {slabs} | {props}", row.what)?;
    }
    let most = scheme.extremes::<BigRational>(FLOORS)?;
    writeln!(
        out,
        "largest slab load {} = {:.3} (slab {}); largest force in a level {}",
        short(&most.slab.0),
        most.slab.0.to_f64().unwrap_or(f64::NAN),
        most.slab.1,
        short(&most.prop)
    )?;
    Ok(Status::Clean)
}

/// A fraction, or three digits where it has grown long.
fn short(value: &BigRational) -> String {
    let text = value.to_string();
    if text.len() <= 9 { text } else { format!("{:.3}", value.to_f64().unwrap_or(f64::NAN)) }
}
