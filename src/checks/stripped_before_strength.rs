//! Forms or posts come away under concrete that carries nothing yet.

use super::support;
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};
use crate::sequence::strip::slab_over_member;

crate::declare_hazard! {
    /// ## What it checks
    /// Whether a step lets down a head, backs off a post, or takes a post or part of the deck away
    /// under a slab that is placed and that no evidence has shown to carry itself.
    ///
    /// ## Why it is dangerous
    /// The slab comes down with whatever held it, on those who strip it.
    ///
    /// ## Example
    /// `tests/checks/stripped_before_strength/fires.ron`: a head let down the step after the pour.
    ///
    /// ## Limits
    /// Knows what the scene brings as evidence. Whether the share of strength that the drawings ask
    /// for is enough is the engineer's.
    ///
    /// ## Source
    /// 29 CFR 1926.703(e)(1): no removal before the concrete is shown to support its weight and
    /// superimposed loads.
    pub static STRIPPED_BEFORE_STRENGTH = {
        code: "SW801",
        name: "stripped-before-strength",
        summary: "forms or posts come away before the slab is shown to carry itself",
        severity: Severity::Stop,
        follows: [],
        sources: [Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(e)(1)", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for (index, slab) in assembly.scene.slabs.iter().enumerate() {
        let early: Vec<_> = ctx
            .stage
            .strip
            .early
            .iter()
            .copied()
            .filter(|&m| slab_over_member(assembly, m) == Some(index))
            .collect();
        let Some(&first) = early.first() else { continue };
        let more = if early.len() > 1 {
            format!(" and {} others", early.len() - 1)
        } else {
            String::new()
        };
        let mut seen = Observation::new(
            Severity::Stop,
            format!(
                "{}{more} let go under slab {}, which is not shown to carry itself",
                support::words::sentence(&support::beam(assembly, first)),
                slab.name
            ),
            early.iter().map(|&m| assembly.name(m).to_owned()).collect(),
        );
        seen.evidence.notes.push(match &slab.strength {
            Some(s) => format!(
                "{} asks for {:.0} % of {:.1} MPa before forms come away, {:.0} % before posts do.",
                s.source,
                100.0 * s.strip,
                s.specified.si() / 1e6,
                100.0 * s.clear
            ),
            None => "The slab states no strength that is due before it is stripped.".to_owned(),
        });
        seen.cures.push(
            "bring Evidence that reaches the share of strength the drawings ask for, first"
                .to_owned(),
        );
        seen.cures.push("leave everything under the slab as it is until then".to_owned());
        out.push(seen);
    }
}
