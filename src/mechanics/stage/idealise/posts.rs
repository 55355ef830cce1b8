//! Posts as chains of beams, with what they stand on.

use super::{PieceOf, SAME_STATION, StageFrame, passes, push_member, push_node, stands_on_ground};
use crate::assembly::model::{Assembly, JointKind, Member, Vector};
use crate::equipment::model::Post;
use crate::mechanics::frame::{FrameMember, MemberKind, Release, Section, Support};
use crate::mechanics::stage::sections::{overlap_ei, overlap_from, spindle, tube};
use crate::sequence::Stage;

pub(super) fn add_post(
    out: &mut StageFrame,
    assembly: &Assembly,
    stage: &Stage,
    post: &Member,
    part: &Post,
    fixed: Vec<f64>,
) {
    let length = post.length();
    let jack = post.jack.as_ref().map_or(0.0, |(_, extension)| *extension);
    let outer_top = jack + part.outer_length.si();
    let overlap = overlap_from(assembly, post);
    let mut stations: Vec<f64> = vec![0.0, length];
    stations.extend(fixed.into_iter().filter(|s| *s > 0.0 && *s < length));
    for step in [Some(jack), overlap, Some(outer_top)].into_iter().flatten() {
        // The change of section is a node of its own even beside a joint a little off.
        if step > SAME_STATION && step < length - SAME_STATION {
            stations.push(step);
        }
    }
    stations.sort_by(f64::total_cmp);
    stations.dedup_by(|b, a| *b - *a < SAME_STATION);
    if let Some(last) = stations.last_mut() {
        *last = length;
    }
    let spliced = foot_on_post(out, assembly, stage, post);
    let mut nodes = Vec::with_capacity(stations.len());
    for (k, &station) in stations.iter().enumerate() {
        let node = match (k, spliced) {
            (0, Some(Splice::Pinned(node))) => node,
            _ => push_node(&mut out.frame, post.at(station)),
        };
        nodes.push((station, node));
    }
    let z = if post.direction().x.abs() < 0.9 { Vector::x() } else { Vector::y() };
    let first = out.frame.members.len();
    for (k, pair) in nodes.windows(2).enumerate() {
        let middle = 0.5 * (pair[0].0 + pair[1].0);
        let (piece, section) = if middle < jack {
            (PieceOf::Jack, spindle(assembly, post, &part.inner))
        } else if middle >= outer_top {
            (PieceOf::Inner, tube(&part.inner))
        } else if overlap.is_some_and(|from| middle > from) {
            let share = overlap_ei(part) / part.outer.ei();
            let outer = tube(&part.outer);
            let i = outer.iy * share;
            (PieceOf::Overlap, Section { iy: i, iz: i, ..outer })
        } else {
            (PieceOf::Outer, tube(&part.outer))
        };
        let mut release = [[Release::Rigid; 3]; 2];
        if k == 0 && matches!(spliced, Some(Splice::Pinned(_))) {
            release[0] = [Release::Rigid, Release::Free, Release::Free];
        }
        push_member(
            out,
            post.id,
            FrameMember {
                i: pair[0].1,
                j: pair[1].1,
                section: 0,
                kind: MemberKind::Beam,
                z,
                release,
                arms: None,
            },
            section,
        );
        if let Some(last) = out.pieces.last_mut() {
            *last = piece;
        }
    }
    out.of_post.put(post.id, first..out.frame.members.len());
    let foot = nodes[0].1;
    match spliced {
        Some(Splice::Pinned(_)) => {}
        Some(Splice::Bears) => out
            .frame
            .supports
            .push(Support { node: foot, fixed: [false, false, true, false, false, true] }),
        None if stands_on_ground(assembly, stage, post.id) => {
            out.frame
                .supports
                .push(Support { node: foot, fixed: [true, true, true, false, false, true] });
            out.feet.push((foot, post.id));
        }
        None => out
            .frame
            .supports
            .push(Support { node: foot, fixed: [false, false, false, false, false, true] }),
    }
    if stage.strip.secured.contains(&post.id)
        && let Some(&(_, head)) = nodes.last()
    {
        // Fixed to a slab that carries itself: held sideways, and by nothing upwards.
        out.frame
            .supports
            .push(Support { node: head, fixed: [true, true, false, false, false, false] });
    }
    out.posts.put(post.id, &nodes);
}

#[derive(Clone, Copy)]
enum Splice {
    /// Fixed together: a pin at the lower post's head.
    Pinned(usize),
    /// Merely stands there: bears, and may slip.
    Bears,
}

fn foot_on_post(
    out: &StageFrame,
    assembly: &Assembly,
    stage: &Stage,
    post: &Member,
) -> Option<Splice> {
    assembly.joints_of(post.id).iter().copied().find_map(|j| {
        let joint = assembly.joint(j);
        let carrier =
            joint.carrier.filter(|_| joint.kind == JointKind::Splice && joint.member == post.id)?;
        let passes = passes(assembly, stage, j)?;
        let lower = out.head(carrier)?;
        Some(if passes.along && passes.across { Splice::Pinned(lower) } else { Splice::Bears })
    })
}
