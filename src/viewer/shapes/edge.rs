//! The slab edge: edge form, walkway and guard rail on overhanging beams.

use super::draft::Draft;
use crate::assembly::{Assembly, MemberId};
use crate::scene::model::{Block, Overhang};
use crate::viewer::space::Origin;
use bevy::prelude::Vec3;

/// An edge, and the posts that have to stand for it to be there.
#[derive(Clone, Debug)]
pub struct Edge {
    pub draft: Draft,
    pub posts: Vec<MemberId>,
}

const RAIL_HEIGHT: f32 = 1.1;
const FORM_HEIGHT: f32 = 0.25;

/// All edges of the scene, in the window's space.
#[must_use]
pub fn edges(assembly: &Assembly, origin: Origin) -> Vec<Edge> {
    let mut out = Vec::new();
    for block in &assembly.scene.blocks {
        for overhang in &block.overhangs {
            if overhang.rail || overhang.edge_form.is_some() || overhang.walkway.is_some() {
                out.extend(edge(assembly, block, overhang, origin));
            }
        }
    }
    out
}

fn edge(assembly: &Assembly, block: &Block, overhang: &Overhang, origin: Origin) -> Option<Edge> {
    let posts = posts_along(assembly, block, &overhang.along);
    let heads: Vec<Vec3> =
        posts.iter().map(|&id| origin.point(assembly.member(id).ends[1])).collect();
    let (first, last) = (*heads.first()?, *heads.last()?);
    let run = Vec3::new(last.x - first.x, 0.0, last.z - first.z).try_normalize()?;
    let middle_of_block = {
        let own = assembly
            .members
            .iter()
            .filter(|m| m.is_post() && m.block.as_ref() == Some(&block.name));
        let (sum, count) =
            own.fold((Vec3::ZERO, 0.0f32), |(s, n), m| (s + origin.point(m.ends[1]), n + 1.0));
        sum / count.max(1.0)
    };
    let mut out = run.cross(Vec3::Y);
    if (first - middle_of_block).dot(out) < 0.0 {
        out = -out;
    }
    let top = first.y + 0.1;
    let length = (last - first).dot(run);
    let by = overhang.by.si() as f32;
    // Drawn along +Y, outwards +X, upwards +Z, then put in place.
    let mut d = Draft::default();
    if let Some(form) = &overhang.edge_form {
        let x = form.at.si() as f32;
        d.block(Vec3::new(x, -0.2, 0.0), Vec3::new(x + 0.04, length + 0.2, FORM_HEIGHT), 1.1);
    }
    if let Some(width) = overhang.walkway {
        let width = (width.si() as f32).min(by);
        d.block(Vec3::new(by - width, -0.2, 0.0), Vec3::new(by, length + 0.2, 0.035), 1.2);
    }
    if overhang.rail {
        rail(&mut d, by - 0.03, length);
    }
    d.place(out, run, Vec3::Y, Vec3::new(first.x, top, first.z));
    Some(Edge { draft: d, posts })
}

fn rail(d: &mut Draft, x: f32, length: f32) {
    let bays = (length / 1.8).ceil().max(1.0) as u32;
    for k in 0..=bays {
        let y = length * k as f32 / bays as f32;
        d.block(
            Vec3::new(x - 0.02, y - 0.02, 0.0),
            Vec3::new(x + 0.02, y + 0.02, RAIL_HEIGHT),
            1.0,
        );
    }
    for z in [0.02, RAIL_HEIGHT * 0.5, RAIL_HEIGHT - 0.05] {
        let high = if z < 0.1 { z + 0.13 } else { z + 0.05 };
        d.block(Vec3::new(x - 0.03, -0.2, z), Vec3::new(x - 0.015, length + 0.2, high), 1.15);
    }
}

/// Posts on a line (`"M"`) or a run of it (`"M1-M5"`), in order along it.
fn posts_along(assembly: &Assembly, block: &Block, along: &str) -> Vec<MemberId> {
    let run = along.split_once('-');
    let lines: Vec<&str> = assembly
        .grid_lines
        .iter()
        .filter(|g| g.block == block.name)
        .map(|g| g.name.as_str())
        .collect();
    // "C4": the longest line name it starts with, then the rest.
    let split = |point: &str| -> Option<(String, String)> {
        lines
            .iter()
            .filter(|n| point.starts_with(**n) && lines.contains(&&point[n.len()..]))
            .max_by_key(|n| n.len())
            .map(|n| ((*n).to_owned(), point[n.len()..].to_owned()))
    };
    let line = match run {
        None => along.to_owned(),
        Some((from, to)) => match (split(from), split(to)) {
            (Some((a, _)), Some((b, _))) if a == b => a,
            (Some((_, a)), Some((_, b))) if a == b => a,
            _ => return Vec::new(),
        },
    };
    let mut found: Vec<(f64, f64, MemberId)> = assembly
        .members
        .iter()
        .filter(|m| m.is_post() && m.block.as_ref() == Some(&block.name))
        .filter_map(|m| {
            let (a, b) = split(&m.grid.as_ref()?.0)?;
            (a == line || b == line).then_some((m.ends[0].x, m.ends[0].y, m.id))
        })
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let ids: Vec<MemberId> = found.into_iter().map(|(_, _, id)| id).collect();
    let Some((from, to)) = run else { return ids };
    let at = |point: &str| {
        ids.iter().position(|&id| assembly.member(id).grid.as_ref().is_some_and(|g| g.0 == point))
    };
    match (at(from), at(to)) {
        (Some(a), Some(b)) => ids[a.min(b)..=a.max(b)].to_vec(),
        _ => Vec::new(),
    }
}
