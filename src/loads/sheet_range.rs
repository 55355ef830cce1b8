//! The range of what a sheet hands down: as single spans or as one continuous sheet, and people on
//! any of its spans.

use super::area::{Plan, extent, rectangle};
use super::beam::{self, Piece, Ranged};
use super::sheet::{Cut, Line, Lines};
use crate::assembly::Member;

/// Stations of the lines.
fn stations(lines: &[Line]) -> Vec<f64> {
    lines.iter().map(|l| l.s).collect()
}

/// What each line would get of the loads from one continuous sheet, over what single spans give:
/// the lesser and the greater of that and 1. Never less than nothing: what cannot pull lets go.
pub(super) fn ratios(cuts: &[Cut], lines: &[Line], sums: &[f64]) -> Vec<(f64, f64)> {
    if lines.len() < 3 {
        return vec![(1.0, 1.0); lines.len()];
    }
    let pieces: Vec<Piece> = cuts
        .iter()
        .map(|c| Piece { from: c.reach.0, to: c.reach.1, force: c.force, centre: c.s })
        .collect();
    beam::continuous(&stations(lines), &pieces)
        .into_iter()
        .zip(sums)
        .map(|(one, &spans)| {
            let ratio = if spans > 1e-9 { (one / spans).max(0.0) } else { 1.0 };
            (ratio.min(1.0), ratio.max(1.0))
        })
        .collect()
}

/// People all over a sheet.
pub(super) fn people_on(sheet: &Member, axis: Plan, on: &Lines, people: f64) -> Cut {
    let corner = |i: usize| [sheet.ends[i].x, sheet.ends[i].y];
    let outline = rectangle(corner(0), corner(1), axis);
    let (reach, v) = (extent(&outline, on.across), extent(&outline, on.along));
    Cut { s: 0.5 * (reach.0 + reach.1), reach, v, centre: 0.5 * (v.0 + v.1), force: people }
}

/// Least and greatest that each line gets from people on any of the spans.
pub(super) fn people_bounds(people: &Cut, lines: &[Line]) -> Vec<(f64, f64)> {
    let (from, to) = people.reach;
    let piece = Piece { from, to, force: 0.0, centre: people.s };
    let load = Ranged { piece, least: 0.0, greatest: people.force };
    beam::bounds(&stations(lines), &[load])
}
