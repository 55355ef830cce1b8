//! A spanning member crushed where it bears or is loaded.

use super::support::usage::{self, Sayings};
use super::{Source, StageContext};
use crate::calc::{self, At};
use crate::capacity::Work;
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// For each ledger, joist, filler and bearer, the greatest reaction and the greatest load of
    /// one beam on it, against the bearing capacity of its part. A part that does not state its
    /// bearing is unknown.
    ///
    /// ## Why it is dangerous
    /// A thin web folds, a flange rolls over or timber is crushed under a load that bending would
    /// carry with ease, and the seat is gone.
    ///
    /// ## Example
    /// `tests/checks/beam_crushed/fires.ron`: a bundle close to the end of a filler.
    ///
    /// ## Limits
    /// Where two loads press one place from above and below only the greater counts. Length of
    /// bearing is the supplier's.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(1). That bearing is a limit of its own: NDS 3.10, AISC 360 J10.
    pub static BEAM_CRUSHED = {
        code: "SW212",
        name: "beam-crushed",
        summary: "a beam is pressed at a support or under a load beyond its bearing",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory },
            Source { title: "NDS; AISC 360", locator: "NDS 3.10, AISC 360 J10", seen: Seen::Memory },
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
            ("spread the load along the beam", &[]),
            ("stiffen the web or widen the bearing by the supplier's data", &[]),
        ],
    };
    usage::of_members_by_load(ctx, "Bearing of beams", &say, out, |member| {
        let near = ctx.pack.use_of_capacity.value;
        // Parts that cannot be calculated at all are `beam-overstressed`.
        match calc::bar(&mut Work::silent(), &at, member, near) {
            Ok(Some(bar)) => bar.bearing.map(|usage| vec![("bearing", usage)]),
            _ => Ok(Vec::new()),
        }
    });
}
