//! `standwell strip`: what comes free of the equipment at each step of the stripping, and what stays.

use super::job::{self, SceneArg};
use super::{Context, Status};
use crate::assembly::Assembly;
use crate::concrete::Released;
use crate::scene::Loaded;
use crate::sequence::strip::freed;
use crate::sequence::{self, SlabNow, Stage};
use std::collections::BTreeMap;
use std::io::Write;

#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    scene: SceneArg,
}

pub fn run(args: &Args, context: &mut Context) -> anyhow::Result<Status> {
    let Loaded { scene, library, source, .. } = match job::load_scene(&args.scene) {
        Ok(loaded) => loaded,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    let stepped = crate::assembly::build(&scene, &library, &source)
        .and_then(|assembly| Ok((sequence::run(&assembly, &source)?, assembly)));
    let (sequence, assembly) = match stepped {
        Ok(stepped) => stepped,
        Err(problems) => return Ok(context.problems(&problems)),
    };
    writeln!(context.out, "{}", scene.title)?;
    let mut most = 0usize;
    let mut total: BTreeMap<&str, usize> = BTreeMap::new();
    let mut none = true;
    for pair in sequence.stages.windows(2) {
        let (before, after) = (&pair[0], &pair[1]);
        most = most.max(there(after));
        for shown in &after.strip.shown {
            none = false;
            let slab = &assembly.scene.slabs[shown.slab].name;
            let words = match shown.released {
                Released::No => "is not released",
                Released::Strip => "may be stripped, posts left in",
                Released::Clear => "may be stripped and cleared of posts",
            };
            writeln!(context.out, "\n{}: slab {slab} {words}", after.step)?;
            for note in &shown.notes {
                writeln!(context.out, "    {note}")?;
            }
        }
        let carries = after.strip.slabs.iter().any(|s| matches!(s, SlabNow::Carries(_)));
        let free = freed(&assembly, before, after);
        if !carries || free.is_empty() {
            continue;
        }
        none = false;
        for (&part, &count) in &free {
            *total.entry(part).or_insert(0) += count;
        }
        writeln!(
            context.out,
            "{}: free {}; {}",
            after.step,
            listed(&free),
            posts(&assembly, after)
        )?;
    }
    if none {
        writeln!(context.out, "Nothing is stripped in this job.")?;
        return Ok(Status::Clean);
    }
    let count: usize = total.values().sum();
    writeln!(
        context.out,
        "\nIn all {count} of the {most} parts that stood at most came free: {}.",
        listed(&total)
    )?;
    Ok(Status::Clean)
}

fn there(stage: &Stage) -> usize {
    stage.members.iter().filter(|m| m.is_there()).count()
}

fn listed(parts: &BTreeMap<&str, usize>) -> String {
    parts.iter().map(|(part, count)| format!("{count} {part}")).collect::<Vec<_>>().join(", ")
}

fn posts(assembly: &Assembly, stage: &Stage) -> String {
    let strip = &stage.strip;
    let stands = |set: &std::collections::BTreeSet<crate::assembly::MemberId>| {
        set.iter().filter(|&&p| stage.state(p).is_there() && assembly.member(p).is_post()).count()
    };
    format!(
        "posts undisturbed {}, snugged up {}, secured {}, out {}",
        stands(&strip.undisturbed),
        stands(&strip.snugged),
        stands(&strip.secured),
        strip.out.len()
    )
}
