//! A stage as a frame: which members carry what, by the data of their joints.
//!
//! - A standing post is a chain of beam elements from its foot through every station where
//!   something is fixed to it, up to its head. The outer tube is below, the inner tube above, the
//!   overlap between as in `super::sections::overlap_ei`; a jack under it takes the weaker of the inner tube and
//!   its own spindle.
//! - A foot on ground is a pin: held in the three directions and against spinning about its own
//!   axis, free to lean. That it only pushes is judged by releasing what lifts.
//! - A ledger, joist, bearer or plan brace is a bar between neighbouring posts where both ends
//!   pass a push and pull along it in their present state; otherwise it is weight alone.
//! - A brace is a bar when both couplers are fixed. Two crossing rods that act in tension only
//!   count as one two-way diagonal; a single such rod counts as nothing.
//! - A bay whose nailed deck keeps its shape has a bar from corner to corner, as stiff as the
//!   sheets' stated stiffness in shear.
//! - A coupler stands at its own station on the post. How far the brace's axis passes beside the
//!   post's is stated by no part and is left out.
//! - What is held in hand, damaged or not fixed is not in the frame at all.

use super::sections::{POISSON, overlap_ei, overlap_from, spindle, tube};
use crate::assembly::model::{Assembly, JointKind, Member, MemberId, Point, Role, Vector};
use crate::equipment::model::{Passes, Post};
use crate::mechanics::frame::{Frame, FrameMember, MemberKind, Release, Section, Support};
use crate::restraint::diaphragm;
use crate::sequence::{JointState, Stage};
use std::collections::BTreeMap;

/// Stations closer than this share a node, metres.
const SAME_STATION: f64 = 0.005;

/// The frame of one stage and what its parts stand for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StageFrame {
    pub frame: Frame,
    /// Assembly member of each frame member.
    pub of: Vec<MemberId>,
    /// What each frame member is a piece of.
    pub pieces: Vec<PieceOf>,
    /// Nodes of each post with their stations from the foot, ascending.
    pub posts: BTreeMap<MemberId, Vec<(f64, usize)>>,
    /// Frame members of each post, foot to head.
    pub of_post: BTreeMap<MemberId, std::ops::Range<usize>>,
    /// Feet on ground: node and post.
    pub feet: Vec<(usize, MemberId)>,
    /// Posts that could not be modelled, with the reason.
    pub unknown: Vec<(MemberId, String)>,
}

/// What a frame member is a piece of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PieceOf {
    /// A jack's spindle.
    Jack,
    /// The outer tube, alone or with the inner tube in it.
    Outer,
    /// The outer tube where the inner tube in it is the softer for the joint.
    Overlap,
    Inner,
    /// A member that acts along itself.
    Bar,
}

impl StageFrame {
    /// Node at a post's head.
    #[must_use]
    pub fn head(&self, post: MemberId) -> Option<usize> {
        self.posts.get(&post).and_then(|nodes| nodes.last()).map(|&(_, node)| node)
    }

    /// Node of a post nearest to a station.
    #[must_use]
    pub fn node_at(&self, post: MemberId, station: f64) -> Option<usize> {
        self.posts
            .get(&post)?
            .iter()
            .min_by(|a, b| (a.0 - station).abs().total_cmp(&(b.0 - station).abs()))
            .map(|&(_, node)| node)
    }
}

/// What a joint passes in its present state; `None` where it passes nothing.
#[must_use]
pub fn passes(
    assembly: &Assembly,
    stage: &Stage,
    joint: crate::assembly::JointId,
) -> Option<Passes> {
    let data = assembly.joint(joint);
    match stage.joint(joint) {
        JointState::Open => None,
        JointState::Hung => Some(data.hung),
        JointState::Locked => Some(data.locked),
        JointState::Lowered => Some(data.lowered),
    }
}

/// Builds the frame of a stage.
#[must_use]
pub fn idealise(assembly: &Assembly, stage: &Stage) -> StageFrame {
    let mut out = StageFrame::default();
    let counted = |member: &Member| stage.stands(member.id) && !member.damaged;
    let braces: Vec<&Member> = assembly
        .members
        .iter()
        .filter(|m| m.role == Role::Brace && counted(m) && coupled_at_both_ends(assembly, stage, m))
        .collect();
    let mut stations = fixed_stations(assembly, stage, &braces);
    // Upper posts stand on lower ones: the lower must be there first.
    let mut posts: Vec<&Member> =
        assembly.members.iter().filter(|m| m.is_post() && counted(m)).collect();
    posts.sort_by(|a, b| a.ends[0].z.total_cmp(&b.ends[0].z).then(a.id.cmp(&b.id)));
    for post in posts {
        let Some(part) = assembly.library.posts.get(&post.part) else {
            out.unknown.push((post.id, format!("no post part \"{}\" in the equipment", post.part)));
            continue;
        };
        if post.length() <= SAME_STATION {
            out.unknown.push((post.id, "a post without length".to_owned()));
            continue;
        }
        add_post(
            &mut out,
            assembly,
            stage,
            post,
            part,
            stations.remove(&post.id).unwrap_or_default(),
        );
    }
    for member in assembly.members.iter().filter(|m| counted(m)) {
        match member.role {
            Role::Ledger | Role::Joist | Role::DropBeam | Role::PlanBrace => {
                add_beam(&mut out, assembly, stage, member);
            }
            Role::TieIn => add_tie(&mut out, assembly, stage, member),
            _ => {}
        }
    }
    add_braces(&mut out, assembly, &braces);
    add_decks(&mut out, assembly, stage);
    out
}

fn coupled_at_both_ends(assembly: &Assembly, stage: &Stage, brace: &Member) -> bool {
    let mut posts: Vec<MemberId> = locked_couplers(assembly, brace.id)
        .filter(|&j| stage.joint(j) == JointState::Locked)
        .filter_map(|j| assembly.joint(j).carrier)
        .filter(|&post| stage.stands(post) && !assembly.member(post).damaged)
        .collect();
    posts.sort_unstable();
    posts.dedup();
    posts.len() >= 2
}

fn locked_couplers(
    assembly: &Assembly,
    brace: MemberId,
) -> impl Iterator<Item = crate::assembly::JointId> + '_ {
    assembly.joints_of(brace).iter().copied().filter(move |&j| {
        let joint = assembly.joint(j);
        joint.kind == JointKind::Coupler && joint.member == brace
    })
}

/// Stations on each post where a joint fixes something to it.
fn fixed_stations(
    assembly: &Assembly,
    stage: &Stage,
    braces: &[&Member],
) -> BTreeMap<MemberId, Vec<f64>> {
    let mut stations: BTreeMap<MemberId, Vec<f64>> = BTreeMap::new();
    let is_brace = marked(assembly, braces);
    for joint in &assembly.joints {
        let Some(carrier) = joint.carrier else { continue };
        if !assembly.member(carrier).is_post() || stage.joint(joint.id) == JointState::Open {
            continue;
        }
        let fixes = match joint.kind {
            JointKind::Head => true,
            JointKind::Coupler => {
                is_brace[joint.member.index()] || assembly.member(joint.member).role == Role::TieIn
            }
            _ => false,
        };
        if fixes {
            stations.entry(carrier).or_default().push(joint.carrier_at);
        }
    }
    stations
}

/// By member: whether it is one of these braces.
fn marked(assembly: &Assembly, braces: &[&Member]) -> Vec<bool> {
    let mut marked = vec![false; assembly.members.len()];
    braces.iter().for_each(|b| marked[b.id.index()] = true);
    marked
}

fn add_post(
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
    out.of_post.insert(post.id, first..out.frame.members.len());
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
    out.posts.insert(post.id, nodes);
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

/// Whether a post's foot bears on a floor, straight or through its sill.
#[must_use]
pub fn stands_on_ground(assembly: &Assembly, stage: &Stage, post: MemberId) -> bool {
    assembly.joints_of(post).iter().copied().any(|j| {
        let joint = assembly.joint(j);
        if joint.member != post || stage.joint(j) == JointState::Open {
            return false;
        }
        match joint.kind {
            JointKind::Ground => true,
            JointKind::Foot => joint.carrier.is_some_and(|sill| {
                stage.state(sill).is_there()
                    && assembly.joints_of(sill).iter().any(|&g| {
                        let ground = assembly.joint(g);
                        ground.kind == JointKind::Ground
                            && ground.member == sill
                            && stage.joint(g) != JointState::Open
                    })
            }),
            _ => false,
        }
    })
}

/// A bar between each pair of neighbouring posts that pass a push along this member.
fn add_beam(out: &mut StageFrame, assembly: &Assembly, stage: &Stage, member: &Member) {
    let Some((e, area)) = bar_data(assembly, member) else { return };
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
fn add_tie(out: &mut StageFrame, assembly: &Assembly, stage: &Stage, tie: &Member) {
    let Some((e, area)) = bar_data(assembly, tie) else { return };
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

fn add_braces(out: &mut StageFrame, assembly: &Assembly, braces: &[&Member]) {
    let is_brace = marked(assembly, braces);
    for brace in braces {
        let Some((e, area)) = bar_data(assembly, brace) else { continue };
        if brace.tension_only {
            // `.a` and `.b` cross in the same bay: the pair counts once, as `.a`.
            let Some(bay) = brace.name.strip_suffix(".a") else { continue };
            let partner = assembly.find(&format!("{bay}.b"));
            if !partner.is_some_and(|p| is_brace[p.index()] && assembly.member(p).tension_only) {
                continue;
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
}

/// A bar across each bay whose nailed deck keeps its shape, between the heads at the corners.
///
/// A plate of shear stiffness G per width on a bay of sides u, v gives way by F·v/(G·u) under a
/// force F along u; with the bay's edges as bars a diagonal of length L does so by
/// F/(EA/L · (u/L)²). They are alike both ways with EA = G·L³/(u·v).
fn add_decks(out: &mut StageFrame, assembly: &Assembly, stage: &Stage) {
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

/// Modulus and area of a member that acts along its axis.
fn bar_data(assembly: &Assembly, member: &Member) -> Option<(f64, f64)> {
    let library = &assembly.library;
    library
        .beams
        .get(&member.part)
        .map(|b| (b.e.si(), b.area.si()))
        .or_else(|| library.braces.get(&member.part).map(|b| (b.e.si(), b.area.si())))
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

fn push_member(out: &mut StageFrame, of: MemberId, mut member: FrameMember, section: Section) {
    let known = out.frame.sections.iter().position(|s| *s == section);
    member.section = known.unwrap_or_else(|| {
        out.frame.sections.push(section);
        out.frame.sections.len() - 1
    });
    out.frame.members.push(member);
    out.of.push(of);
    out.pieces.push(PieceOf::Bar);
}

fn push_node(frame: &mut Frame, at: Point) -> usize {
    frame.nodes.push(at);
    frame.nodes.len() - 1
}
