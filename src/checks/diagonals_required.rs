//! Posts above the height at which a rule asks for diagonals, held without one.

use super::support::{self, measure, standing_posts, units};
use super::{Source, StageContext};
use crate::assembly::{MemberId, Role};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, RemedyKind, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// For posts taller than the height at which a rule of the pack asks for diagonal bracing,
    /// whether what holds them, in each direction, has a diagonal in elevation in it.
    ///
    /// ## Why it is dangerous
    /// Struts from post to post keep the posts parallel while all of them lean. Above a certain
    /// height some rules will not take a tie or a deck in place of a diagonal.
    ///
    /// ## Example
    /// `tests/checks/diagonals_required/fires.ron`: posts of a little more than 10 ft, tied to a
    /// wall and not braced.
    ///
    /// ## Limits
    /// Posts that are not held at all are `post-not-held`. The height is from foot to head seat.
    /// The local code rules.
    ///
    /// ## Source
    /// New York City Building Code 3305.3: diagonal bracing above 10 ft; bracing a whole tier by
    /// struts alone is prohibited.
    pub static DIAGONALS_REQUIRED = {
        code: "SW601",
        name: "diagonals-required",
        summary: "posts above the height at which a rule asks for diagonals have none",
        severity: Severity::Watch,
        follows: ["SW101"],
        sources: [Source { title: "New York City Building Code", locator: "3305.3", seen: Seen::Print }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for rule in &ctx.pack.diagonals_above {
        let limit = rule.value.si();
        let posts: Vec<MemberId> = standing_posts(assembly, ctx.stage)
            .filter(|p| p.length() > limit + 1e-6)
            .map(|p| p.id)
            .filter(|&post| {
                ctx.restraint.holds_of(post).any(|h| {
                    !h.path.is_empty()
                        && !h.path.iter().any(|&m| assembly.member(m).role == Role::Brace)
                })
            })
            .collect();
        let Some(tallest) =
            posts.iter().map(|&p| assembly.member(p).length()).max_by(f64::total_cmp)
        else {
            continue;
        };
        let mut seen = Observation::new(
            Severity::Watch,
            format!(
                "{} taller than {} held without a diagonal; a rule asks for one",
                support::posts(assembly, &posts),
                units(ctx).length(limit)
            ),
            posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.group = Group::Widens(rule.source.clone());
        seen.evidence.measures.push(measure(
            "height from foot to head",
            tallest,
            Some(limit),
            false,
            Dimension::Length,
        ));
        seen.cure("add diagonals in both directions", &[RemedyKind::Brace]);
        seen.sources.push(support::rule(ctx, rule));
        out.push(seen);
    }
}
