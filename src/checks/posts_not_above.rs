//! A post that stands on a slab between the posts of the level below.

use super::support::{self, measure, standing_posts};
use super::{Source, StageContext};
use crate::assembly::{JointKind, MemberId, Role};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};
use crate::scene::model::FloorKind;

/// A post this far off the one below, in plan, does not stand above it, metres.
const OFF: f64 = 0.15;
/// Heads within this depth below a floor's level prop it: a slab and what lies under it, metres.
const PROPS: f64 = 1.0;

crate::declare_hazard! {
    /// ## What it checks
    /// Posts standing on a slab that is itself propped by posts: whether one of those is right beneath,
    /// within 6 in (150 mm).
    ///
    /// ## Why it is dangerous
    /// Between the posts below, the slab must carry a post's load in bending and punching, often the
    /// wrong way round for its steel: it was laid out for an even load, and is days old.
    ///
    /// ## Example
    /// `tests/checks/posts_not_above/fires.ron`: a post set a foot off the one below.
    ///
    /// ## Limits
    /// Silent where nothing props the slab below: then there is no post to stand above. Whether the
    /// slab carries the post all the same is the engineer's.
    ///
    /// ## Source
    /// ACI 347 ch. 2 and ACI 347.2R: shores and reshores aligned from floor to floor (from memory). The
    /// 150 mm are a choice of this project.
    pub static POSTS_NOT_ABOVE = {
        code: "SW811",
        name: "posts-not-above",
        summary: "a post stands on a propped slab and no post is right beneath it",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "ACI 347", locator: "shores and reshores aligned floor to floor", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for floor in assembly.scene.floors.iter().filter(|f| f.kind == FloorKind::Slab) {
        let level = floor.level.si();
        let below: Vec<[f64; 2]> = standing_posts(assembly, ctx.stage)
            .map(|p| p.ends[1])
            .filter(|head| (0.0..=PROPS).contains(&(level - head.z)))
            .map(|head| [head.x, head.y])
            .collect();
        if below.is_empty() {
            continue;
        }
        let mut off: Vec<(MemberId, f64)> = Vec::new();
        for post in standing_posts(assembly, ctx.stage) {
            let foot = post.ends[0];
            // Sills lie between the foot and the slab.
            if (foot.z - level).abs() > 0.3 || !stands_on_floor(ctx, post.id) {
                continue;
            }
            let nearest = below
                .iter()
                .map(|p| (p[0] - foot.x).hypot(p[1] - foot.y))
                .fold(f64::INFINITY, f64::min);
            if nearest > OFF {
                off.push((post.id, nearest));
            }
        }
        let Some(worst) = off.iter().max_by(|a, b| a.1.total_cmp(&b.1)) else { continue };
        let posts: Vec<MemberId> = off.iter().map(|o| o.0).collect();
        let (one, stand, it) =
            if posts.len() == 1 { ("Post", "stands", "it") } else { ("Posts", "stand", "them") };
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "{one} {} {stand} on {} with no post of the level below under {it}",
                support::posts(assembly, &posts),
                floor.name
            ),
            posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.group = Group::Widens(format!("above:{}", floor.name));
        seen.evidence.measures.push(measure(
            format!("{} to the nearest post below, in plan", support::short(assembly, worst.0)),
            worst.1,
            Some(OFF),
            false,
            Dimension::Length,
        ));
        seen.cures
            .push("set it right above a post of the level below, or set one beneath it".to_owned());
        seen.cures
            .push("have the engineer show that the slab carries it where it stands".to_owned());
        out.push(seen);
    }
}

/// Its foot, or the sill under it, is on a floor.
fn stands_on_floor(ctx: &StageContext<'_>, post: MemberId) -> bool {
    let assembly = ctx.assembly;
    assembly.joints_of(post).iter().map(|&j| assembly.joint(j)).any(|j| {
        j.member == post
            && match (j.kind, j.carrier) {
                (JointKind::Ground, _) => true,
                (JointKind::Foot, Some(sill)) => assembly.member(sill).role == Role::Sill,
                _ => false,
            }
    })
}
