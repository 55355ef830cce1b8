//! A post beside an excavation or bank.

use super::support::feet;
use super::support::plan::from_line;
use super::support::{measure, units};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Observation, Severity};

/// Least distance from an edge, metres: 2 ft.
pub const LEAST: f64 = 0.61;

crate::declare_hazard! {
    /// ## What it checks
    /// The distance of each foot's sill or plate from the drops that `surroundings` states: at least
    /// the depth of the drop, so that the load spreads at 45° within the ground, and never less than
    /// 2 ft.
    ///
    /// ## Why it is dangerous
    /// A sill at the edge of a trench stands on a wedge of ground that nothing holds. It goes with
    /// the first rain, or with the first concrete.
    ///
    /// ## Example
    /// `tests/checks/foot_near_drop/fires.ron`: a trench 4 ft deep just less than 4 ft from the sills.
    ///
    /// ## Limits
    /// Spread at 45° is common practice; loose or wet ground needs more, sheeted trenches less.
    ///
    /// ## Source
    /// 29 CFR 1926.651(j)(2), 2 ft from the edge (from memory); the spread is common practice.
    pub static FOOT_NEAR_DROP = {
        code: "SW532",
        name: "foot-near-drop",
        summary: "a post stands too near the edge of an excavation or bank",
        severity: Severity::FixFirst,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart P", locator: "1926.651(j)(2)", seen: Seen::Memory },
            Source { title: "Common practice", locator: "spread at 45°", seen: Seen::Practice },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    for drop in &ctx.assembly.scene.surroundings.drops {
        let [a, b] = [drop.from, drop.to].map(|p| [p.0.si(), p.1.si()]);
        let due = drop.depth.si().max(LEAST);
        for foot in feet::on_floors(ctx) {
            let clear = from_line(foot.at, a, b) - foot.half;
            if (foot.level - drop.level.si()).abs() > feet::ON_LEVEL || clear >= due {
                continue;
            }
            let unit = units(ctx);
            let mut seen = Observation::new(
                Severity::FixFirst,
                format!(
                    "Foot of post {} stands {} from {}, {} deep",
                    super::support::short(ctx.assembly, foot.post.id),
                    unit.length(clear.max(0.0)),
                    drop.name,
                    unit.length(drop.depth.si())
                ),
                vec![foot.post.name.clone()],
            );
            seen.cause = Some(format!("drop:{}", drop.name));
            seen.evidence.measures.push(measure(
                "from the edge",
                clear,
                Some(due),
                true,
                Dimension::Length,
            ));
            seen.cures.push("set it back, or bridge to ground that bears".to_owned());
            seen.cures.push("have the bank sheeted and judged by an engineer".to_owned());
            out.push(seen);
        }
    }
}
