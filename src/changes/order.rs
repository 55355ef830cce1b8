//! In which order changes are offered for a finding: as its cures are named, then what acts along
//! the way it moves, then the rest; what acts across that way comes last.
//!
//! Known to work by `tests/changes/order.rs`: on the faulty floor the bay that the finding itself
//! names comes first, and bracing the line across never does.

use super::offers::Offer;
use crate::assembly::Assembly;
use crate::findings::{Finding, Motion};
use crate::scene::model::{ChangeKind, RoleName};

/// Puts offers in order; those of equal rank stay as they were.
pub fn by_cure(assembly: &Assembly, finding: &Finding, offers: &mut [Offer]) {
    let way = finding.evidence.motion.as_ref().and_then(way);
    offers.sort_by_cached_key(|offer| rank(assembly, finding, way, &offer.change));
}

fn rank(
    assembly: &Assembly,
    finding: &Finding,
    way: Option<[f64; 2]>,
    change: &ChangeKind,
) -> usize {
    let bay = bay(change);
    let along = bay.and_then(|(block, bay)| direction(assembly, block, bay));
    let across = match (way, along) {
        (Some(way), Some(bay)) => (way[0] * bay[0] + way[1] * bay[1]).abs() < 0.5,
        _ => false,
    };
    let named = finding.cures.iter().position(|cure| serves(cure, change, across));
    let rest = finding.cures.len();
    match named {
        Some(place) => place,
        None if across => rest + 2,
        None if along.is_some() && way.is_some() => rest,
        None => rest + 1,
    }
}

/// Whether a change does what a cure says.
fn serves(cure: &str, change: &ChangeKind, across: bool) -> bool {
    let cure = cure.replace('–', "-");
    let words: Vec<&str> = cure
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | ':' | ';'))
        .filter(|w| !w.is_empty())
        .collect();
    let says = |word: &str| words.contains(&word);
    if let Some((_, bay)) = bay(change) {
        let names_one = |w: &&str| {
            w.split_once('-').is_some_and(|(a, _)| a.starts_with(|c: char| c.is_ascii_uppercase()))
        };
        // A cure that names no bay means any, but none that cannot help.
        let meant = match words.iter().find(|w| names_one(w)) {
            Some(named) => *named == bay,
            None => !across,
        };
        return meant && words.iter().any(|w| w.starts_with("brac") || w.starts_with("diagonal"));
    }
    match change {
        ChangeKind::AddMember { member, .. } => match member.role {
            RoleName::TieIn => words.iter().any(|w| w.starts_with("tie")),
            RoleName::Clip => says("clip"),
            RoleName::Prop => says("prop"),
            _ => says("hook"),
        },
        ChangeKind::PutIn { member, .. } => words.contains(&member.as_str()) || says("hook"),
        ChangeKind::Hold { .. } => says("hand"),
        _ => false,
    }
}

/// The block and bay whose diagonals a change puts in.
fn bay(change: &ChangeKind) -> Option<(&str, &str)> {
    match change {
        ChangeKind::AddBraces { block, bay, .. } => Some((block, bay)),
        ChangeKind::PutIn { member, .. } => {
            let (block, rest) = member.split_once(".brace.")?;
            Some((block, rest.split('.').next()?))
        }
        _ => None,
    }
}

/// Plan direction of a bay.
fn direction(assembly: &Assembly, block: &str, bay: &str) -> Option<[f64; 2]> {
    let head = |at: &str| {
        let post = assembly.find(&format!("{block}.post.{at}"))?;
        Some(assembly.member(post).ends[1])
    };
    let (from, to) = bay.split_once('-')?;
    let run = head(to)? - head(from)?;
    unit(run.x, run.y)
}

/// Plan direction of the farthest movement.
fn way(motion: &Motion) -> Option<[f64; 2]> {
    let ends = motion.members.iter().flat_map(|m| [&m.first_end, &m.second_end]);
    let far = ends
        .map(|arrow| (arrow[0], arrow[1]))
        .max_by(|a, b| a.0.hypot(a.1).total_cmp(&b.0.hypot(b.1)))?;
    unit(far.0, far.1)
}

fn unit(x: f64, y: f64) -> Option<[f64; 2]> {
    let length = x.hypot(y);
    (length > 1e-9).then(|| [x / length, y / length])
}
