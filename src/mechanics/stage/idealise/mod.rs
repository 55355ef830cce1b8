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

mod bars;
mod by_post;
mod known;
mod posts;
mod same;

pub use by_post::{ByPost, Chains};
use known::Known;
pub use same::is_same_frame;

use crate::assembly::model::{Assembly, Joint, JointKind, Member, MemberId, Point, Role};
use crate::equipment::model::Passes;
use crate::mechanics::frame::{Frame, FrameMember, Section};
use crate::sequence::{JointState, Stage};
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
    pub posts: Chains,
    /// Frame members of each post, foot to head.
    pub of_post: ByPost<std::ops::Range<usize>>,
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
    /// Room for so many nodes and members.
    fn make_room(&mut self, nodes: usize, members: usize) {
        self.frame.nodes.reserve(nodes);
        self.frame.members.reserve(members);
        self.of.reserve(members);
        self.pieces.reserve(members);
    }

    /// The number of a section.
    fn section(&mut self, section: Section) -> usize {
        let sections = &mut self.frame.sections;
        sections.iter().position(|s| *s == section).unwrap_or_else(|| {
            sections.push(section);
            sections.len() - 1
        })
    }

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
    made(assembly, stage, None)
}

/// The same, taking over from the frame of a stage before what is as it was there.
#[must_use]
pub fn idealise_from(
    assembly: &Assembly,
    stage: &Stage,
    before: (&Stage, &StageFrame),
) -> StageFrame {
    made(assembly, stage, Known::new(assembly, stage, before))
}

fn made(assembly: &Assembly, stage: &Stage, mut known: Option<Known<'_>>) -> StageFrame {
    let mut out = StageFrame::default();
    let roles = &assembly.roles;
    let braces = counted(assembly, stage, &roles.braces);
    let braces: Vec<&Member> =
        braces.filter(|brace| coupled_at_both_ends(assembly, stage, brace)).collect();
    let is_brace = marked(assembly, &braces);
    // Upper posts stand on lower ones: the lower must be there first.
    let posts: Vec<&Member> = counted(assembly, stage, &roles.posts_from_below).collect();
    // From nothing each post has some four nodes and members, and two bars join it.
    let from_nothing = [4 * posts.len(), 6 * posts.len()];
    let [nodes, members] = known.as_ref().map_or(from_nothing, Known::room);
    out.make_room(nodes, members);
    for post in posts {
        if known.as_mut().is_some_and(|known| known.post(&mut out, post.id)) {
            continue;
        }
        let Some(part) = assembly.library.posts.get(&post.part) else {
            out.unknown.push((post.id, format!("no post part \"{}\" in the equipment", post.part)));
            continue;
        };
        if post.length() <= SAME_STATION {
            out.unknown.push((post.id, "a post without length".to_owned()));
            continue;
        }
        let fixed = fixed_stations(assembly, stage, &is_brace, post.id);
        posts::add_post(&mut out, assembly, stage, post, part, fixed);
    }
    out.posts.sort();
    out.of_post.sort();
    let mut data = bars::BarData::new(assembly);
    for member in counted(assembly, stage, &roles.joining) {
        if member.role == Role::TieIn {
            bars::add_tie(&mut out, &mut data, stage, member);
        } else if !known.as_mut().is_some_and(|known| known.bar(&mut out, member.id)) {
            bars::add_beam(&mut out, &mut data, stage, member);
        }
    }
    for brace in braces {
        if !known.as_mut().is_some_and(|known| known.bar(&mut out, brace.id)) {
            bars::add_brace(&mut out, &mut data, brace, &is_brace);
        }
    }
    bars::add_decks(&mut out, assembly, stage);
    out
}

/// Of some members those that count: they stand and are sound.
fn counted<'a>(
    assembly: &'a Assembly,
    stage: &'a Stage,
    ids: &'a [MemberId],
) -> impl Iterator<Item = &'a Member> {
    let standing = ids.iter().filter(|id| stage.stands(**id));
    standing.map(|id| assembly.member(*id)).filter(|member| !member.damaged)
}

fn coupled_at_both_ends(assembly: &Assembly, stage: &Stage, brace: &Member) -> bool {
    let mut posts = locked_couplers(assembly, brace.id)
        .filter(|&j| stage.joint(j) == JointState::Locked)
        .filter_map(|j| assembly.joint(j).carrier)
        .filter(|&post| stage.stands(post) && !assembly.member(post).damaged);
    posts.next().is_some_and(|one| posts.any(|other| other != one))
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

/// Stations on a post where a joint fixes something to it.
fn fixed_stations(
    assembly: &Assembly,
    stage: &Stage,
    is_brace: &[bool],
    post: MemberId,
) -> Vec<f64> {
    let fixes = |joint: &&Joint| {
        joint.carrier == Some(post)
            && stage.joint(joint.id) != JointState::Open
            && match joint.kind {
                JointKind::Head => true,
                JointKind::Coupler => {
                    is_brace[joint.member.index()]
                        || assembly.member(joint.member).role == Role::TieIn
                }
                _ => false,
            }
    };
    let joints = assembly.joints_of(post).iter().map(|&j| assembly.joint(j));
    joints.filter(fixes).map(|joint| joint.carrier_at).collect()
}

/// By member: whether it is one of these braces.
fn marked(assembly: &Assembly, braces: &[&Member]) -> Vec<bool> {
    let mut marked = vec![false; assembly.members.len()];
    braces.iter().for_each(|b| marked[b.id.index()] = true);
    marked
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

fn push_member(out: &mut StageFrame, of: MemberId, mut member: FrameMember, section: Section) {
    member.section = out.section(section);
    out.frame.members.push(member);
    out.of.push(of);
    out.pieces.push(PieceOf::Bar);
}

fn push_node(frame: &mut Frame, at: Point) -> usize {
    frame.nodes.push(at);
    frame.nodes.len() - 1
}
