//! A push along a line of posts, carried by that line alone.
//!
//! Any state of forces in equilibrium in which every foot pushes is proof that a push is withstood
//! (static theorem of limit analysis). One such state is cheap: the posts of one line, the bars
//! between them along it and the diagonals in its plane carry the push among themselves, and
//! nothing else does. Where the line has no bracing of its own, or its bound is not enough, the
//! whole stage has to be asked.
//!
//! The effect of a unit push on the feet of a line depends on the line alone. It is kept from
//! stage to stage and used again where the line is the same, number for number, so that the
//! answers are those of making it anew.

use super::idealise::StageFrame;
use crate::assembly::model::{MemberId, Point, Vector};
use crate::mechanics::frame::{ElementForm, Frame, FrameMember, MemberKind, Support};
use crate::mechanics::model::Model;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Bars this little out of the plane of a line lie in it, metres.
const IN_PLANE: f64 = 1e-6;
/// A foot relieved by less than this share of a push is left as it is.
const HARDLY: f64 = 1e-9;
/// A line out of balance by more than this, relative, is no proof.
const OUT_OF_BALANCE: f64 = 1e-8;

/// What each axis and first post of a line had at the stage before.
#[derive(Clone, Debug, Default)]
pub struct Lines {
    kept: BTreeMap<(usize, MemberId), Line>,
    asked: Option<Asked>,
}

/// The frame asked last, and by axis the first post of each of its lines.
#[derive(Clone, Debug)]
struct Asked {
    frame: Arc<StageFrame>,
    firsts: BTreeMap<usize, Vec<MemberId>>,
}

#[derive(Clone, Debug)]
struct Line {
    posts: Vec<MemberId>,
    frame: Frame,
    /// Posts whose feet are on ground.
    feet: Vec<MemberId>,
    /// By post pushed at its head. `None`: the line cannot carry it.
    relieves: Option<Vec<Relieved>>,
}

/// Feet that a unit push relieves, by their place on the line, and of how much: pushed along the axis, and
/// against it.
type Relieved = [Vec<(u32, f64)>; 2];

impl Lines {
    /// The push each head withstands along an axis and against it by its line alone, newtons, by
    /// member; nothing where its line carries nothing.
    pub fn withstood(
        &mut self,
        frame: &Arc<StageFrame>,
        which: usize,
        axis: [f64; 2],
        weight_at_feet: &[f64],
    ) -> Vec<[f64; 2]> {
        let count = frame.posts.keys().next_back().map_or(0, |post| post.index() + 1);
        let mut weight = vec![0.0; count];
        for (&(_, post), &at_foot) in frame.feet.iter().zip(weight_at_feet) {
            if let Some(weight) = weight.get_mut(post.index()) {
                *weight = f64::max(at_foot, 0.0);
            }
        }
        let mut out = vec![[0.0; 2]; count];
        let mut on_line = Vec::new();
        for first in self.of_frame(frame, which, axis) {
            let Some(line) = self.kept.get(&(which, first)) else { continue };
            on_line.clear();
            let at = |foot: &MemberId| weight.get(foot.index()).copied().unwrap_or(0.0);
            on_line.extend(line.feet.iter().map(at));
            for (post, relieves) in line.posts.iter().zip(line.relieves.iter().flatten()) {
                if let Some(out) = out.get_mut(post.index()) {
                    *out = [least(&on_line, &relieves[0]), least(&on_line, &relieves[1])];
                }
            }
        }
        out
    }

    /// The first post of each line along an axis; what a push does to the lines is kept then.
    fn of_frame(&mut self, frame: &Arc<StageFrame>, which: usize, axis: [f64; 2]) -> Vec<MemberId> {
        let asked = self.asked.take().filter(|asked| Arc::ptr_eq(&asked.frame, frame));
        let asked = self.asked.insert(
            asked.unwrap_or_else(|| Asked { frame: Arc::clone(frame), firsts: BTreeMap::new() }),
        );
        if let Some(firsts) = asked.firsts.get(&which) {
            return firsts.clone();
        }
        let mut places = Places::new(frame);
        let mut firsts = Vec::new();
        for (posts, bars) in in_line(frame, axis) {
            let plane = in_plane(frame, &mut places, axis, &posts, &bars);
            let key = (which, posts[0]);
            firsts.push(posts[0]);
            let same =
                self.kept.get(&key).is_some_and(|l| l.posts == posts && l.frame == plane.frame);
            if !same {
                let relieves = relieves(&plane, &posts);
                let feet = plane.feet.iter().map(|(_, post)| *post).collect();
                self.kept.insert(key, Line { posts, frame: plane.frame, feet, relieves });
            }
        }
        asked.firsts.insert(which, firsts.clone());
        firsts
    }
}

/// How far a push may grow until the first foot that it relieves has lost its weight.
fn least(weight: &[f64], relieves: &[(u32, f64)]) -> f64 {
    let until = relieves.iter().map(|&(foot, by)| weight[foot as usize] / by);
    until.fold(f64::INFINITY, f64::min)
}

/// Posts joined by bars along an axis, with those bars, line by line.
#[must_use]
pub fn in_line(frame: &StageFrame, axis: [f64; 2]) -> Vec<(Vec<MemberId>, Vec<usize>)> {
    // Posts by their position, which is also their order.
    let posts: Vec<MemberId> = frame.posts.keys().copied().collect();
    let mut owner: Vec<usize> = vec![usize::MAX; frame.frame.nodes.len()];
    for (k, chain) in frame.posts.values().enumerate() {
        for &(_, node) in chain {
            if owner[node] == usize::MAX {
                owner[node] = k;
            }
        }
    }
    let mut root: Vec<usize> = (0..posts.len()).collect();
    let mut joined = vec![false; posts.len()];
    let mut bars: Vec<(usize, usize)> = Vec::new();
    for (k, member) in frame.frame.members.iter().enumerate() {
        if member.kind != MemberKind::Bar {
            continue;
        }
        let run = frame.frame.nodes[member.j] - frame.frame.nodes[member.i];
        let along = run.x * axis[0] + run.y * axis[1];
        let across = run.y * axis[0] - run.x * axis[1];
        if across.abs() > IN_PLANE || along.abs() <= IN_PLANE {
            continue;
        }
        let (a, b) = (owner[member.i], owner[member.j]);
        let (Some(post), other) =
            (if a == usize::MAX { ((b != usize::MAX).then_some(b), a) } else { (Some(a), b) })
        else {
            continue;
        };
        joined[post] = true;
        if other != usize::MAX {
            joined[other] = true;
            let (a, b) = (find(&mut root, post), find(&mut root, other));
            root[a.max(b)] = a.min(b);
        }
        bars.push((k, post));
    }
    let mut lines: BTreeMap<usize, (Vec<MemberId>, Vec<usize>)> = BTreeMap::new();
    for post in (0..posts.len()).filter(|p| joined[*p]) {
        lines.entry(find(&mut root, post)).or_default().0.push(posts[post]);
    }
    for (bar, post) in bars {
        lines.entry(find(&mut root, post)).or_default().1.push(bar);
    }
    lines.into_values().collect()
}

fn find(root: &mut [usize], of: usize) -> usize {
    let mut at = of;
    while root[at] != at {
        root[at] = root[root[at]];
        at = root[at];
    }
    at
}

/// By node of the whole frame: what holds it, and its number in the line at hand.
struct Places {
    fixed: Vec<Option<[bool; 6]>>,
    foot: Vec<Option<MemberId>>,
    number: Vec<usize>,
}

impl Places {
    fn new(frame: &StageFrame) -> Self {
        let count = frame.frame.nodes.len();
        let (mut fixed, mut foot) = (vec![None; count], vec![None; count]);
        for support in &frame.frame.supports {
            let held = fixed[support.node].get_or_insert([false; 6]);
            held.iter_mut().zip(support.fixed).for_each(|(h, f)| *h |= f);
        }
        for &(node, post) in &frame.feet {
            foot[node] = Some(post);
        }
        Self { fixed, foot, number: vec![usize::MAX; count] }
    }
}

/// A line as a frame in the plane x-z.
struct Plane {
    frame: Frame,
    /// Head of each post, in the order of the posts.
    heads: Vec<usize>,
    /// Feet on ground.
    feet: Vec<(usize, MemberId)>,
}

fn in_plane(
    frame: &StageFrame,
    places: &mut Places,
    axis: [f64; 2],
    posts: &[MemberId],
    bars: &[usize],
) -> Plane {
    let whole = &frame.frame;
    let mut plane = Plane { frame: Frame::default(), heads: Vec::new(), feet: Vec::new() };
    // Nodes of the whole frame in the order taken.
    let mut taken: Vec<usize> = Vec::new();
    // Its own sections alone, so that what other lines are made of makes no difference.
    let mut sections: Vec<usize> = Vec::new();
    let mut of_posts: Vec<usize> = Vec::new();
    let mut take = |plane: &mut Plane, node: usize| {
        let number = &mut places.number[node];
        if *number == usize::MAX {
            let p = whole.nodes[node];
            plane.frame.nodes.push(Point::new(p.x * axis[0] + p.y * axis[1], 0.0, p.z));
            *number = taken.len();
            taken.push(node);
        }
        *number
    };
    for post in posts {
        let Some(chain) = frame.posts.get(post) else { continue };
        let mut head = None;
        for &(_, node) in chain {
            head = Some(take(&mut plane, node));
        }
        plane.heads.extend(head);
        if let Some(members) = frame.of_post.get(post) {
            of_posts.extend(members.clone());
        }
    }
    for &k in of_posts.iter().chain(bars) {
        let member = &whole.members[k];
        let (i, j) = (take(&mut plane, member.i), take(&mut plane, member.j));
        let known = sections.iter().position(|s| *s == member.section);
        let section = known.unwrap_or_else(|| {
            sections.push(member.section);
            sections.len() - 1
        });
        plane.frame.members.push(FrameMember { i, j, section, z: Vector::y(), ..*member });
    }
    plane.frame.sections.extend(sections.iter().map(|&s| whole.sections[s]));
    for (number, &node) in taken.iter().enumerate() {
        // Nothing leaves the plane.
        let mut fixed = [false, true, false, true, false, true];
        if let Some(f) = places.fixed[node] {
            fixed = [f[0] && f[1], true, f[2], true, f[3] && f[4], true];
        }
        plane.frame.supports.push(Support { node: number, fixed });
        if let Some(post) = places.foot[node] {
            plane.feet.push((number, post));
        }
        places.number[node] = usize::MAX;
    }
    plane
}

/// Feet that a unit push at each head relieves, along the axis and against it; `None` where the line is
/// a mechanism or its balance is in doubt.
fn relieves(plane: &Plane, posts: &[MemberId]) -> Option<Vec<Relieved>> {
    if plane.heads.len() != posts.len() {
        return None;
    }
    let model = Model::new(&plane.frame, ElementForm::Exact, &[]).ok()?;
    let factored = model.factor().ok()?;
    let push = |&head: &usize| vec![(head, [1.0, 0.0, 0.0, 0.0, 0.0, 0.0])];
    let pushes: Vec<_> = plane.heads.iter().map(push).collect();
    let feet: Vec<usize> = plane.feet.iter().map(|(node, _)| *node).collect();
    let held = factored.hold(&pushes, &feet).ok()?;
    held.iter()
        .map(|held| {
            if held.residual > OUT_OF_BALANCE {
                return None;
            }
            let mut relieved = [Vec::new(), Vec::new()];
            for (foot, by) in (0..).zip(&held.by_ground) {
                let up = by[2];
                for (feet, sense) in relieved.iter_mut().zip([1.0, -1.0]) {
                    if up * sense < -HARDLY {
                        feet.push((foot, -(up * sense)));
                    }
                }
            }
            Some(relieved)
        })
        .collect()
}
