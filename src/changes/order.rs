//! In which order changes are offered for a finding: as its cures are named, then what acts along
//! the way it moves, then the rest; what acts across that way comes last.
//!
//! Known to work by `tests/changes/order.rs`: on the faulty floor the bay that the finding itself
//! names comes first, and bracing the line across never does.

use super::offers::Offer;
use crate::assembly::Assembly;
use crate::findings::{Finding, Motion, Remedy, RemedyKind};
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
    let named = finding.remedies.iter().find(|r| serves(r, change, across)).map(|r| r.cure);
    let rest = finding.cures.len();
    match named {
        Some(place) => place,
        None if across => rest + 2,
        None if along.is_some() && way.is_some() => rest,
        None => rest + 1,
    }
}

/// Whether a change does what a cure asks for.
fn serves(remedy: &Remedy, change: &ChangeKind, across: bool) -> bool {
    let names = |name: &str| remedy.members.iter().any(|m| m == name);
    // A cure that names no member means any.
    let any = remedy.members.is_empty();
    match (remedy.kind, change) {
        (RemedyKind::Brace, _) => {
            bay(change).is_some_and(|(block, bay)| match bay.split_once('-') {
                // Any bay, but none that cannot help.
                _ if any => !across,
                Some((from, to)) => {
                    [from, to].iter().all(|at| names(&format!("{block}.post.{at}")))
                }
                None => false,
            })
        }
        (RemedyKind::Hold, ChangeKind::Hold { member, .. }) => any || names(member),
        (RemedyKind::Fix, ChangeKind::PutIn { member, .. }) => any || names(member),
        (kind, ChangeKind::AddMember { member, .. }) => {
            kind == match member.role {
                RoleName::TieIn => RemedyKind::Tie,
                RoleName::Clip => RemedyKind::Clip,
                RoleName::Prop => RemedyKind::Prop,
                _ => RemedyKind::Fix,
            }
        }
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
