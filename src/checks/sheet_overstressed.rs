//! A deck sheet bent or sheared beyond its strength.

use super::support::usage::{self, Sayings};
use super::{Source, StageContext};
use crate::calc::{self, At};
use crate::capacity::Work;
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// For each sheet with a load on it, bending and shear of a strip over the widest gap between
    /// two supports: its own weight, every area load that touches it as if it covered it whole, and
    /// the greatest point load in the middle. Against the stresses of its part, over the pack's
    /// factor on their basis.
    ///
    /// ## Why it is dangerous
    /// A sheet that breaks lets concrete and people through at once.
    ///
    /// ## Example
    /// `tests/checks/sheet_overstressed/fires.ron`: a bundle set down on a sheet between two
    /// joists.
    ///
    /// ## Limits
    /// A simple span, the weaker direction, the full thickness. A point load is shared by a strip
    /// as wide as the span, never wider than the sheet (choice of this project). Knots, water and
    /// old nails are not in it. A sheet past its last joist is `sheet-past-last-joist`.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(1). Handbook formulas of a simple span.
    pub static SHEET_OVERSTRESSED = {
        code: "SW214",
        name: "sheet-overstressed",
        summary: "a deck sheet bends or shears beyond its strength between its supports",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory },
            Source { title: "Statics", locator: "simple span", seen: Seen::Memory },
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
            ("bring the joists closer together", &[]),
            ("use a thicker sheet, or put the load over a joist", &[]),
        ],
    };
    usage::of_members_by_load(ctx, "Strength of sheets", &say, out, |member| {
        let found = calc::sheet(&mut Work::silent(), &at, member)?;
        Ok(found.map_or_else(Vec::new, |sheet| {
            vec![("bending stress", sheet.bending), ("shear stress", sheet.shear)]
        }))
    });
}
