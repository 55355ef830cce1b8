//! A post on ground that is frozen, washed out, flooded or newly filled.

use super::support::feet;
use super::support::plan::{corners, outside};
use super::{Source, StageContext};
use crate::assembly::{MemberId, ground};
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, Severity};
use crate::scene::model::GroundState;

crate::declare_hazard! {
    /// ## What it checks
    /// Posts on floors, or parts of floors, that `surroundings` calls doubtful ground.
    ///
    /// ## Why it is dangerous
    /// Frozen ground carries until noon. Water takes the fines from under a sill and leaves it
    /// looking level. New fill settles under the first load, and the posts beside it get what that
    /// one sheds.
    ///
    /// ## Example
    /// `tests/checks/ground_in_doubt/fires.ron`: a tower at the border of a strip of new fill.
    ///
    /// ## Limits
    /// It knows what somebody wrote down. Look at every sill after rain, thaw and frost.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(5): sills sound, rigid and capable of carrying the load (from memory). IBC
    /// Table 1806.2: no pressure on unprepared fill without data.
    pub static GROUND_IN_DOUBT = {
        code: "SW531",
        name: "ground-in-doubt",
        summary: "a post stands on frozen, washed-out, flooded or newly filled ground",
        severity: Severity::FixFirst,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(5)", seen: Seen::Memory },
            Source { title: "IBC", locator: "Table 1806.2", seen: Seen::Print },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let scene = &assembly.scene;
    for (index, doubt) in scene.surroundings.doubtful_ground.iter().enumerate() {
        let posts: Vec<MemberId> = feet::on_floors(ctx)
            .filter(|foot| {
                ground::at(scene, &foot.post.ends[0], feet::ON_LEVEL)
                    .is_some_and(|floor| floor.name == doubt.floor)
            })
            .filter(|foot| {
                doubt.within.is_none_or(|(a, b)| outside(foot.at, corners(a, b)) < foot.half)
            })
            .map(|foot| foot.post.id)
            .collect();
        if posts.is_empty() {
            continue;
        }
        let (state, cure) = match doubt.state {
            GroundState::Frozen => ("frozen", "thaw it and compact it, or dig to where it is not"),
            GroundState::WashedOut => ("washed-out", "lead the water away, dig out and refill"),
            GroundState::NewFill => ("newly filled", "compact it in layers and have it tested"),
            GroundState::Flooded => ("flooded", "pump it dry and look at what is left"),
        };
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "{} on {state} ground of floor {}",
                match posts.len() {
                    1 => "A post stands".to_owned(),
                    n => format!("{n} posts stand"),
                },
                doubt.floor
            ),
            posts.iter().map(|&p| assembly.name(p).to_owned()).collect(),
        );
        seen.group = Group::Widens(format!("{index}"));
        seen.cures.push(cure.to_owned());
        seen.cures.push("have the bearing pressure stated before it is loaded".to_owned());
        out.push(seen);
    }
}
