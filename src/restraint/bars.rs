//! What can pass a horizontal force at a stage, read from members and joints.

use crate::assembly::{Assembly, DeckBay, Joint, JointKind, Member, MemberId, Role};
use crate::loads::passes;
use crate::sequence::{JointState, Stage};
use std::sync::Arc;

pub(super) type Plan = [f64; 2];

pub(super) fn dot(a: Plan, b: Plan) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// Cosine above which a bar counts as lying along an axis (2.5 degrees).
pub(super) const PARALLEL: f64 = 0.999;
/// A joint this near to the head seat, as a share of the post, is at the head.
const AT_HEAD: f64 = 0.98;

/// What is under a post's foot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Foot {
    Ground,
    /// On another post, at a share of its height.
    On(usize, f64),
    Nothing,
}

/// The standing posts, with their axes. A post's index is its place here; variable `2 * post + k`
/// is the movement of its head along axis k.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Heads {
    pub posts: Vec<MemberId>,
    pub axes: Vec<[Plan; 2]>,
    pub feet: Vec<Foot>,
    index: Vec<Option<u32>>,
}

impl Heads {
    /// `blocks` as from [`block_axes`].
    pub fn new(assembly: &Assembly, stage: &Stage, blocks: &[Option<[Plan; 2]>]) -> Self {
        let posts: Vec<MemberId> = assembly
            .members
            .iter()
            .filter(|m| m.is_post() && stage.stands(m.id))
            .map(|m| m.id)
            .collect();
        let mut index = vec![None; assembly.members.len()];
        for (i, post) in posts.iter().enumerate() {
            index[post.index()] = Some(i as u32);
        }
        let mut heads = Self {
            axes: posts
                .iter()
                .map(|&p| blocks[p.index()].unwrap_or_else(|| axes(assembly, stage, p)))
                .collect(),
            feet: Vec::new(),
            posts,
            index,
        };
        heads.feet = heads.posts.iter().map(|&p| heads.foot(assembly, stage, p)).collect();
        heads
    }

    pub fn of(&self, post: MemberId) -> Option<usize> {
        self.index[post.index()].map(|i| i as usize)
    }

    fn foot(&self, assembly: &Assembly, stage: &Stage, post: MemberId) -> Foot {
        for &j in assembly.joints_of(post) {
            let joint = assembly.joint(j);
            if joint.member != post || passes(assembly, stage, j).is_none_or(|p| !p.bearing) {
                continue;
            }
            match (joint.kind, joint.carrier) {
                (JointKind::Ground | JointKind::Foot, _) => return Foot::Ground,
                (JointKind::Splice, Some(lower)) => {
                    if let Some(i) = self.of(lower) {
                        return Foot::On(i, share(assembly.member(lower), joint.carrier_at));
                    }
                }
                _ => {}
            }
        }
        Foot::Nothing
    }

    /// Adds the movement of a point of a post along a plan direction. False where it depends on
    /// something unknown: a foot on nothing.
    pub fn movement(
        &self,
        post: usize,
        share: f64,
        direction: Plan,
        factor: f64,
        out: &mut Vec<(usize, f64)>,
    ) -> bool {
        let (mut post, mut share, mut factor) = (post, share, factor);
        for _ in 0..=self.posts.len() {
            for k in 0..2 {
                let part = factor * share * dot(self.axes[post][k], direction);
                if part.abs() > 1e-12 {
                    out.push((2 * post + k, part));
                }
            }
            let rest = factor * (1.0 - share);
            if rest.abs() <= 1e-12 {
                return true;
            }
            match self.feet[post] {
                Foot::Ground => return true,
                Foot::Nothing => return false,
                Foot::On(lower, at) => (post, share, factor) = (lower, at, rest),
            }
        }
        false
    }
}

/// By member: the axes of a post's block, in which it is asked about. None for posts of no block.
pub(super) fn block_axes(assembly: &Assembly) -> Vec<Option<[Plan; 2]>> {
    let block = |member: &Member| {
        let name = member.block.as_deref().filter(|_| member.is_post())?;
        let block = assembly.scene.blocks.iter().find(|b| b.name == name)?;
        Some(both_axes([block.turned.si().cos(), block.turned.si().sin()]))
    };
    assembly.members.iter().map(block).collect()
}

/// Directions in which a post of no block is asked about: the first beam at its head and square to it;
/// x and y where there is none.
fn axes(assembly: &Assembly, stage: &Stage, post: MemberId) -> [Plan; 2] {
    let along = assembly
        .joints_of(post)
        .iter()
        .map(|&j| assembly.joint(j))
        .filter(|j| j.kind == JointKind::Head && j.carrier == Some(post))
        .filter(|j| stage.state(j.member).is_there())
        .find_map(|j| plan_direction(assembly.member(j.member)));
    both_axes(along.unwrap_or([1.0, 0.0]))
}

/// A direction and the one square to it, each pointing ahead, the one nearer to x first.
fn both_axes(along: Plan) -> [Plan; 2] {
    let across = [0.0 - along[1], along[0]];
    let ahead = |d: Plan| {
        if d[0] > 1e-3 || (d[0].abs() <= 1e-3 && d[1] > 0.0) { d } else { [0.0 - d[0], 0.0 - d[1]] }
    };
    let (a, b) = (ahead(along), ahead(across));
    if a[0].abs() + 1e-9 >= b[0].abs() { [a, b] } else { [b, a] }
}

fn plan_direction(member: &Member) -> Option<Plan> {
    let d = member.ends[1] - member.ends[0];
    let run = d.x.hypot(d.y);
    (run > 0.01).then(|| [d.x / run, d.y / run])
}

fn share(post: &Member, at: f64) -> f64 {
    let length = post.length();
    let share = if length > 0.0 { (at / length).clamp(0.0, 1.0) } else { 1.0 };
    if share > AT_HEAD { 1.0 } else { share }
}

/// A bar along an axis of both its heads: they move together along it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct LineBar {
    pub variables: (usize, usize),
    pub member: MemberId,
}

/// A condition on head movements: the sum of factor × movement is zero, or may only be negative
/// where it acts in tension alone.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Link {
    pub terms: Vec<(usize, f64)>,
    pub by: Vec<MemberId>,
    pub tension_only: bool,
}

/// Bars and conditions: of one member, or of all.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Gathered {
    pub bars: Vec<LineBar>,
    pub links: Vec<Arc<Link>>,
}

impl Gathered {
    /// With the movements of one list of posts put as those of another, that holds them all.
    pub fn renumbered(&mut self, from: &Heads, to: &Heads) {
        let variable = |v: usize| to.of(from.posts[v / 2]).map_or(usize::MAX, |i| 2 * i + v % 2);
        for bar in &mut self.bars {
            bar.variables = (variable(bar.variables.0), variable(bar.variables.1));
        }
        for link in &mut self.links {
            if link.terms.iter().any(|t| variable(t.0) != t.0) {
                Arc::make_mut(link).terms.iter_mut().for_each(|t| t.0 = variable(t.0));
            }
        }
    }
}

/// The bars, diagonals and ties that a member makes at a stage.
pub(super) fn of_member(
    assembly: &Assembly,
    stage: &Stage,
    heads: &Heads,
    member: &Member,
) -> Gathered {
    let mut out = Gathered::default();
    if member.damaged || !stage.stands(member.id) {
        return out;
    }
    match member.role {
        Role::Ledger | Role::Joist | Role::DropBeam | Role::PlanBrace | Role::TieIn => {
            bar(assembly, stage, heads, member, &mut out);
        }
        Role::Brace => out.links.extend(diagonal(assembly, stage, heads, member)),
        _ => {}
    }
    out
}

/// Posts that are fixed to a slab that carries itself.
pub(super) fn secured(assembly: &Assembly, stage: &Stage, heads: &Heads) -> Vec<Arc<Link>> {
    let secured =
        |post: &MemberId| stage.strip.secured.contains(post) && !assembly.member(*post).damaged;
    let posts = heads.posts.iter().enumerate().filter(|(_, post)| secured(post));
    posts
        .flat_map(|(i, &post)| {
            (0..2).map(move |k| Link {
                terms: vec![(2 * i + k, 1.0)],
                by: vec![post],
                tension_only: false,
            })
        })
        .map(Arc::new)
        .collect()
}

/// A bay of a deck that keeps its shape.
pub(super) fn of_bay(assembly: &Assembly, heads: &Heads, bay: &DeckBay) -> Option<Arc<Link>> {
    let [a, b] = bay.corners;
    let (i, j) = (heads.of(a)?, heads.of(b)?);
    let run = assembly.member(b).ends[1] - assembly.member(a).ends[1];
    let length = run.x.hypot(run.y);
    if length <= 0.01 {
        return None;
    }
    let d = [run.x / length, run.y / length];
    apart(heads, (j, 1.0), (i, 1.0), d, bay.sheets.clone(), false)
}

/// A joint that passes push and pull along the member it belongs to.
fn passes_along(assembly: &Assembly, stage: &Stage, joint: &Joint) -> bool {
    match joint.kind {
        JointKind::Head | JointKind::Tie => {
            passes(assembly, stage, joint.id).is_some_and(|p| p.along)
        }
        JointKind::Coupler => stage.joint(joint.id) == JointState::Locked,
        _ => false,
    }
}

/// Posts a member meets with joints that pass along, by station: post and share of its height.
fn meets(assembly: &Assembly, stage: &Stage, heads: &Heads, member: &Member) -> Vec<(usize, f64)> {
    let mut out: Vec<(f64, usize, f64)> = assembly
        .joints_of(member.id)
        .iter()
        .map(|&j| assembly.joint(j))
        .filter(|j| j.member == member.id && passes_along(assembly, stage, j))
        .filter_map(|j| {
            let post = j.carrier?;
            let undamaged = !assembly.member(post).damaged || member.role != Role::Brace;
            heads
                .of(post)
                .filter(|_| undamaged)
                .map(|i| (j.member_at, i, share(assembly.member(post), j.carrier_at)))
        })
        .collect();
    out.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    out.into_iter().map(|(_, post, at)| (post, at)).collect()
}

/// A beam, plan brace or tie: keeps the heads it joins apart, and ties them to permanent work.
fn bar(assembly: &Assembly, stage: &Stage, heads: &Heads, member: &Member, out: &mut Gathered) {
    let Some(direction) = plan_direction(member) else { return };
    let met = meets(assembly, stage, heads, member);
    for pair in met.windows(2) {
        let ((i, at_i), (j, at_j)) = (pair[0], pair[1]);
        if i == j {
            continue;
        }
        let axis =
            |p: usize| heads.axes[p].iter().position(|&a| dot(a, direction).abs() > PARALLEL);
        match (axis(i), axis(j)) {
            (Some(k), Some(l))
                if !member.tension_only
                    && at_i >= 1.0
                    && at_j >= 1.0
                    && dot(heads.axes[i][k], heads.axes[j][l]) > 0.0 =>
            {
                out.bars.push(LineBar { variables: (2 * i + k, 2 * j + l), member: member.id });
            }
            _ => {
                let by = vec![member.id];
                out.links.extend(apart(
                    heads,
                    (j, at_j),
                    (i, at_i),
                    direction,
                    by,
                    member.tension_only,
                ));
            }
        }
    }
    let tied = assembly.joints_of(member.id).iter().map(|&j| assembly.joint(j)).any(|j| {
        j.kind == JointKind::Tie
            && j.member == member.id
            && stage.joint(j.id) == JointState::Locked
            && passes_along(assembly, stage, j)
    });
    if let Some(&(post, at)) = met.first().filter(|_| tied) {
        // Along an axis within the tolerance the tie holds that axis and nothing else.
        let direction = along_axis(heads, post, direction);
        let mut terms = Vec::new();
        if heads.movement(post, at, direction, 1.0, &mut terms) {
            let by = vec![member.id];
            out.links.push(Arc::new(Link { terms, by, tension_only: member.tension_only }));
        }
    }
}

/// The axis a direction lies along within the tolerance, or itself.
fn along_axis(heads: &Heads, post: usize, direction: Plan) -> Plan {
    let near = heads.axes[post].iter().find(|&&a| dot(a, direction).abs() > PARALLEL);
    near.map_or(direction, |a| {
        let sign = dot(*a, direction).signum();
        [a[0] * sign, a[1] * sign]
    })
}

/// A diagonal in elevation with both couplers home on two standing posts.
fn diagonal(
    assembly: &Assembly,
    stage: &Stage,
    heads: &Heads,
    member: &Member,
) -> Option<Arc<Link>> {
    let direction = plan_direction(member)?;
    let met = meets(assembly, stage, heads, member);
    let (&(low, at_low), &(high, at_high)) = (met.first()?, met.last()?);
    if met.len() < 2 || low == high {
        return None;
    }
    let direction = along_axis(heads, low, direction);
    apart(heads, (high, at_high), (low, at_low), direction, vec![member.id], member.tension_only)
}

/// Two points keep their distance along a plan direction; positive is growing apart.
fn apart(
    heads: &Heads,
    far: (usize, f64),
    near: (usize, f64),
    direction: Plan,
    by: Vec<MemberId>,
    tension_only: bool,
) -> Option<Arc<Link>> {
    let mut terms = Vec::new();
    let known = heads.movement(far.0, far.1, direction, 1.0, &mut terms)
        && heads.movement(near.0, near.1, direction, -1.0, &mut terms);
    known.then(|| Arc::new(Link { terms, by, tension_only }))
}
