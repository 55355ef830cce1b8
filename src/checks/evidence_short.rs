//! Evidence that does not release the slab it is brought for.

use super::{Source, StageContext};
use crate::concrete::Released;
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Evidence brought in a step, a test, a temperature log, a signed condition or a time, held
    /// against what the slab's drawings ask for before its forms come away.
    ///
    /// ## Why it is dangerous
    /// Paper that shows too little, or nothing, is easily taken for leave to strip.
    ///
    /// ## Example
    /// `tests/checks/evidence_short/fires.ron`: a test one tenth of a megapascal short.
    ///
    /// ## Limits
    /// Times by table release nothing where the criteria pack asks for a specification or a test. A
    /// slab without a stated strength is released by nothing but a signed condition.
    ///
    /// ## Source
    /// 29 CFR 1926.703(e)(1)(i) and (ii). ASTM C1074 for maturity.
    pub static EVIDENCE_SHORT = {
        code: "SW802",
        name: "evidence-short",
        summary: "the evidence brought does not release the slab",
        severity: Severity::FixFirst,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(e)(1)", seen: Seen::Memory },
            Source { title: "ASTM C1074", locator: "strength by the maturity method", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    for shown in ctx.stage.strip.shown.iter().filter(|s| s.released == Released::No) {
        let Some(slab) = ctx.assembly.scene.slabs.get(shown.slab) else { continue };
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!("The evidence for slab {} does not show that it carries itself", slab.name),
            Vec::new(),
        );
        seen.group = Group::Widens(format!("evidence:{}", slab.name));
        seen.evidence.notes.clone_from(&shown.notes);
        seen.cures.push("leave forms and posts in; test again later".to_owned());
        seen.cures.push("ask the engineer what the drawings require".to_owned());
        seen.sources.push(super::support::rule(ctx, &ctx.pack.strip_by_time));
        out.push(seen);
    }
}
