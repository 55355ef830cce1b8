//! What follows from a stage's frame alone: which post a node belongs to, its lines, its pieces. Kept
//! while the frame is the same.

use crate::assembly::JointKind;
use crate::assembly::model::{Assembly, JointId, MemberId};
use crate::equipment::model::Passes;
use crate::mechanics::stage::idealise::{StageFrame, passes};
use crate::mechanics::stage::{cases, lines};
use crate::sequence::{JointState, Stage};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Lines and pieces of a frame.
#[derive(Clone, Debug)]
pub struct Layout {
    /// A number of its own.
    pub(super) id: u64,
    frame: Arc<StageFrame>,
    /// States of the joints at which posts stand on posts.
    splices: Vec<JointState>,
    /// Post that each node belongs to.
    pub owner: Vec<Option<MemberId>>,
    pub pieces: Vec<Piece>,
}

/// Posts joined by bars, or standing on each other, with those bars; sorted.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Piece {
    pub posts: Vec<MemberId>,
    pub bars: Vec<usize>,
    /// By axis.
    pub along: Vec<Along>,
    /// Some bar lies in no line of any axis: it ties lines together.
    pub tied: bool,
}

/// The lines of a piece along an axis.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Along {
    /// Posts of each line, with the bars in it.
    pub lines: Vec<(Vec<MemberId>, Vec<usize>)>,
    /// Every post of the piece is in one of them.
    pub all_reached: bool,
}

/// Joints of an assembly at which a post stands on another.
pub(super) fn splices(assembly: &Assembly) -> Vec<JointId> {
    assembly.joints.iter().filter(|j| j.kind == JointKind::Splice).map(|j| j.id).collect()
}

impl Layout {
    /// That of a frame: the one there is, where it is of the same. `splices` as from [`splices`].
    pub(super) fn of(
        known: Option<Arc<Self>>,
        assembly: &Assembly,
        splices: &[JointId],
        stage: &Stage,
        frame: &Arc<StageFrame>,
    ) -> Arc<Self> {
        let splices: Vec<JointState> = splices.iter().map(|&j| stage.joint(j)).collect();
        let next = known.as_ref().map_or(0, |known| known.id + 1);
        let same = |known: &Arc<Self>| Arc::ptr_eq(&known.frame, frame) && known.splices == splices;
        known.filter(same).unwrap_or_else(|| {
            let owner = owners(assembly, frame);
            let pieces = pieces(assembly, stage, frame, &owner);
            Arc::new(Self { id: next, frame: Arc::clone(frame), splices, owner, pieces })
        })
    }
}

fn owners(assembly: &Assembly, frame: &StageFrame) -> Vec<Option<MemberId>> {
    let mut owner = vec![None; frame.frame.nodes.len()];
    let mut by_level: Vec<_> = frame.posts.iter().collect();
    by_level.sort_by(|a, b| {
        let level = |m: &MemberId| assembly.member(*m).ends[0].z;
        level(a.0).total_cmp(&level(b.0)).then(a.0.cmp(b.0))
    });
    for (&post, chain) in by_level {
        for &(_, node) in chain {
            owner[node].get_or_insert(post);
        }
    }
    owner
}

fn pieces(
    assembly: &Assembly,
    stage: &Stage,
    frame: &StageFrame,
    owner: &[Option<MemberId>],
) -> Vec<Piece> {
    let mut joined = petgraph::unionfind::UnionFind::<u32>::new(assembly.members.len());
    for (member, of) in frame.frame.members.iter().zip(&frame.of) {
        if let (Some(a), Some(b)) = (owner[member.i], owner[member.j]) {
            joined.union(a.0, b.0);
        }
        if let Some(a) = owner[member.i]
            && assembly.member(*of).is_post()
        {
            joined.union(a.0, of.0);
        }
    }
    for &post in frame.posts.keys() {
        if let Some((lower, _)) = stands_on_post(assembly, stage, frame, post) {
            joined.union(post.0, lower.0);
        }
    }
    let mut pieces: BTreeMap<u32, Piece> = BTreeMap::new();
    for &post in frame.posts.keys() {
        pieces.entry(joined.find(post.0)).or_default().posts.push(post);
    }
    for (k, member) in frame.frame.members.iter().enumerate() {
        if !frame.posts.contains_key(&frame.of[k])
            && let Some(post) = owner[member.i].or(owner[member.j])
        {
            pieces.entry(joined.find(post.0)).or_default().bars.push(k);
        }
    }
    let lines: Vec<_> =
        cases::axes(assembly).into_iter().map(|axis| lines::in_line(frame, axis)).collect();
    for lines in lines {
        for piece in pieces.values_mut() {
            piece.along.push(Along::default());
        }
        for line in lines {
            let first = line.0.first().copied();
            let piece = first.and_then(|first| pieces.get_mut(&joined.find(first.0)));
            if let Some(along) = piece.and_then(|piece| piece.along.last_mut()) {
                along.lines.push(line);
            }
        }
    }
    let mut in_lines = vec![false; frame.frame.members.len()];
    let mut reached = vec![false; assembly.members.len()];
    for piece in pieces.values_mut() {
        for along in &mut piece.along {
            let posts = || along.lines.iter().flat_map(|(posts, _)| posts);
            posts().for_each(|post| reached[post.index()] = true);
            let all_reached = piece.posts.iter().all(|post| reached[post.index()]);
            posts().for_each(|post| reached[post.index()] = false);
            along.lines.iter().flat_map(|l| &l.1).for_each(|&bar| in_lines[bar] = true);
            along.all_reached = all_reached;
        }
        piece.tied = piece.bars.iter().any(|&bar| !in_lines[bar]);
    }
    let mut out: Vec<Piece> = pieces.into_values().collect();
    out.sort_by(|a, b| a.posts.cmp(&b.posts).then_with(|| a.bars.cmp(&b.bars)));
    out
}

/// The post that a post stands on, with the joint's data.
pub(super) fn stands_on_post(
    assembly: &Assembly,
    stage: &Stage,
    frame: &StageFrame,
    post: MemberId,
) -> Option<(MemberId, Passes)> {
    assembly.joints_of(post).iter().copied().find_map(|j| {
        let joint = assembly.joint(j);
        let lower =
            joint.carrier.filter(|_| joint.kind == JointKind::Splice && joint.member == post)?;
        let passes = passes(assembly, stage, j)?;
        frame.posts.contains_key(&lower).then_some((lower, passes))
    })
}
