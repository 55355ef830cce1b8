//! Writes the frame of one stage in the neutral format, so that anyone can hold the engine against
//! another library on a real floor.
//!
//! ```text
//! cargo run --no-default-features --example stage_frame -- --bays 20x20 [--stage 440] [--cut 2]
//! cargo run --no-default-features --example stage_frame -- --scene FILE.ron [--stage 12]
//! ```
//!
//! The stage is counted from 0; the last one where it is left out. `--cut` cuts every stretch of a
//! post into so many members. The one case, `V`, is the weight of the stage taken down to the heads.
#![allow(clippy::print_stdout, reason = "a program that prints its answer")]

use anyhow::{Context, anyhow};
use clap::Parser;
use serde_json::{Value, json};
use standwell::mechanics::frame::{Frame, FrameMember, LoadCase, MemberKind, Release};
use standwell::mechanics::stage::{cases, idealise};
use standwell::{assembly, loads, scene, sequence};
use std::path::{Path, PathBuf};

#[derive(Parser)]
struct Arguments {
    /// A floor of the generator, `NxM` bays.
    #[arg(long, default_value = "20x20")]
    bays: String,
    /// A scene file instead.
    #[arg(long)]
    scene: Option<PathBuf>,
    #[arg(long)]
    stage: Option<usize>,
    #[arg(long, default_value_t = 1)]
    cut: usize,
}

fn main() -> anyhow::Result<()> {
    let arguments = Arguments::parse();
    let text = match &arguments.scene {
        Some(path) => std::fs::read_to_string(path).with_context(|| path.display().to_string())?,
        None => {
            let (x, y) = arguments.bays.split_once('x').context("bays such as 20x20")?;
            standwell::cli::grid::floor((x.parse()?, y.parse()?), false).map_err(|e| anyhow!(e))?
        }
    };
    let path = arguments.scene.as_deref().unwrap_or(Path::new("grid.ron"));
    let loaded = scene::read(&text, path).map_err(|e| anyhow!("{e}"))?;
    let laid_out = assembly::build(&loaded.scene, &loaded.library, &loaded.source)
        .map_err(|e| anyhow!("{e}"))?;
    let sequence = sequence::run(&laid_out, &loaded.source).map_err(|e| anyhow!("{e}"))?;
    let last = sequence.stages.len().saturating_sub(1);
    let number = arguments.stage.unwrap_or(last);
    let stage = sequence.stages.get(number).with_context(|| format!("stages 0 to {last}"))?;
    let taken = loads::take_down(&laid_out, &loaded.pack, stage);
    let frame = idealise::idealise(&laid_out, stage);
    let case = cases::weight(&laid_out, &taken, &frame);
    let mut frame = frame.frame;
    cut(&mut frame, arguments.cut.max(1));
    println!("{}", neutral(&frame, &case));
    Ok(())
}

/// Cuts every beam into so many; a released end stays at its own end.
fn cut(frame: &mut Frame, parts: usize) {
    let mut members = Vec::with_capacity(frame.members.len() * parts);
    for member in std::mem::take(&mut frame.members) {
        if member.kind == MemberKind::Bar || parts == 1 {
            members.push(member);
            continue;
        }
        let (from, run) = (frame.nodes[member.i], frame.nodes[member.j] - frame.nodes[member.i]);
        let mut i = member.i;
        for k in 1..=parts {
            let j = if k == parts {
                member.j
            } else {
                frame.nodes.push(from + run * (k as f64 / parts as f64));
                frame.nodes.len() - 1
            };
            let end = |at: usize, own: bool| {
                if own { member.release[at] } else { [Release::Rigid; 3] }
            };
            members.push(FrameMember {
                i,
                j,
                release: [end(0, k == 1), end(1, k == parts)],
                ..member
            });
            i = j;
        }
    }
    frame.members = members;
}

fn neutral(frame: &Frame, case: &LoadCase) -> Value {
    let name = |k: usize| format!("s{k:03}");
    let sections: serde_json::Map<String, Value> = frame
        .sections
        .iter()
        .enumerate()
        .map(|(k, s)| {
            (name(k), json!({"E": s.e, "G": s.g, "A": s.a, "Iy": s.iy, "Iz": s.iz, "J": s.j}))
        })
        .collect();
    let release = |r: &Release| match r {
        Release::Rigid => Value::Null,
        Release::Free => json!(0.0),
        Release::Spring(k) => json!(k),
    };
    let members: Vec<Value> = frame
        .members
        .iter()
        .map(|m| {
            let end = |k: usize| m.release[k].iter().map(release).collect::<Vec<_>>();
            let (kind, role) = match m.kind {
                MemberKind::Beam => ("beam", "post"),
                MemberKind::Bar => ("truss", "bar"),
            };
            json!({"i": m.i, "j": m.j, "sec": name(m.section), "type": kind, "role": role,
                   "z": [m.z.x, m.z.y, m.z.z], "rel": {"i": end(0), "j": end(1)}})
        })
        .collect();
    let supports: Vec<Value> = frame
        .supports
        .iter()
        .map(|s| {
            let fixed = s.fixed.map(usize::from);
            json!([s.node, fixed[0], fixed[1], fixed[2], fixed[3], fixed[4], fixed[5]])
        })
        .collect();
    let nodal: Vec<Value> =
        case.nodal.iter().map(|(n, f)| json!([n, f[0], f[1], f[2], f[3], f[4], f[5]])).collect();
    let nodes: Vec<[f64; 3]> = frame.nodes.iter().map(|p| [p.x, p.y, p.z]).collect();
    json!({"nodes": nodes, "sections": sections, "members": members, "supports": supports,
           "cases": {"V": {"nodal": nodal}}})
}
