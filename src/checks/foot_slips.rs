//! A foot slips before the others have taken up their share.

use super::support::{self, list, measure};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, RemedyKind, Severity};
use crate::mechanics::stage::cases::direction_words;
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// Whether any foot slips under notional lateral and wind, each way, when every foot takes the
    /// share that the stiffness of the frame gives it. And whether the balance that statics finds
    /// counts on the friction of feet that bear nothing in that state: then it is asked again with
    /// those feet as smooth supports.
    ///
    /// ## Why it is dangerous
    /// Where it slips a little and the other feet take up what it sheds, nothing falls; but the
    /// post is then out of plumb, and it moves again at every gust. Equilibrium alone does not see
    /// it: statics shares the friction as kindly as it can be shared. Where it needs a foot that the
    /// stiffness leaves unloaded, the two contradict each other. Nothing has shown that it falls, and
    /// nothing that it stands: such a stage is to be put right before going on, like one that could
    /// not be judged.
    ///
    /// ## Example
    /// `tests/checks/foot_slips/fires.ron`: braced bays in a wind in which a windward foot, relieved
    /// by the wind itself, slides before the others have taken their share.
    ///
    /// ## Limits
    /// First-order elastic forces with all feet down and pinned. What slides as a whole is
    /// `piece-slides`, and this hangs under it.
    ///
    /// ## Source
    /// Coulomb's law; the coefficient is the criteria pack's. 29 CFR 1926.703(b)(6): base plates
    /// in firm contact, secured when necessary.
    pub static FOOT_SLIPS = {
        code: "SW408",
        name: "foot-slips",
        summary: "a foot slips under a lateral force before the others take up their share",
        severity: Severity::FixFirst,
        follows: ["SW101", "SW301", "SW302", "SW303", "SW405", "SW406"],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(6)", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for contested in &ctx.equilibrium.sideways.contested {
        let way = &contested.way;
        let idle = support::posts(assembly, &contested.idle);
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "It stands only by friction at {idle}, which the elastic forces leave unloaded"
            ),
            way.posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.group = Group::Widens(format!(
            "contested:{}",
            way.posts.first().and_then(|&p| assembly.member(p).block.clone()).unwrap_or_default()
        ));
        seen.sample_data = assembly.library.sample;
        seen.evidence.measures.push(measure(
            "sideways load held without these feet, over what acts",
            way.factor,
            Some(way.required),
            true,
            Dimension::Ratio,
        ));
        seen.evidence.notes.push(format!(
            "Statics alone, with every foot's friction as kind as it can be: {:.2} under {}. \
             Without the feet that bear nothing: {:.2}.",
            contested.kindly, way.case, way.factor
        ));
        seen.evidence.notes.extend(support::balance::partial_words(way));
        seen.evidence.motion = Some(way.motion.clone());
        seen.cure("stop the feet of the braced bays, or brace a further bay", &[RemedyKind::Brace]);
        seen.cures.push("put weight on these posts before leaving it".to_owned());
        seen.sources.extend(support::balance::sliding_rules(ctx));
        seen.sources.push(support::rule(ctx, &ctx.pack.friction));
        out.push(seen);
    }
    let mut blocks: BTreeMap<String, Vec<(MemberId, f64, String)>> = BTreeMap::new();
    for grip in &ctx.mechanics.grip {
        let Some(post) = grip.slips.filter(|_| grip.slips_at < 1.0) else { continue };
        let block = assembly.member(post).block.clone().unwrap_or_default();
        let way = direction_words(grip.direction);
        blocks.entry(block).or_default().push((post, grip.slips_at, way));
    }
    for (block, slips) in blocks {
        let mut posts: Vec<MemberId> = slips.iter().map(|s| s.0).collect();
        posts.sort_unstable();
        posts.dedup();
        let mut ways: Vec<String> = slips.iter().map(|s| s.2.clone()).collect();
        ways.sort();
        ways.dedup();
        let least = slips.iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
        let mut seen = Observation::new(
            Severity::Watch,
            format!("The foot of {} slips first in the wind", support::posts(assembly, &posts)),
            posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.group = Group::Widens(block);
        seen.sample_data = assembly.library.sample;
        seen.evidence.measures.push(measure(
            "share of notional lateral or wind at which the first foot slips",
            least,
            Some(1.0),
            true,
            Dimension::Ratio,
        ));
        seen.evidence.notes.push(format!("Under notional lateral and wind, {}.", list(&ways)));
        seen.cure("stop the feet of the braced bays, or brace a further bay", &[RemedyKind::Brace]);
        seen.sources.push(support::rule(ctx, &ctx.pack.friction));
        out.push(seen);
    }
}
