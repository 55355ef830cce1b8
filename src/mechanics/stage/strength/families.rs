//! Families of loads whose signs are free of one another: their effects are added without sign.

use super::Subject;
use super::imperfect::Offsets;
use crate::assembly::MemberId;
use crate::mechanics::element::{Element, MOST};
use crate::mechanics::frame::ElementForm;
use crate::mechanics::memo::Memo;
use crate::mechanics::stage::Heads;
use std::collections::BTreeMap;

/// Lean at which the stiffness against sway is measured; any would do.
pub(super) const UNIT_LEAN: f64 = 0.01;

/// Nodal loads.
pub(super) type Nodal = Vec<(usize, [f64; 6])>;

/// Sideways force at the heads in a direction, as in the lateral cases.
pub(super) fn sideways(heads: &Heads, axis: [f64; 2]) -> Nodal {
    let at = |&(_, node, force): &(MemberId, usize, f64)| {
        (node, [axis[0] * force, axis[1] * force, 0.0, 0.0, 0.0, 0.0])
    };
    heads.iter().map(at).collect()
}

/// What a worker's push on each line of posts brings beyond the sideways force that is there
/// already, spread alike over the heads of the line. Ledgers pass it on to where the line is held,
/// whichever head is pushed. That all lines are pushed at once is more than happens. None where
/// nothing is wanting.
/// `lines`: posts in line along the axis.
pub(super) fn pushed(
    subject: &Subject<'_>,
    heads: &Heads,
    axis: [f64; 2],
    lines: &[Vec<MemberId>],
) -> Option<Nodal> {
    let mut rest: BTreeMap<MemberId, (usize, f64)> =
        heads.iter().map(|&(post, node, force)| (post, (node, force))).collect();
    let push = subject.pack.worker_push.value.si();
    let mut out = Nodal::new();
    let mut add =
        |posts: &[(usize, f64)]| {
            let total: f64 = posts.iter().map(|p| p.1).sum();
            let more = (push - total).max(0.0) / posts.len().max(1) as f64;
            if more > 0.0 {
                out.extend(posts.iter().map(|&(node, _)| {
                    (node, [axis[0] * more, axis[1] * more, 0.0, 0.0, 0.0, 0.0])
                }));
            }
        };
    for posts in lines {
        let line: Vec<(usize, f64)> = posts.iter().filter_map(|p| rest.remove(p)).collect();
        add(&line);
    }
    for alone in rest.into_values() {
        add(&[alone]);
    }
    (!out.is_empty()).then_some(out)
}

/// Every post leans by the same angle: C·lean at the ends of each piece. C is what the weight
/// brings: what a couple of forces presses into one post of a braced bay it takes from another.
pub(super) fn leaning(
    subject: &Subject<'_>,
    compression: &[f64],
    axis: [f64; 2],
    lean: f64,
) -> Nodal {
    let mut out = Nodal::with_capacity(2 * subject.frame.pieces.len());
    for members in subject.frame.of_post.values() {
        for k in members.clone() {
            pair(subject, k, axis, compression[k] * lean, &mut out);
        }
    }
    out
}

/// The load comes down off the axis of every head.
pub(super) fn eccentric(subject: &Subject<'_>, compression: &[f64], axis: [f64; 2]) -> Nodal {
    let arm = subject.pack.head_eccentricity.value.si();
    subject
        .frame
        .of_post
        .values()
        .filter_map(|members| members.clone().next_back())
        .map(|k| turn(subject.frame.frame.members[k].j, axis, compression[k] * arm))
        .collect()
}

/// Kept at most.
const KEPT: usize = 20_000;

/// What bows put on their nodes, found before: pieces that are alike, pressed and bowed alike.
#[derive(Clone, Debug, Default)]
pub(super) struct Bows(Memo<[u64; 5], Option<[f64; MOST]>, KEPT>);

impl Bows {
    /// `number` says all that the element is made of but its nodes. The load in local axes.
    fn of(
        &mut self,
        number: u32,
        element: &Element,
        compression: f64,
        load: [f64; 3],
    ) -> Option<[f64; MOST]> {
        let [x, y, z] = load.map(f64::to_bits);
        self.0.of([u64::from(number), compression.to_bits(), x, y, z], || {
            element.nodal_load(ElementForm::Exact, -compression, load)
        })
    }
}

/// Play and bow of every post, to the same side. `there`: at which nodes it is wanted.
pub(super) fn crooked(
    subject: &Subject<'_>,
    elements: &[Element],
    offsets: &Offsets,
    compression: &[f64],
    axis: [f64; 2],
    (numbers, bows): (&[u32], &mut Bows),
    there: &dyn Fn(usize) -> bool,
) -> Nodal {
    let mut out = Nodal::new();
    for members in subject.frame.of_post.values() {
        for k in members.clone() {
            let member = &subject.frame.frame.members[k];
            if !there(member.i) && !there(member.j) {
                continue;
            }
            pair(subject, k, axis, compression[k] * offsets.slope[k], &mut out);
            let load = bow_load(offsets, compression, k, axis);
            let element = &elements[k];
            let local = element.local_load(load);
            let Some(f) = bows.of(numbers[k], element, compression[k], local) else { continue };
            for (end, node) in [member.i, member.j].into_iter().enumerate() {
                let mut force = [0.0; 6];
                for (d, value) in force.iter_mut().enumerate() {
                    *value = f[6 * end + d];
                    if d < 3 {
                        *value -= load[d] * element.length / 2.0;
                    }
                }
                out.push((node, force));
            }
        }
    }
    out
}

/// Load across a piece that acts as its bow does, global axes, newtons per metre.
pub(super) fn bow_load(
    offsets: &Offsets,
    compression: &[f64],
    k: usize,
    axis: [f64; 2],
) -> [f64; 3] {
    let q = compression[k] * offsets.curvature[k];
    [axis[0] * q, axis[1] * q, 0.0]
}

fn pair(subject: &Subject<'_>, k: usize, axis: [f64; 2], force: f64, out: &mut Nodal) {
    let member = &subject.frame.frame.members[k];
    for (node, sign) in [(member.j, 1.0), (member.i, -1.0)] {
        out.push((node, [sign * axis[0] * force, sign * axis[1] * force, 0.0, 0.0, 0.0, 0.0]));
    }
}

/// A downward load off its node by moment/load, towards the axis.
fn turn(node: usize, axis: [f64; 2], moment: f64) -> (usize, [f64; 6]) {
    (node, [0.0, 0.0, 0.0, -axis[1] * moment, axis[0] * moment, 0.0])
}
