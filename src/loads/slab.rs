//! What a slab that carries itself may still have on the posts left tight under it.
//!
//! A slab that has been let go rests on columns, walls and whatever posts are tight, in shares that
//! depend on how each gives. Nobody knows them, so both ends count: nothing, wherever weight would
//! steady a post, and the weight of all slab that is nearer to the post than to any other tight post,
//! column or wall, wherever it would overload one. A post that was backed off and snugged up starts
//! again with next to nothing and takes no share of it: what is cast above later it shares in, as the
//! levels say.
//!
//! Known to work: the shares of all posts add up to the slab where nothing else is under it, and come
//! to a bay of slab at an inside post (`tests/loads/slab.rs`).

use super::area::{Plan, anticlockwise, clip, half_plane, rectangle, size_and_centre};
use crate::assembly::{Assembly, MemberId};
use crate::criteria::Pack;
use crate::scene::model::{PermanentKind, Slab};
use crate::sequence::strip::slab_over_member;
use crate::sequence::{SlabNow, Stage};

/// Distance between the points that stand for a wall, metres.
const WALL_POINTS: f64 = 0.5;

/// Greatest weight of slab on each undisturbed post, newtons, by post.
#[must_use]
pub fn on_posts(assembly: &Assembly, pack: &Pack, stage: &Stage) -> Vec<(MemberId, f64)> {
    let mut out = Vec::new();
    let density = pack.concrete.value.si();
    for (index, slab) in assembly.scene.slabs.iter().enumerate() {
        if !matches!(stage.strip.slab(index), SlabNow::Carries(_)) {
            continue;
        }
        let posts: Vec<(MemberId, Plan)> = stage
            .strip
            .undisturbed
            .iter()
            .filter(|&&p| slab_over_member(assembly, p) == Some(index))
            .map(|&p| (p, [assembly.member(p).ends[1].x, assembly.member(p).ends[1].y]))
            .collect();
        let fixed = permanent_points(assembly, slab);
        let outline: Vec<Plan> =
            anticlockwise(slab.outline.iter().map(|p| [p.0.si(), p.1.si()]).collect());
        for &(post, at) in &posts {
            let mut cell = outline.clone();
            let others = posts.iter().filter(|(q, _)| *q != post).map(|(_, q)| *q);
            for other in others.chain(fixed.iter().copied()) {
                cell = nearer(&cell, at, other);
            }
            let mut weight = size_and_centre(&cell).0.abs() * slab.thickness.si() * density;
            for beam in &slab.drop_beams {
                let (a, b) =
                    ([beam.from.0.si(), beam.from.1.si()], [beam.to.0.si(), beam.to.1.si()]);
                let run = (b[0] - a[0]).hypot(b[1] - a[1]);
                if run <= 0.0 {
                    continue;
                }
                let axis = [(b[0] - a[0]) / run, (b[1] - a[1]) / run];
                let half = 0.5 * beam.width.si();
                let side = [-axis[1] * half, axis[0] * half];
                let strip = rectangle(
                    [a[0] - side[0], a[1] - side[1]],
                    [b[0] + side[0], b[1] + side[1]],
                    axis,
                );
                weight += size_and_centre(&clip(&cell, &strip)).0.abs() * beam.drop.si() * density;
            }
            out.push((post, weight));
        }
    }
    out.sort_by_key(|(post, _)| *post);
    out
}

/// What slabs may press on each post that touches one, newtons, by post: the greater of the slab's own
/// weight nearest to it ([`on_posts`]) and, where the scene goes through its levels, of the force that
/// the levels find in one post under that slab, by either method, with what was cast above.
///
/// It is an upper bound for what a post must carry, and never counted on to hold anything down. Posts
/// under a slab that is still fresh have its concrete from the deck; once evidence shows that it
/// carries itself the concrete is off the deck, and until its levels say otherwise the posts left in
/// keep what they had.
///
/// Known to work: under one level of shores and two of reshores on the ground every post has all that
/// was cast over its area, by equal sharing (`tests/levels/posts.rs`).
#[must_use]
pub fn pressing(assembly: &Assembly, pack: &Pack, stage: &Stage) -> Vec<(MemberId, f64)> {
    let mut out = on_posts(assembly, pack, stage);
    let Some(levels) = &assembly.scene.levels else { return out };
    let steps = &stage.level_steps;
    if steps.is_empty() || !touching(stage).any(|_| true) {
        return out;
    }
    let Ok(states) = crate::levels::job::run(levels, pack, &assembly.library) else { return out };
    for post in touching(stage) {
        let Some(slab) = slab_over_member(assembly, post) else { continue };
        let hard = matches!(stage.strip.slab(slab), SlabNow::Carries(_));
        let name = &assembly.scene.slabs[slab].name;
        let force = states
            .iter()
            .filter(|s| hard && steps.contains(&s.step))
            .flat_map(|s| &s.props)
            .filter(|p| p.slab == *name)
            .map(|p| p.equal.max(p.finite))
            .fold(0.0, f64::max);
        match out.binary_search_by_key(&post, |(p, _)| *p) {
            Ok(at) => out[at].1 = out[at].1.max(force),
            Err(at) if force > 0.0 => out.insert(at, (post, force)),
            Err(_) => {}
        }
    }
    out
}

/// Posts that touch a slab.
fn touching(stage: &Stage) -> impl Iterator<Item = MemberId> + '_ {
    let strip = &stage.strip;
    strip.undisturbed.union(&strip.snugged).copied().filter(|&p| stage.state(p).is_there())
}

/// The part of a polygon nearer to one point than to another.
fn nearer(polygon: &[Plan], to: Plan, than: Plan) -> Vec<Plan> {
    let normal = [than[0] - to[0], than[1] - to[1]];
    if normal[0].hypot(normal[1]) < 1e-6 {
        return polygon.to_vec();
    }
    let middle = [0.5 * (than[0] + to[0]), 0.5 * (than[1] + to[1])];
    half_plane(polygon, normal, normal[0] * middle[0] + normal[1] * middle[1])
}

/// Columns and walls of the permanent works that reach a slab from below, as plan points.
#[must_use]
pub fn permanent_points(assembly: &Assembly, slab: &Slab) -> Vec<Plan> {
    let soffit = slab.soffit.si();
    let mut points = Vec::new();
    for permanent in &assembly.scene.permanent {
        let (low, high) = (
            permanent.from.si().min(permanent.to.si()),
            permanent.from.si().max(permanent.to.si()),
        );
        if low > soffit - 0.1 || high < soffit - 0.1 {
            continue;
        }
        match &permanent.kind {
            PermanentKind::Column { at, .. } => points.push([at.0.si(), at.1.si()]),
            PermanentKind::Wall { from, to, .. } => {
                let (a, b) = ([from.0.si(), from.1.si()], [to.0.si(), to.1.si()]);
                let run = (b[0] - a[0]).hypot(b[1] - a[1]);
                let count = (run / WALL_POINTS).ceil().max(1.0) as usize;
                for k in 0..=count {
                    let t = k as f64 / count as f64;
                    points.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
                }
            }
        }
    }
    let (x, y): (Vec<f64>, Vec<f64>) = slab.outline.iter().map(|p| (p.0.si(), p.1.si())).unzip();
    let range = |v: &[f64]| {
        (
            v.iter().copied().fold(f64::INFINITY, f64::min) - 0.5,
            v.iter().copied().fold(f64::NEG_INFINITY, f64::max) + 0.5,
        )
    };
    let (x, y) = (range(&x), range(&y));
    points.retain(|p| (x.0..=x.1).contains(&p[0]) && (y.0..=y.1).contains(&p[1]));
    points
}
