//! A post left under a slab that nothing but friction holds upright.

use super::support::{self, standing_posts};
use super::{Source, StageContext};
use crate::assembly::{JointKind, MemberId};
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, Severity};
use crate::scene::model::Slab;
use crate::sequence::JointState;
use crate::sequence::strip::slab_over_member;

/// A post nearer to the slab's edge than this can fall over it: 6 ft, metres.
const NEAR_EDGE: f64 = 1.83;

crate::declare_hazard! {
    /// ## What it checks
    /// Posts that touch a slab that carries itself, that have lost every ledger and joist at their
    /// head (or were set without any), and that nobody has secured to the slab.
    ///
    /// ## Why it is dangerous
    /// What pinches such a post is what the slab happens to leave on it, which may be nothing: a
    /// passing bundle, a door thrown open or the next floor's pour is enough for it to fall out. Near
    /// the edge it falls on the street.
    ///
    /// ## Example
    /// `tests/checks/held_by_friction/fires.ron`: a bay stripped before its posts are secured.
    ///
    /// ## Limits
    /// Friction counts for nothing here. Near the edge means within 6 ft of the slab's outline in the
    /// scene; openings inside the outline are not known.
    ///
    /// ## Source
    /// EM 385-1-1 27.C.09: each post near the slab perimeter secured during assembly and dismantling or
    /// reshoring, so that it cannot fall out. The 6 ft are the fall height of 29 CFR 1926.501(b)(1).
    pub static HELD_BY_FRICTION = {
        code: "SW804",
        name: "held-by-friction",
        summary: "a post left under a slab has no ledgers and is not secured",
        severity: Severity::Stop,
        follows: ["SW101"],
        sources: [
            Source { title: "EM 385-1-1", locator: "27.C.09", seen: Seen::Print },
            Source { title: "29 CFR 1926 Subpart M", locator: "1926.501(b)(1)", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let strip = &ctx.stage.strip;
    for edge in [true, false] {
        let posts: Vec<MemberId> = standing_posts(assembly, ctx.stage)
            .map(|p| p.id)
            .filter(|&p| strip.touches(p) && !strip.secured.contains(&p) && is_bare(ctx, p))
            .filter(|&p| {
                slab_over_member(assembly, p)
                    .and_then(|slab| assembly.scene.slabs.get(slab))
                    .is_some_and(|slab| (to_edge(slab, head(ctx, p)) <= NEAR_EDGE) == edge)
            })
            .collect();
        if posts.is_empty() {
            continue;
        }
        let who = support::posts(assembly, &posts);
        let (one, many) = if posts.len() == 1 { ("Post", "is") } else { ("Posts", "are") };
        let place = if edge { " near the slab's edge" } else { "" };
        let mut seen = Observation::new(
            if edge { Severity::Stop } else { Severity::FixFirst },
            format!("{one} {who}{place} {many} held by friction alone and not secured"),
            posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.group = Group::Joins(format!("friction:{edge}"));
        seen.evidence.notes.push(
            "No ledger or joist is left at the head, and how much of the slab still lies on the post is not known: it may be nothing."
                .to_owned(),
        );
        seen.cures.push("secure each post to the slab before its last ledger goes".to_owned());
        seen.cures.push("keep everybody clear until it is done".to_owned());
        out.push(seen);
    }
}

/// No ledger or joist at its head that passes a push.
fn is_bare(ctx: &StageContext<'_>, post: MemberId) -> bool {
    ctx.assembly.joints_of(post).iter().map(|&j| ctx.assembly.joint(j)).all(|j| {
        !(j.kind == JointKind::Head
            && j.carrier == Some(post)
            && ctx.stage.stands(j.member)
            && matches!(ctx.stage.joint(j.id), JointState::Hung | JointState::Locked))
    })
}

fn head(ctx: &StageContext<'_>, post: MemberId) -> [f64; 2] {
    let head = ctx.assembly.member(post).ends[1];
    [head.x, head.y]
}

/// Plan distance from a point to the slab's outline.
fn to_edge(slab: &Slab, p: [f64; 2]) -> f64 {
    let corners = &slab.outline;
    (0..corners.len())
        .map(|i| {
            let (a, b) = (&corners[i], &corners[(i + 1) % corners.len()]);
            let (ax, ay) = (a.0.si(), a.1.si());
            let (dx, dy) = (b.0.si() - ax, b.1.si() - ay);
            let length = dx * dx + dy * dy;
            let t = if length > 0.0 {
                (((p[0] - ax) * dx + (p[1] - ay) * dy) / length).clamp(0.0, 1.0)
            } else {
                0.0
            };
            (p[0] - ax - t * dx).hypot(p[1] - ay - t * dy)
        })
        .fold(f64::INFINITY, f64::min)
}
