//! A spanning member bent or sheared beyond its capacity.

use super::support::usage::{self, Sayings};
use super::{Source, StageContext};
use crate::calc::{self, At};
use crate::capacity::Work;
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// For each ledger, joist, filler and drop-beam bearer that is there, the greatest moment and
    /// shear of the loads of the stage on its supports against the capacities of its part, over the
    /// pack's factor on their basis. Over more than two supports the greater of the continuous bar
    /// and the bar cut at its supports counts.
    ///
    /// ## Why it is dangerous
    /// A beam that gives way drops the deck and those on it, and what hung on it pulls at its
    /// posts.
    ///
    /// ## Example
    /// `tests/checks/beam_overstressed/fires.ron`: a bundle set down in the middle of a ledger.
    ///
    /// ## Limits
    /// Holes and damage are in the supplier's capacity or nowhere; turning over sideways is
    /// `beam-turns-over`. A bar with fewer than two supports tips and is found elsewhere. The supports do not give.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(1). Statics, and Clapeyron's three-moment equations.
    pub static BEAM_OVERSTRESSED = {
        code: "SW211",
        name: "beam-overstressed",
        summary: "a ledger, joist or bearer bends or shears beyond its capacity",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory },
            Source { title: "Statics", locator: "sums of forces and moments; Clapeyron's three-moment equations", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let at = At::of(ctx);
    let say = Sayings {
        over: Severity::Stop,
        near: true,
        cures: &[
            ("take load off, or spread it over more beams", &[]),
            ("use a stronger beam or a shorter span", &[]),
        ],
    };
    usage::of_members_by_load(ctx, "Strength of beams", &say, out, |member| {
        let near = ctx.pack.use_of_capacity.value;
        let found = calc::bar(&mut Work::silent(), &at, member, near)?;
        Ok(found.map_or_else(Vec::new, |bar| {
            let moment = if bar.hogs { "hogging moment" } else { "moment" };
            vec![(moment, bar.bending), ("shear", bar.shear)]
        }))
    });
}
