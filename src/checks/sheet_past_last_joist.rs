//! A deck sheet that ends past its last joist.

use super::support::{below, overhang, words};
use super::{Source, StageContext};
use crate::assembly::Role;
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Whether a deck sheet that is not nailed down ends so far past its last joist that it tips
    /// under somebody who steps on its end.
    ///
    /// ## Why it is dangerous
    /// The end of the sheet looks like floor. It turns under the foot and shuts again after who fell
    /// through.
    ///
    /// ## Example
    /// `tests/checks/sheet_past_last_joist/fires.ron`: a sheet that reaches past its last joist.
    ///
    /// ## Limits
    /// Nails count only as far as the equilibrium of the sheet counts them.
    ///
    /// ## Source
    /// Moments about the last joist; the required reserve is the criteria pack's. 29 CFR
    /// 1926.501(b)(1) for the edge it makes.
    pub static SHEET_PAST_LAST_JOIST = {
        code: "SW404",
        name: "sheet-past-last-joist",
        summary: "a deck sheet ends past its last joist and tips when stepped on",
        severity: Severity::Stop,
        follows: [],
        sources: [Source { title: "29 CFR 1926 Subpart M", locator: "1926.501(b)(1)", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for tipping in &ctx.equilibrium.tipping {
        if assembly.member(tipping.member).role != Role::Sheet
            || !below(tipping.factor, tipping.required)
        {
            continue;
        }
        let mut seen = Observation::new(
            overhang::severity(tipping),
            format!(
                "{} ends past its last joist and {}",
                words::sentence(&overhang::name(ctx, tipping)),
                overhang::when(tipping)
            ),
            vec![assembly.name(tipping.member).to_owned()],
        );
        seen.evidence = overhang::evidence(ctx, tipping);
        seen.sample_data = assembly.library.sample;
        if let Some(joist) = assembly.joint(tipping.fulcrum).carrier {
            seen.others.push(assembly.name(joist).to_owned());
        }
        seen.cures.push("end it on a joist: cut it, or set a joist under its edge".to_owned());
        seen.cures.push("nail it down and keep everybody off its end until then".to_owned());
        seen.sources.push(super::support::rule(ctx, &ctx.pack.overturning));
        out.push(seen);
    }
}
