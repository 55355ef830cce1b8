//! Moments put into a post at a place: diagonals clamped beside its axis, and tubes side by side.

use super::Subject;
use super::recover::{Data, State, Unanswered};
use crate::assembly::model::{MemberId, Role};
use std::collections::BTreeMap;
use std::ops::Range;

/// A diagonal that meets a post beside its axis.
#[derive(Debug)]
pub(super) struct Beside {
    /// Frame member of the diagonal.
    pub bar: usize,
    /// From the post's axis to the diagonal's, times the vertical part of its direction. Metres.
    arm: f64,
}

/// Diagonals are clamped to the outside of the tubes: half of both outsides off the axis. Their
/// vertical part bends the post about it; what twists it is left to the couplers. Unknown outsides
/// are named.
pub(super) fn beside(subject: &Subject<'_>) -> (BTreeMap<MemberId, Vec<Beside>>, Unanswered) {
    let (assembly, frame) = (subject.assembly, subject.frame);
    let mut owner: Vec<Option<MemberId>> = vec![None; frame.frame.nodes.len()];
    for (&post, chain) in frame.posts.iter() {
        for &(_, node) in chain {
            owner[node].get_or_insert(post);
        }
    }
    let mut out: BTreeMap<MemberId, Vec<Beside>> = BTreeMap::new();
    let mut unknown = Vec::new();
    for (k, &id) in frame.of.iter().enumerate() {
        let member = assembly.member(id);
        if member.role != Role::Brace {
            continue;
        }
        let bar = &frame.frame.members[k];
        let run = frame.frame.nodes[bar.j] - frame.frame.nodes[bar.i];
        for node in [bar.i, bar.j] {
            let Some(post) = owner[node] else { continue };
            let tube = assembly
                .library
                .posts
                .get(&assembly.member(post).part)
                .map(|p| p.outer.outside.si().max(p.inner.outside.si()));
            let rod = assembly.library.braces.get(&member.part).map(|b| b.outside.si());
            match (tube, rod) {
                (Some(tube), Some(rod)) => {
                    let arm = 0.5 * (tube + rod) * (run.z / run.norm()).abs();
                    out.entry(post).or_default().push(Beside { bar: k, arm });
                }
                _ => unknown.push((post, format!("no outside of \"{}\" is known", member.part))),
            }
        }
    }
    (out, unknown)
}

/// Moments put into a post at a place: diagonals beside its axis, and tubes side by side. As they
/// grow under its compression, `least` being its least critical one.
pub(super) fn joint_moment(
    data: &Data<'_>,
    state: &State<'_>,
    (post, mut members): (MemberId, Range<usize>),
    beside: &[Beside],
    least: f64,
) -> f64 {
    let pressed = members.by_ref().map(|k| data.compression[k]).fold(0.0, f64::max);
    let mut moment = data.of_frame.offsets.step.get(&post).map_or(0.0, |step| pressed * step);
    for beside in beside {
        let force: f64 = state.families.iter().map(|f| f.of.axial[beside.bar].abs()).sum();
        moment += force * beside.arm;
    }
    if !(moment > 0.0) {
        return moment;
    }
    // A diagonal beside the axis bends the post out of the diagonal's own plane.
    let rest = 1.0 - pressed / least;
    if rest > 0.0 { moment / rest } else { f64::INFINITY }
}
