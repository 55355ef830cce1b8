//! A post on a slab beside or over an opening.

use super::support::feet;
use super::support::plan::{corners, outside};
use super::support::{measure, units};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Observation, Severity};

/// Within this of an opening a slab is weaker than its drawing says for the rest of it, metres.
/// Choice of this project: about three depths of a usual slab.
pub const BESIDE: f64 = 0.6;

crate::declare_hazard! {
    /// ## What it checks
    /// The distance of each foot's sill or plate from the openings that `surroundings` states on
    /// its level.
    ///
    /// ## Why it is dangerous
    /// Beside an opening the slab has fewer bars and a free edge: a post there punches through at a
    /// fraction of what it may carry elsewhere. Over one it stands on the cover.
    ///
    /// ## Example
    /// `tests/checks/foot_near_opening/fires.ron`: an opening just less than 0.6 m from two feet.
    ///
    /// ## Limits
    /// It does not judge the slab. *Watch* beside an opening, *stop* over it.
    ///
    /// ## Source
    /// Common practice, no published source for the distance; punching near openings: ACI 318
    /// 22.6.4.3 and EN 1992-1-1 6.4.2(3) (from memory).
    pub static FOOT_NEAR_OPENING = {
        code: "SW533",
        name: "foot-near-opening",
        summary: "a post stands on a slab beside an opening, or over it",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "ACI 318", locator: "22.6.4.3", seen: Seen::Memory },
            Source { title: "Choice of this project", locator: "0.6 m", seen: Seen::Practice },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    for opening in &ctx.assembly.scene.surroundings.openings {
        let rectangle = corners(opening.from, opening.to);
        for foot in feet::on_floors(ctx) {
            let clear = outside(foot.at, rectangle) - foot.half;
            if (foot.level - opening.level.si()).abs() > feet::ON_LEVEL || clear >= BESIDE {
                continue;
            }
            let who = super::support::short(ctx.assembly, foot.post.id);
            let (severity, headline) = if clear < 0.0 {
                (Severity::Stop, format!("Foot of post {who} stands over opening {}", opening.name))
            } else {
                (
                    Severity::Watch,
                    format!(
                        "Foot of post {who} stands {} from opening {}",
                        units(ctx).length(clear),
                        opening.name
                    ),
                )
            };
            let mut seen = Observation::new(severity, headline, vec![foot.post.name.clone()]);
            seen.cause = Some(format!("opening:{}", opening.name));
            seen.evidence.measures.push(measure(
                "from the opening",
                clear,
                Some(BESIDE),
                true,
                Dimension::Length,
            ));
            seen.cures.push("move it, or bridge the opening with a bearer".to_owned());
            seen.cures.push("have the slab checked for this load at this place".to_owned());
            out.push(seen);
        }
    }
}
