//! Shoring above the height at which a rule asks for an engineer.

use super::support::{self, measure, standing_posts, units};
use super::{Source, StageContext};
use crate::assembly::model::Member;
use crate::assembly::{MemberId, Role};
use crate::criteria::model::{Rule, Seen};
use crate::findings::{Dimension, Group, Observation, Severity};
use crate::units::{Length, Pressure};

crate::declare_hazard! {
    /// ## What it checks
    /// The height of the shoring, from a post's foot to the soffit of the slab above it, or to its
    /// head seat where the scene has no slab there, against the heights above which a rule of the
    /// pack asks for an engineer; the longest span of a standing beam, and the weight of the thickest
    /// slab with the live load, where a rule names them.
    ///
    /// ## Why it is dangerous
    /// It is not dangerous in itself. Above this height the rule wants the drawing, and the check
    /// of what was built, by somebody licensed for it.
    ///
    /// ## Example
    /// `tests/checks/engineer_required/fires.ron`: posts of a little more than 14 ft.
    ///
    /// ## Limits
    /// A reminder: a *note*. Traffic below, for which rules ask the same, is not looked at. A beam's
    /// length is taken as its span. The local code rules.
    ///
    /// ## Source
    /// California Code of Regulations, title 8, section 1717(b): falsework higher than 14 ft, spans
    /// above 16 ft. New York State, 12 NYCRR 23-2.2(c): dead and live load above 150 psf.
    pub static ENGINEER_REQUIRED = {
        code: "SW602",
        name: "engineer-required",
        summary: "the shoring is higher, wider or heavier than a rule allows without an engineer",
        severity: Severity::Note,
        follows: [],
        sources: [Source { title: "California Code of Regulations", locator: "title 8, section 1717(b)", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    heights(ctx, out);
    spans(ctx, out);
    loads(ctx, out);
}

/// One note of the kind, with its measure and rule.
fn note<T>(
    ctx: &StageContext<'_>,
    headline: String,
    members: Vec<String>,
    (what, measured, limit, dimension): (&str, f64, f64, Dimension),
    rule: &Rule<T>,
) -> Observation {
    let mut seen = Observation::new(Severity::Note, headline, members);
    seen.group = Group::Widens(rule.source.clone());
    seen.evidence.measures.push(measure(what, measured, Some(limit), false, dimension));
    seen.cures.push("have a licensed engineer draw it and check it as built".to_owned());
    seen.sources.push(support::rule(ctx, rule));
    seen
}

fn spans(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let rule = &ctx.pack.engineer_span_above;
    let Some(limit) = rule.value.map(Length::si) else { return };
    let beams = ctx.assembly.members.iter().filter(|m| {
        matches!(m.role, Role::Ledger | Role::Joist | Role::Filler | Role::DropBeam)
            && ctx.stage.stands(m.id)
            && m.length() > limit + 1e-6
    });
    let (names, longest) = beams.fold((Vec::new(), 0.0_f64), |(mut names, longest), m| {
        names.push(m.name.clone());
        (names, longest.max(m.length()))
    });
    if names.is_empty() {
        return;
    }
    let say = |metres| units(ctx).length(metres);
    let headline =
        format!("Spans of {}: above {} a rule asks for an engineer", say(longest), say(limit));
    out.push(note(ctx, headline, names, ("span", longest, limit, Dimension::Length), rule));
}

fn loads(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let rule = &ctx.pack.engineer_load_above;
    let Some(limit) = rule.value.map(Pressure::si) else { return };
    let thickest =
        ctx.assembly.scene.slabs.iter().map(|slab| slab.thickness.si()).fold(0.0, f64::max);
    let load = thickest * ctx.pack.concrete.value.si() + ctx.pack.live_load.value.si();
    let posts: Vec<String> =
        standing_posts(ctx.assembly, ctx.stage).map(|p| p.name.clone()).collect();
    if thickest <= 0.0 || load <= limit * (1.0 + 1e-9) || posts.is_empty() {
        return;
    }
    let say = |pascals| units(ctx).pressure(pascals);
    let headline = format!(
        "Slab and live load {}: above {} a rule asks for an engineer",
        say(load),
        say(limit)
    );
    let measured = ("slab and live load", load, limit, Dimension::Pressure);
    out.push(note(ctx, headline, posts, measured, rule));
}

fn heights(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for rule in &ctx.pack.engineer_above {
        let limit = rule.value.si();
        let above: Vec<(MemberId, f64)> = standing_posts(assembly, ctx.stage)
            .map(|p| (p.id, height(ctx, p)))
            .filter(|(_, height)| *height > limit + 1e-6)
            .collect();
        let Some(tallest) = above.iter().map(|(_, h)| *h).max_by(f64::total_cmp) else { continue };
        let posts: Vec<MemberId> = above.iter().map(|(p, _)| *p).collect();
        let say = |metres| units(ctx).length(metres);
        let headline = format!(
            "Shoring {} high: above {} a rule asks for an engineer",
            say(tallest),
            say(limit)
        );
        let names = posts.iter().map(|&p| assembly.name(p).to_owned()).collect();
        let measured = ("height of the shoring", tallest, limit, Dimension::Length);
        out.push(note(ctx, headline, names, measured, rule));
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
