//! A post where vehicles drive.

use super::support::feet;
use super::support::plan::{corners, outside};
use super::support::{measure, units};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Observation, Severity};

/// Room that a vehicle is given beside its way, metres. Choice of this project.
pub const BESIDE: f64 = 0.6;

crate::declare_hazard! {
    /// ## What it checks
    /// Whether a post stands in a way of vehicles that `surroundings` states, or within 0.6 m of it,
    /// without a barrier.
    ///
    /// ## Why it is dangerous
    /// A post carries tons along itself and nearly nothing across. One touch by a fork lift takes it
    /// out, and its neighbours get its load.
    ///
    /// ## Example
    /// `tests/checks/post_in_vehicle_way/fires.ron`: a drive past a tower, just within 0.6 m.
    ///
    /// ## Limits
    /// It knows of the ways that somebody wrote down, and takes a stated barrier at its word.
    ///
    /// ## Source
    /// Common practice, no published source for the distance. Cal. Code Regs. title 8 section 1717
    /// asks for an engineer where traffic passes through (from memory).
    pub static POST_IN_VEHICLE_WAY = {
        code: "SW534",
        name: "post-in-vehicle-way",
        summary: "a post stands in or beside a way of vehicles without a barrier",
        severity: Severity::FixFirst,
        follows: [],
        sources: [
            Source { title: "Cal. Code Regs. title 8", locator: "section 1717", seen: Seen::Memory },
            Source { title: "Choice of this project", locator: "0.6 m", seen: Seen::Practice },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    for way in ctx.assembly.scene.surroundings.vehicle_ways.iter().filter(|w| !w.barrier) {
        let rectangle = corners(way.from, way.to);
        for foot in feet::on_floors(ctx) {
            let clear = outside(foot.at, rectangle) - foot.half;
            if clear >= BESIDE {
                continue;
            }
            let who = super::support::short(ctx.assembly, foot.post.id);
            let headline = if clear <= 0.0 {
                format!("Post {who} stands in the way of vehicles, {}", way.name)
            } else {
                format!("Post {who} stands {} from {}", units(ctx).length(clear), way.name)
            };
            let mut seen =
                Observation::new(Severity::FixFirst, headline, vec![foot.post.name.clone()]);
            seen.cause = Some(format!("way:{}", way.name));
            seen.evidence.measures.push(measure(
                "from the way",
                clear,
                Some(BESIDE),
                true,
                Dimension::Length,
            ));
            seen.cures.push("set a barrier that stops a vehicle, or close the way".to_owned());
            out.push(seen);
        }
    }
}
