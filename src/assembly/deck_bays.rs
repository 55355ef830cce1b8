//! The bays of a deck, each with all the sheets it will ever have.

use super::model::{Assembly, DeckBay, MemberId, Point, Role};
use std::collections::BTreeMap;

/// Share of a bay that its sheets must cover.
const COVERED: f64 = 0.9;

/// Bays that their sheets cover when all are laid.
pub(super) fn of(assembly: &Assembly) -> Vec<DeckBay> {
    let mut bays: BTreeMap<(&str, &str, &str), Vec<MemberId>> = BTreeMap::new();
    for member in &assembly.members {
        if let (Role::Sheet, Some(block), Some((a, b))) = (member.role, &member.block, &member.grid)
        {
            bays.entry((block, a, b)).or_default().push(member.id);
        }
    }
    bays.into_iter()
        .filter_map(|((block, a, b), sheets)| {
            let post = |at: &str| assembly.find(&format!("{block}.post.{at}"));
            let corners = [post(a)?, post(b)?];
            let sides = covered(assembly, corners, &sheets)?;
            Some(DeckBay { corners, sheets, sides })
        })
        .collect()
}

fn covered(assembly: &Assembly, corners: [MemberId; 2], sheets: &[MemberId]) -> Option<[f64; 2]> {
    let axis = crate::loads::axis_of(assembly, assembly.member(corners[0]));
    let sides = |p: &Point, q: &Point| {
        let d = q - p;
        [(d.x * axis[0] + d.y * axis[1]).abs(), (d.y * axis[0] - d.x * axis[1]).abs()]
    };
    let area = |[u, v]: [f64; 2]| u * v;
    let [a, b] = corners.map(|c| &assembly.member(c).ends[1]);
    let bay = sides(a, b);
    let sheets: f64 = sheets
        .iter()
        .map(|&s| assembly.member(s))
        .map(|s| area(sides(&s.ends[0], &s.ends[1])))
        .sum();
    (corners[0] != corners[1] && area(bay) > 0.0 && sheets >= COVERED * area(bay)).then_some(bay)
}
