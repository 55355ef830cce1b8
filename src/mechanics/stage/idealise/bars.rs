//! Members that act along themselves: ledgers and joists, ties, braces, nailed decks.

use super::{SAME_STATION, StageFrame, locked_couplers, passes, push_member, push_node};
use crate::assembly::model::{Assembly, JointKind, Member, MemberId, Vector};
use crate::mechanics::frame::{FrameMember, MemberKind, Release, Section, Support};
use crate::mechanics::stage::sections::POISSON;
use crate::restraint::diaphragm;
use crate::sequence::Stage;

/// A bar between each pair of neighbouring posts that pass a push along this member.
pub(super) fn add_beam<'a>(
    out: &mut StageFrame,
    data: &mut BarData<'a>,
    stage: &Stage,
    member: &'a Member,
) {
    let Some((e, area)) = data.of(member) else { return };
    let assembly = data.assembly;
    let mut ends: Vec<(f64, usize)> = assembly
        .joints_of(member.id)
        .iter()
        .copied()
        .filter_map(|j| {
            let joint = assembly.joint(j);
            let post = joint.carrier.filter(|_| {
                joint.member == member.id
                    && matches!(joint.kind, JointKind::Head | JointKind::Coupler)
            })?;
            passes(assembly, stage, j).filter(|p| p.along)?;
            Some((joint.member_at, out.node_at(post, joint.carrier_at)?))
        })
        .collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    for pair in ends.windows(2) {
        add_bar(out, member.id, pair[0].1, pair[1].1, e, area);
    }
}

/// A tie-in: a bar from its post to a point of the permanent works.
pub(super) fn add_tie<'a>(
    out: &mut StageFrame,
    data: &mut BarData<'a>,
    stage: &Stage,
    tie: &'a Member,
) {
    let Some((e, area)) = data.of(tie) else { return };
    let assembly = data.assembly;
    let joints = assembly.joints_of(tie.id);
    let fixed = joints.iter().copied().find(|&j| {
        assembly.joint(j).kind == JointKind::Tie
            && passes(assembly, stage, j).is_some_and(|p| p.along)
    });
    let Some(fixed) = fixed else { return };
    let post = joints.iter().copied().find_map(|j| {
        let joint = assembly.joint(j);
        let post = joint.carrier.filter(|_| joint.member == tie.id)?;
        passes(assembly, stage, j).filter(|p| p.along)?;
        out.node_at(post, joint.carrier_at)
    });
    let Some(post) = post else { return };
    let anchor = push_node(&mut out.frame, assembly.joint(fixed).at);
    out.frame.supports.push(Support { node: anchor, fixed: [true; 6] });
    add_bar(out, tie.id, anchor, post, e, area);
}

/// A brace coupled at both ends: a bar between each pair of neighbouring posts.
pub(super) fn add_brace<'a>(
    out: &mut StageFrame,
    data: &mut BarData<'a>,
    brace: &'a Member,
    is_brace: &[bool],
) {
    let assembly = data.assembly;
    let Some((e, area)) = data.of(brace) else { return };
    if brace.tension_only {
        // `.a` and `.b` cross in the same bay: the pair counts once, as `.a`.
        let Some(bay) = brace.name.strip_suffix(".a") else { return };
        let partner = assembly.find(&format!("{bay}.b"));
        if !partner.is_some_and(|p| is_brace[p.index()] && assembly.member(p).tension_only) {
            return;
        }
    }
    let mut ends: Vec<(f64, usize)> = locked_couplers(assembly, brace.id)
        .filter_map(|j| {
            let joint = assembly.joint(j);
            Some((joint.member_at, out.node_at(joint.carrier?, joint.carrier_at)?))
        })
        .collect();
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    for pair in ends.windows(2) {
        add_bar(out, brace.id, pair[0].1, pair[1].1, e, area);
    }
}

/// A bar across each bay whose nailed deck keeps its shape, between the heads at the corners.
///
/// A plate of shear stiffness G per width on a bay of sides u, v gives way by F·v/(G·u) under a
/// force F along u; with the bay's edges as bars a diagonal of length L does so by
/// F/(EA/L · (u/L)²). They are alike both ways with EA = G·L³/(u·v).
pub(super) fn add_decks(out: &mut StageFrame, assembly: &Assembly, stage: &Stage) {
    for bay in diaphragm::bays(assembly, stage) {
        let [a, b] = bay.corners;
        let (Some(a), Some(b), Some(&sheet)) = (out.head(a), out.head(b), bay.sheets.first())
        else {
            continue;
        };
        let length = (out.frame.nodes[b] - out.frame.nodes[a]).norm();
        let [u, v] = bay.sides;
        let ea = diaphragm::stiffness(assembly, bay) * length.powi(3) / (u * v);
        if ea > 0.0 {
            add_bar(out, sheet, a, b, ea, 1.0);
        }
    }
}

/// Modulus and area of members that act along their axis. Many of one part come one after the other.
pub(super) struct BarData<'a> {
    assembly: &'a Assembly,
    last: Option<(&'a str, Option<(f64, f64)>)>,
}

impl<'a> BarData<'a> {
    pub(super) fn new(assembly: &'a Assembly) -> Self {
        Self { assembly, last: None }
    }

    fn of(&mut self, member: &'a Member) -> Option<(f64, f64)> {
        let part = &member.part;
        if let Some((_, known)) = self.last.filter(|(last, _)| last == part) {
            return known;
        }
        let library = &self.assembly.library;
        let beam = library.beams.get(part).map(|b| (b.e.si(), b.area.si()));
        let brace = || library.braces.get(part).map(|b| (b.e.si(), b.area.si()));
        let found = beam.or_else(brace);
        self.last = Some((part, found));
        found
    }
}

fn add_bar(out: &mut StageFrame, of: MemberId, i: usize, j: usize, e: f64, area: f64) {
    let axis: Vector = out.frame.nodes[j] - out.frame.nodes[i];
    if i == j || axis.norm() <= SAME_STATION {
        return;
    }
    let z = if axis.z.abs() < 0.9 * axis.norm() { Vector::z() } else { Vector::x() };
    let section = Section { e, g: e / (2.0 * (1.0 + POISSON)), a: area, iy: 0.0, iz: 0.0, j: 0.0 };
    push_member(
        out,
        of,
        FrameMember {
            i,
            j,
            section: 0,
            kind: MemberKind::Bar,
            z,
            release: [[Release::Rigid; 3]; 2],
            arms: None,
        },
        section,
    );
}
