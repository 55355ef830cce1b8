//! A beam whose top nothing holds turns over sideways.

use super::support::usage::{self, Sayings};
use super::{Source, StageContext};
use crate::calc::{self, At};
use crate::capacity::Work;
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Ledgers, joists, fillers and bearers that are bent by more than three tenths of their capacity
    /// and whose compressed edge nothing holds between the supports: their moment against what they
    /// carry at that length before they turn over sideways, by the part's own data. A deck nailed to
    /// the beam holds its top. A part that does not say how it carries unheld is unknown.
    ///
    /// ## Why it is dangerous
    /// A deep narrow beam that is strong enough rolls on its side without a warning, long before the
    /// deck on it is fixed.
    ///
    /// ## Example
    /// `tests/checks/beam_turns_over/fires.ron`: a tall narrow timber under a load, with no deck on it.
    ///
    /// ## Limits
    /// Supports are taken to hold the beam against turning: lips and locks of heads are looked at
    /// elsewhere. An even moment over the length. Fillers that merely lie on it hold nothing.
    ///
    /// ## Source
    /// NDS 3.3.3, AISC 360 F2; EN 1995-1-1 6.3.3, EN 1993-1-1 6.3.2.3; or the supplier's table.
    pub static BEAM_TURNS_OVER = {
        code: "SW219",
        name: "beam-turns-over",
        summary: "a beam whose top nothing holds may turn over sideways",
        severity: Severity::Stop,
        follows: ["SW211"],
        sources: [
            Source { title: "NDS", locator: "3.3.3", seen: Seen::Print },
            Source { title: "AISC 360", locator: "F2", seen: Seen::Print },
            Source { title: "EN 1993-1-1", locator: "6.3.2.3", seen: Seen::Print },
            Source { title: "EN 1995-1-1", locator: "6.3.3", seen: Seen::Memory },
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
            ("nail the deck to it, or block between the beams, before loading it", &[]),
            ("use a wider beam or a shorter span", &[]),
        ],
    };
    usage::of_members_by_load(ctx, "Turning over of beams", &say, out, |member| {
        let found = calc::turning(&mut Work::silent(), &at, member)?;
        Ok(found.map(|usage| ("moment with its top free", usage)).into_iter().collect())
    });
}
