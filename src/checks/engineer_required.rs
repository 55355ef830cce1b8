//! Shoring above the height at which a rule asks for an engineer.

use super::support::{self, measure, standing_posts, units};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::assembly::model::Member;
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// The height of the shoring, from a post's foot to the soffit of the slab above it, or to its
    /// head seat where the scene has no slab there, against the heights above which a rule of the
    /// pack asks for an engineer.
    ///
    /// ## Why it is dangerous
    /// It is not dangerous in itself. Above this height the rule wants the drawing, and the check
    /// of what was built, by somebody licensed for it.
    ///
    /// ## Example
    /// `tests/checks/engineer_required/fires.ron`: posts of a little more than 14 ft.
    ///
    /// ## Limits
    /// A reminder: a *note*. Spans and traffic below, for which rules ask the same, are not looked
    /// at. The local code rules.
    ///
    /// ## Source
    /// California Code of Regulations, title 8, section 1717(b): falsework higher than 14 ft.
    pub static ENGINEER_REQUIRED = {
        code: "SW602",
        name: "engineer-required",
        summary: "the shoring is higher than a rule allows without an engineer",
        severity: Severity::Note,
        follows: [],
        sources: [Source { title: "California Code of Regulations", locator: "title 8, section 1717(b)", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for rule in &ctx.pack.engineer_above {
        let limit = rule.value.si();
        let above: Vec<(MemberId, f64)> = standing_posts(assembly, ctx.stage)
            .map(|p| (p.id, height(ctx, p)))
            .filter(|(_, height)| *height > limit + 1e-6)
            .collect();
        let Some(tallest) = above.iter().map(|(_, h)| *h).max_by(f64::total_cmp) else { continue };
        let posts: Vec<MemberId> = above.iter().map(|(p, _)| *p).collect();
        let mut seen = Observation::new(
            Severity::Note,
            format!(
                "Shoring {} high: above {} a rule asks for an engineer",
                units(ctx).length(tallest),
                units(ctx).length(limit)
            ),
            posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.group = Group::Widens(rule.source.clone());
        seen.evidence.measures.push(measure(
            "height of the shoring",
            tallest,
            Some(limit),
            false,
            Dimension::Length,
        ));
        seen.cures.push("have a licensed engineer draw it and check it as built".to_owned());
        seen.sources.push(support::rule(ctx, rule));
        out.push(seen);
    }
}

/// From the foot to the highest soffit above it within the slab's outline, else to the head seat.
fn height(ctx: &StageContext<'_>, post: &Member) -> f64 {
    let foot = post.ends[0];
    ctx.assembly
        .scene
        .slabs
        .iter()
        .filter(|slab| {
            let outline: Vec<[f64; 2]> =
                slab.outline.iter().map(|(x, y)| [x.si(), y.si()]).collect();
            inside(&outline, [post.ends[1].x, post.ends[1].y])
        })
        .map(|slab| slab.soffit.si() - foot.z)
        .filter(|h| *h >= post.length() - 1e-6 && *h < post.length() + 1.5)
        .fold(post.length(), f64::max)
}

/// Whether a plan point lies within a polygon (even-odd rule).
fn inside(outline: &[[f64; 2]], at: [f64; 2]) -> bool {
    let mut odd = false;
    for (i, a) in outline.iter().enumerate() {
        let b = outline[(i + 1) % outline.len()];
        if (a[1] > at[1]) != (b[1] > at[1])
            && at[0] < a[0] + (b[0] - a[0]) * (at[1] - a[1]) / (b[1] - a[1])
        {
            odd = !odd;
        }
    }
    odd
}
