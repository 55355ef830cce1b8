//! A line of bracing interrupted where the floor or soffit steps.

use super::support::{self, heads_met, parallel, passes, plan_direction, runs_head_to_head, units};
use super::{Source, StageContext};
use crate::assembly::model::{GridLine, Member};
use crate::assembly::{Assembly, MemberId, Role};
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, RemedyKind, Severity};
use crate::sequence::{JointState, Stage};

crate::declare_hazard! {
    /// ## What it checks
    /// Along each grid line, whether neighbouring posts whose heads lie at different levels are
    /// joined along the line; and if not, whether the posts on either side of the step have a
    /// diagonal or tie of their own.
    ///
    /// ## Why it is dangerous
    /// Ledgers of the high part do not meet the posts of the low part. Seen from afar the line is
    /// braced; at the step the push has nowhere to go, and the part without its own diagonal stands
    /// by itself.
    ///
    /// ## Example
    /// `tests/checks/brace_plane_broken/fires.ron`: a line that steps down, with its only diagonal
    /// in the high part.
    ///
    /// ## Limits
    /// Only posts of one block on one grid line. A part held some other way is a *watch*, since the
    /// line does not do what it seems to.
    ///
    /// ## Source
    /// WAC 296-155-687(2): bracing both ways and diagonally, for every post. That a step breaks the
    /// line is geometry.
    pub static BRACE_PLANE_BROKEN = {
        code: "SW506",
        name: "brace-plane-broken",
        summary: "a line of bracing is interrupted at a step in the floor or soffit",
        severity: Severity::FixFirst,
        follows: ["SW101"],
        sources: [Source { title: "Washington Administrative Code", locator: "WAC 296-155-687(2)", seen: Seen::Print }],
        check: check,
    }
}

/// Heads further apart in level than this are a step, metres.
const STEP: f64 = 0.05;

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    if assembly.scene.blocks.iter().all(|b| b.offsets.is_empty() && b.overrides.is_empty()) {
        return;
    }
    for line in &assembly.grid_lines {
        let posts = on_line(assembly, ctx.stage, line);
        let steps: Vec<usize> = (1..posts.len())
            .filter(|&i| (posts[i].ends[1].z - posts[i - 1].ends[1].z).abs() > STEP)
            .filter(|&i| !joined(ctx, posts[i - 1].id, posts[i].id, line))
            .collect();
        if steps.is_empty() {
            continue;
        }
        let mut bounds = vec![0];
        bounds.extend(&steps);
        bounds.push(posts.len());
        for part in bounds.windows(2) {
            let part_posts: Vec<MemberId> = posts[part[0]..part[1]].iter().map(|p| p.id).collect();
            if !braced(ctx, &part_posts, line) {
                let at = if part[0] > 0 { part[0] } else { part[1] };
                out.push(observation(ctx, line, &part_posts, (posts[at - 1], posts[at])));
            }
        }
    }
}

fn along(line: &GridLine) -> [f64; 2] {
    let d = line.ends[1] - line.ends[0];
    let length = d.x.hypot(d.y).max(f64::MIN_POSITIVE);
    [d.x / length, d.y / length]
}

/// Standing posts of the block on the line, in order along it.
fn on_line<'a>(assembly: &'a Assembly, stage: &'a Stage, line: &GridLine) -> Vec<&'a Member> {
    let d = along(line);
    let place = |m: &Member| {
        let v = m.ends[1] - line.ends[0];
        (v.x * d[0] + v.y * d[1], (v.x * d[1] - v.y * d[0]).abs())
    };
    let mut posts: Vec<&Member> = support::standing_posts(assembly, stage)
        .filter(|m| m.block.as_ref() == Some(&line.block) && place(m).1 < STEP)
        .collect();
    posts.sort_by(|a, b| place(a).0.total_cmp(&place(b).0).then_with(|| a.id.cmp(&b.id)));
    posts
}

/// Whether a member along the line meets both posts and passes a push between them.
fn joined(ctx: &StageContext<'_>, a: MemberId, b: MemberId, line: &GridLine) -> bool {
    let assembly = ctx.assembly;
    assembly.joints_of(a).iter().map(|&j| assembly.joint(j)).any(|j| {
        let member = assembly.member(j.member);
        let met = heads_met(assembly, j.member);
        runs_head_to_head(member.role)
            && ctx.stage.stands(member.id)
            && plan_direction(member).is_some_and(|d| parallel(d, along(line)))
            && [a, b].iter().all(|post| {
                met.iter().any(|&(p, j)| {
                    p == *post
                        && passes(assembly.joint(j), ctx.stage.joint(j)).is_some_and(|p| p.along)
                })
            })
    })
}

/// Whether a fixed diagonal or tie along the line holds one of the posts.
fn braced(ctx: &StageContext<'_>, posts: &[MemberId], line: &GridLine) -> bool {
    let assembly = ctx.assembly;
    posts.iter().flat_map(|&p| assembly.joints_of(p)).map(|&j| assembly.joint(j)).any(|j| {
        let member = assembly.member(j.member);
        let ours = match member.role {
            Role::Brace => {
                let ends: Vec<MemberId> = assembly
                    .joints_of(member.id)
                    .iter()
                    .filter_map(|&j| assembly.joint(j).carrier)
                    .collect();
                ends.len() >= 2 && ends.iter().all(|e| posts.contains(e))
            }
            Role::TieIn => true,
            _ => false,
        };
        ours && ctx.stage.stands(member.id)
            && !member.damaged
            && ctx.stage.joint(j.id) == JointState::Locked
            && plan_direction(member).is_some_and(|d| parallel(d, along(line)))
    })
}

fn observation(
    ctx: &StageContext<'_>,
    line: &GridLine,
    posts: &[MemberId],
    (before, after): (&Member, &Member),
) -> Observation {
    let assembly = ctx.assembly;
    let loose = ctx.loose.iter().find(|g| g.posts.iter().any(|p| posts.contains(p)));
    let severity = if loose.is_some() { Severity::FixFirst } else { Severity::Watch };
    let (a, b) = (support::short(assembly, before.id), support::short(assembly, after.id));
    let mut seen = Observation::new(
        severity,
        format!(
            "Line {}: bracing stops at the step {a}–{b}; no diagonal of its own for {}",
            line.name,
            support::posts(assembly, posts)
        ),
        posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
    );
    seen.cause = loose.map(|g| g.cause(assembly));
    let axis = if along(line)[0].abs() >= along(line)[1].abs() { "x" } else { "y" };
    seen.group = Group::Joins(format!("{}:{axis}", line.block));
    seen.evidence.notes.push(format!(
        "Heads differ by {} between {a} and {b}; no member passes a push across.",
        units(ctx).length((after.ends[1].z - before.ends[1].z).abs())
    ));
    seen.cure("give the part its own diagonal along the line", &[RemedyKind::Brace]);
    seen.cure("join the parts across the step with a strut and diagonal", &[RemedyKind::Brace]);
    seen
}
