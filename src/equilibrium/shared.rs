//! Overhangs that pull on one post: together they may lift what each alone does not.
//!
//! Each overhang by itself counts on all that keeps the post behind it down. Where two or more pull
//! on the same post, that is counted twice. Here all of them act at once, without people or with
//! the pack's worst on one of them, and the pulls at a post add up to no more than keeps it down.
//! The factor is the greatest by which what turns them may grow (a linear program of the see-saws'
//! moments, its bounds checked from both sides).
//!
//! Holds if: for one overhang it is the see-saw's own factor, and for two alike on one post that
//! with half of what keeps the post down (`tests/equilibrium/shared.rs`).

use super::hold_down::Holder;
use crate::assembly::{Assembly, MemberId};
use crate::findings::{Motion, MovingMember};
use crate::mechanics::answers::Unknown;
use crate::mechanics::cone_program::{Outcome, Program};
use std::collections::{BTreeMap, BTreeSet};

/// An overhang as the others see it.
#[derive(Clone, Debug)]
pub(super) struct Pull {
    pub member: MemberId,
    /// Station it turns about, and which way its overhang lies: 1 or −1.
    pub fulcrum: f64,
    pub outward: f64,
    /// Moments about it: without people, and what the worst people add; newton metres.
    pub overturning: f64,
    pub people: f64,
    pub stabilising: f64,
    pub holders: Vec<Holder>,
}

/// Overhangs that pull on shared posts, in the worst case.
#[derive(Clone, Debug, PartialEq)]
pub struct Shared {
    /// Posts that more than one of them pulls on, and the overhanging members; sorted.
    pub posts: Vec<MemberId>,
    pub beams: Vec<MemberId>,
    /// By how much all that turns them may grow; infinite where nothing turns them.
    pub factor: f64,
    pub required: f64,
    /// The member with people on it in this case, if any.
    pub peopled: Option<MemberId>,
    /// What goes: the posts that lift, and the members that turn.
    pub motion: Motion,
    /// Posts that come off the ground in it.
    pub lifted: Vec<MemberId>,
}

/// Judges the overhangs that share a post.
pub(super) fn judge(
    assembly: &Assembly,
    pulls: &[Pull],
    required: f64,
) -> Vec<Result<Shared, (MemberId, Unknown)>> {
    let mut out = Vec::new();
    for cluster in clusters(pulls) {
        let mut worst: Option<Shared> = None;
        let mut doubt = None;
        for peopled in std::iter::once(None).chain((0..cluster.len()).map(Some)) {
            match solve(assembly, &cluster, peopled, required) {
                Ok(shared) => {
                    if worst.as_ref().is_none_or(|w| shared.factor < w.factor) {
                        worst = Some(shared);
                    }
                }
                Err(unknown) => doubt = Some((cluster[0].member, unknown)),
            }
        }
        out.extend(doubt.map(Err));
        out.extend(worst.map(Ok));
    }
    out
}

/// Overhangs joined through posts that really hold one of them down; alone ones are left out.
fn clusters(pulls: &[Pull]) -> Vec<Vec<&Pull>> {
    let mut by_post: BTreeMap<MemberId, Vec<usize>> = BTreeMap::new();
    for (i, pull) in pulls.iter().enumerate() {
        let posts: BTreeSet<MemberId> =
            pull.holders.iter().filter(|h| h.strength > 0.0).filter_map(|h| h.post).collect();
        posts.into_iter().for_each(|post| by_post.entry(post).or_default().push(i));
    }
    let mut joined = petgraph::unionfind::UnionFind::<usize>::new(pulls.len());
    for on_post in by_post.values() {
        on_post.windows(2).for_each(|pair| {
            joined.union(pair[0], pair[1]);
        });
    }
    let mut out: BTreeMap<usize, Vec<&Pull>> = BTreeMap::new();
    for (i, pull) in pulls.iter().enumerate() {
        out.entry(joined.find(i)).or_default().push(pull);
    }
    out.into_values().filter(|c| c.iter().any(|p| p.member != c[0].member)).collect()
}

fn solve(
    assembly: &Assembly,
    cluster: &[&Pull],
    peopled: Option<usize>,
    required: f64,
) -> Result<Shared, Unknown> {
    let members: BTreeSet<MemberId> = cluster.iter().map(|p| p.member).collect();
    let turning: Vec<f64> = cluster
        .iter()
        .enumerate()
        .map(|(i, p)| p.overturning + if peopled == Some(i) { p.people } else { 0.0 })
        .collect();
    // Unknown 0 is the factor, the rest are the pulls of the holders.
    let holders: Vec<(usize, &Holder)> = cluster
        .iter()
        .enumerate()
        .flat_map(|(i, p)| p.holders.iter().map(move |h| (i, h)))
        .filter(|(_, h)| h.strength > 0.0 && h.post.is_some())
        .collect();
    let moment = turning
        .iter()
        .copied()
        .chain(cluster.iter().map(|p| p.stabilising))
        .fold(0.0, f64::max)
        .max(f64::MIN_POSITIVE);
    let mut program = Program::new(1 + holders.len());
    for (i, pull) in cluster.iter().enumerate() {
        let mut row = vec![(0, turning[i] / moment)];
        for (k, (of, holder)) in holders.iter().enumerate() {
            if *of == i {
                row.push((1 + k, -holder.lever));
            }
        }
        program.at_most(row, pull.stabilising / moment);
    }
    let posts: BTreeSet<MemberId> = holders.iter().filter_map(|(_, h)| h.post).collect();
    for &post in &posts {
        let on: Vec<usize> =
            (0..holders.len()).filter(|&k| holders[k].1.post == Some(post)).collect();
        let kept = holders[on[0]].1.kept_without(&members);
        program.at_most(on.iter().map(|&k| (1 + k, 1.0)).collect(), kept.max(0.0) / moment);
    }
    for (k, (_, holder)) in holders.iter().enumerate() {
        program.at_most(vec![(1 + k, -1.0)], 0.0);
        if holder.strength.is_finite() {
            program.at_most(vec![(1 + k, 1.0)], holder.strength / moment);
        }
    }
    let answer = program.maximise(0)?;
    program.certify(&answer, 0)?;
    let mut shared = Shared {
        posts: posts
            .iter()
            .copied()
            .filter(|p| {
                let on: BTreeSet<usize> =
                    holders.iter().filter(|(_, h)| h.post == Some(*p)).map(|(i, _)| *i).collect();
                on.len() > 1
            })
            .collect(),
        beams: members.into_iter().collect(),
        factor: match answer.outcome {
            Outcome::Solved => answer.value.unwrap_or(f64::NAN),
            Outcome::Unbounded => f64::INFINITY,
            Outcome::Infeasible => 0.0,
        },
        required,
        peopled: peopled.map(|i| cluster[i].member),
        motion: Motion::default(),
        lifted: Vec::new(),
    };
    if answer.outcome != Outcome::Unbounded {
        let turns = &answer.multipliers[..cluster.len()];
        let lifts = &answer.multipliers[cluster.len()..cluster.len() + posts.len()];
        show(assembly, cluster, turns, &posts, lifts, &mut shared);
    }
    Ok(shared)
}

/// The multipliers are how fast each member turns and each post rises.
fn show(
    assembly: &Assembly,
    cluster: &[&Pull],
    turns: &[f64],
    posts: &BTreeSet<MemberId>,
    lifts: &[f64],
    shared: &mut Shared,
) {
    let mut moves: Vec<(MemberId, [f64; 2])> = Vec::new();
    for (pull, turn) in cluster.iter().zip(turns) {
        let length = assembly.member(pull.member).length();
        let up = |station: f64| -turn * pull.outward * (station - pull.fulcrum);
        moves.push((pull.member, [up(0.0), up(length)]));
    }
    moves.extend(posts.iter().zip(lifts).map(|(&post, &up)| (post, [up, up])));
    let largest = moves.iter().flat_map(|(_, m)| m).fold(0.0f64, |m, v| m.max(v.abs()));
    if largest <= 0.0 {
        return;
    }
    moves.retain(|(_, m)| m.iter().any(|v| v.abs() > 1e-3 * largest));
    moves.sort_by_key(|(id, _)| *id);
    shared.lifted =
        moves.iter().map(|(id, _)| *id).filter(|&id| assembly.member(id).is_post()).collect();
    shared.motion.members = moves
        .into_iter()
        .map(|(id, [first, second])| MovingMember {
            name: assembly.name(id).to_owned(),
            first_end: [0.0, 0.0, first / largest],
            second_end: [0.0, 0.0, second / largest],
        })
        .collect();
}
