//! The words of how a balance was asked for: one factor on the whole, or partial factors.

use super::super::StageContext;
use super::rule;
use crate::equilibrium::Way;
use crate::findings::SourceNote;

/// The partial factors that are in a factor, for the evidence; none where one factor on the whole is
/// asked for.
#[must_use]
pub fn partial_words(way: &Way) -> Option<String> {
    way.partial.map(|p| {
        format!(
            "With partial factors: {} on weight that holds, {} on weight that turns ({} on what a \
             step set down); what acts may then grow to {:.2} times, {} is due.",
            p.holding, p.turning, p.variable, way.factor, p.variable
        )
    })
}

/// The rules of the pack that ask for balance against tipping.
#[must_use]
pub fn tipping_rules(ctx: &StageContext<'_>) -> Vec<SourceNote> {
    partial_rules(ctx).unwrap_or_else(|| vec![rule(ctx, &ctx.pack.overturning)])
}

/// The same against sliding.
#[must_use]
pub fn sliding_rules(ctx: &StageContext<'_>) -> Vec<SourceNote> {
    partial_rules(ctx).unwrap_or_else(|| vec![rule(ctx, &ctx.pack.sliding)])
}

/// How the least force along the floor's edge is read, where it acts at this stage.
#[must_use]
pub fn edge_words(ctx: &StageContext<'_>) -> Option<String> {
    let each = ctx.pack.lateral_edge.value?;
    let acts = ctx.loads.edge_lateral.iter().any(|f| f[0] > 0.0 || f[1] > 0.0);
    acts.then(|| {
        format!(
            "Concrete is on: the least force of {} of slab edge acts too, read to the letter of {}: \
             along all of the edge that the fresh concrete has so far, from the first strip on, \
             however little lies on the deck yet. It may govern a nearly empty deck; your engineer \
             may read it for the whole floor only.",
            ctx.assembly.scene.units.line_load(each.si()),
            ctx.pack.lateral_edge.source
        )
    })
}

fn partial_rules(ctx: &StageContext<'_>) -> Option<Vec<SourceNote>> {
    ctx.pack.partial()?;
    let pack = ctx.pack;
    Some(vec![
        rule(ctx, &pack.balance_holding),
        rule(ctx, &pack.balance_turning),
        rule(ctx, &pack.balance_variable),
    ])
}
