//! Which findings only follow from another.
//!
//! A finding follows from one that was open when it began, that ranks before it, and that either
//! shares its cause or, where the hazard says that it may follow, holds all its members. It is a
//! root of its own if there is any stage at which nothing it follows from stands.

use super::merge::Track;
use crate::checks::REGISTER;
use std::collections::BTreeSet;

/// Whether all of the members (third) hang only on the seeds (second) at the stage (first).
pub type Downstream<'a> = dyn Fn(usize, &BTreeSet<String>, &BTreeSet<String>) -> bool + 'a;

/// Place of a hazard in the order in which one may follow from another: twice its position in the
/// register, but always behind all that it may follow from.
#[must_use]
pub fn rank(hazard: usize) -> usize {
    REGISTER[hazard]
        .follows
        .iter()
        .filter_map(|code| REGISTER.iter().position(|h| h.code == *code))
        .map(|before| rank(before) + 1)
        .max()
        .map_or(2 * hazard, |behind| behind.max(2 * hazard))
}

/// The root of each track; none for roots.
pub(super) fn roots(tracks: &[Track], downstream: &Downstream<'_>) -> Vec<Option<usize>> {
    let ranks: Vec<usize> = (0..REGISTER.len()).map(rank).collect();
    let mut parents: Vec<Option<usize>> = Vec::with_capacity(tracks.len());
    for (index, track) in tracks.iter().enumerate() {
        parents.push(parent(tracks, index, track, &ranks, downstream));
    }
    (0..tracks.len())
        .map(|index| {
            let mut top = parents[index]?;
            while let Some(next) = parents[top] {
                top = next;
            }
            Some(top)
        })
        .collect()
}

fn parent(
    tracks: &[Track],
    index: usize,
    track: &Track,
    ranks: &[usize],
    downstream: &Downstream<'_>,
) -> Option<usize> {
    let hazard = REGISTER[track.hazard];
    let mut candidates: Vec<usize> = tracks
        .iter()
        .enumerate()
        .filter(|&(other, before)| {
            other != index
                && before.from <= track.last
                && before.last >= track.from
                && if before.hazard == track.hazard {
                    track.joined == Some(other)
                } else {
                    ranks[before.hazard] < ranks[track.hazard]
                        && (track.causes.iter().any(|c| before.causes.contains(c))
                            || (hazard.follows.contains(&REGISTER[before.hazard].code)
                                && !track.subjects.is_empty()
                                && downstream(
                                    track.from.max(before.from),
                                    &before.members,
                                    &track.subjects,
                                )))
                }
        })
        .map(|(other, _)| other)
        .collect();
    candidates.sort_by_key(|&c| (tracks[c].from, ranks[tracks[c].hazard], c));
    let first = candidates
        .iter()
        .copied()
        .find(|&c| tracks[c].from <= track.from && tracks[c].last >= track.from)?;
    let mut covered = track.from;
    for &c in &candidates {
        if tracks[c].from <= covered {
            covered = covered.max(tracks[c].last + 1);
        }
    }
    (covered > track.last).then_some(first)
}
