//! The vertical bracing of a stage by plane, and each plane's part of the sideways force.
//!
//! Every post leans alike, so that each head pushes sideways by the same share of its load, and the
//! forces in diagonals and ties say who takes it: by stiffness where the plan can pass it on, by
//! statics where a load stands off the middle.

use super::idealise::StageFrame;
use crate::assembly::Assembly;
use crate::assembly::model::{MemberId, Role};
use crate::mechanics::frame::MemberKind;
use crate::mechanics::strength_model::BraceLine;

/// Bars less than this apart across the direction are in one plane, metres.
const ONE_PLANE: f64 = 0.05;
/// A bar that runs along a direction by less than this share of itself takes nothing in it.
const ALONG: f64 = 0.1;
/// A bar that rises by less than this share of itself is no diagonal.
const RISES: f64 = 0.1;

/// Lines that hold in a direction, by place; none where they take nothing.
pub(super) fn lines(
    assembly: &Assembly,
    frame: &StageFrame,
    which: u8,
    axis: [f64; 2],
    axial: &[f64],
) -> Vec<BraceLine> {
    let mut taken: Vec<(f64, MemberId, f64)> = Vec::new();
    for (k, bar) in frame.frame.members.iter().enumerate() {
        if bar.kind != MemberKind::Bar {
            continue;
        }
        let (i, j) = (frame.frame.nodes[bar.i], frame.frame.nodes[bar.j]);
        let run = (j - i) / (j - i).norm();
        let along = run.x * axis[0] + run.y * axis[1];
        let tie = assembly.member(frame.of[k]).role == Role::TieIn;
        if along.abs() < ALONG || !(tie || run.z.abs() > RISES) {
            continue;
        }
        // What it takes of a push at its upper end; a tie's far end is the one on the post.
        let up = if tie || run.z > 0.0 { 1.0 } else { -1.0 };
        let middle = nalgebra::center(&i, &j);
        let across = middle.y * axis[0] - middle.x * axis[1];
        taken.push((across, frame.of[k], axial[k] * along * up));
    }
    let total: f64 = taken.iter().map(|t| t.2).sum();
    if !(total > 0.0) {
        return Vec::new();
    }
    taken.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let one_plane = |a: &(f64, _, _), b: &(f64, _, _)| !(b.0 - a.0 > ONE_PLANE);
    let lines = taken.chunk_by(one_plane).map(|line| {
        let mut members: Vec<MemberId> = line.iter().map(|taken| taken.1).collect();
        members.sort_unstable();
        members.dedup();
        // From nought on, one after the other.
        let share = line.iter().fold(0.0, |sum, taken| sum + taken.2 / total);
        BraceLine { axis: which, across: line[0].0, members: members.into(), share }
    });
    lines.collect()
}
