//! Concrete placed in an order that tips or lifts what carries it.

use super::support::pour_order::{self, Fault, MOST_STRIPS, Search};
use super::support::{self, measure, placing};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, RemedyKind, Severity};
use crate::sequence::placing::slab_of;
use std::collections::BTreeSet;

crate::declare_hazard! {
    /// ## What it checks
    /// At each placing stage, whether fresh concrete makes a member tip about its last support, lift
    /// off one, or fall, that did none of it before the concrete: an overhang filled before the span
    /// behind it, one side of a line before the other. A member over three or more posts that lifts
    /// off one of them only as a continuous beam is a *watch*. Other orders of the same strips are then
    /// really judged, stage by stage, and the nearest one in which nothing tips is named.
    ///
    /// ## Why it is dangerous
    /// Everything is in its place and strong enough for the full slab, and it still goes over,
    /// because for half an hour the weight is on one side only.
    ///
    /// ## Example
    /// `tests/checks/unbalanced_pour/fires.ron`: the overhang placed first, the bay behind it second.
    ///
    /// ## Limits
    /// Strips go on whole; what happens while one fills is not seen. Up to ten strips are put into
    /// every order; of more, only the one with the overhangs last is tried.
    ///
    /// ## Source
    /// ACI 347-04 chapters 2 and 3, from memory: failure to regulate rate and sequence of placing
    /// so as to avoid unbalanced loading is named among the causes of failure. Moments about the
    /// last support; 600 lb/ft on a 3 ft overhang before an 8 ft back span of 10 lb/ft has a factor
    /// of 0.117 (recomputed).
    pub static UNBALANCED_POUR = {
        code: "SW701",
        name: "unbalanced-pour",
        summary: "concrete goes in in an order that tips or lifts what carries it",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "ACI 347-04, Guide to Formwork for Concrete", locator: "chapters 2 and 3, causes of failure", seen: Seen::Memory },
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let slabs: BTreeSet<&str> =
        placing::concrete(&ctx.stage.loads).filter_map(|l| slab_of(&l.text.on)).collect();
    let found = pour_order::among(ctx.assembly, ctx.equilibrium, ctx.loads);
    if found.is_empty() {
        return;
    }
    for slab in slabs {
        let mut search = Search::new(ctx.assembly, ctx.pack, ctx.sequence, ctx.stage, slab);
        let faults = search.now(found.clone());
        if faults.is_empty() || !search.whole_is_calm() {
            // Nothing, or no matter of the order: what tips under the whole slab is said as that.
            continue;
        }
        out.push(observation(ctx, slab, &mut search, &faults));
    }
}

fn observation(
    ctx: &StageContext<'_>,
    slab: &str,
    search: &mut Search<'_>,
    faults: &[Fault],
) -> Observation {
    let assembly = ctx.assembly;
    let last: Vec<String> = placing::placed_now(ctx)
        .filter(|l| slab_of(&l.text.on) == Some(slab))
        .map(|l| l.text.name.clone())
        .collect();
    let strip = last.last().cloned().unwrap_or_else(|| slab.to_owned());
    let words: Vec<String> = faults.iter().map(|f| support::beam(assembly, f.member)).collect();
    let falls = faults.iter().any(|f| f.lifts || f.factor < 1.0);
    let many =
        if words.len() > 1 { format!(" and {} more", words.len() - 1) } else { String::new() };
    let only_springs = faults.iter().all(|f| f.springs && !f.lifts && f.factor.is_infinite());
    let (severity, verb) = match (falls, only_springs) {
        (true, _) => (Severity::Stop, "tips"),
        (false, false) => (Severity::FixFirst, "nearly tips"),
        (false, true) => (Severity::Watch, "lifts an end of"),
    };
    let mut seen = Observation::new(
        severity,
        format!("Placing {strip} now {verb} {}{many}: unbalanced", words[0]),
        faults.iter().map(|f| assembly.name(f.member).to_owned()).collect(),
    );
    seen.group = Group::Widens(slab.to_owned());
    let posts: BTreeSet<_> = faults.iter().flat_map(|f| f.posts.iter().copied()).collect();
    seen.others = posts.into_iter().map(|p| assembly.name(p).to_owned()).collect();
    seen.sample_data = assembly.library.sample;
    let worst = faults.iter().min_by(|a, b| a.factor.total_cmp(&b.factor));
    if let Some(worst) = worst {
        let required = Some(ctx.pack.overturning.value);
        let who = support::beam(assembly, worst.member);
        for (what, factor) in [
            (format!("tipping factor of {who} with people on it"), worst.factor),
            (format!("tipping factor of {who} under the concrete alone"), worst.factor_empty),
        ] {
            if factor.is_finite() {
                seen.evidence.measures.push(measure(
                    what,
                    factor,
                    required,
                    true,
                    Dimension::Ratio,
                ));
            }
        }
    }
    let lifting: Vec<String> =
        faults.iter().filter(|f| f.lifts).map(|f| support::beam(assembly, f.member)).collect();
    if !lifting.is_empty() {
        seen.evidence
            .notes
            .push(format!("Lifts off a support or falls: {}.", support::list(&lifting)));
    }
    if faults.iter().any(|f| f.springs) {
        let springs: Vec<String> = faults
            .iter()
            .filter(|f| f.springs)
            .map(|f| support::beam(assembly, f.member))
            .collect();
        seen.evidence.notes.push(format!(
            "As one continuous beam it lifts off one of its posts, which then stands loose: {}.",
            support::list(&springs)
        ));
    }
    let written: Vec<String> = search.units.iter().map(|u| u.name.clone()).collect();
    seen.evidence.notes.push(format!("Order written: {}.", written.join(", ")));
    match search.order() {
        Some(order) => {
            seen.cures.push(format!("place {}", order.names.join(", then ")));
            seen.evidence.notes.push(match order.as_frame {
                Ok(()) => {
                    "In the order named below nothing tips or lifts at any stage, and each meets the required \
                     critical load factor and stands the lateral force."
                        .to_owned()
                }
                Err(why) => format!(
                    "In the order named below nothing tips or lifts at any stage; as a frame it is not shown \
                     to stand: {why}."
                ),
            });
        }
        None if search.units.len() <= MOST_STRIPS => {
            let no = "no order of these strips does: prop or tie down what lifts, or place both sides together";
            seen.cures.push(no.to_owned());
        }
        None => seen.cures.push("place what lies behind before what overhangs".to_owned()),
    }
    seen.cure(
        "prop it under its tip, or clip it to a post that is heavy enough",
        &[RemedyKind::Prop, RemedyKind::Clip],
    );
    seen.sources.push(support::rule(ctx, &ctx.pack.overturning));
    seen
}
