//! A nailed deck that keeps a bay's shape with more force than its nailing carries.

use super::support::usage::{self, Sayings};
use super::{Source, StageContext};
use crate::calc::{self, At};
use crate::capacity::Work;
use crate::criteria::model::Seen;
use crate::findings::{Observation, RemedyKind, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// For each bay whose nailed deck counts as a plate in plan, the greatest shear of the load
    /// cases of the stage's frame, as force along a side of the bay, against what the sheets'
    /// stated nailing carries, over the pack's factor on its basis.
    ///
    /// ## Why it is dangerous
    /// Lines without a diagonal of their own then hang on the nails alone. Nails that pull through
    /// let the whole line rack under the crew on the deck.
    ///
    /// ## Example
    /// `tests/checks/deck_sheared/fires.ron`: a wall's braces are taken out once the deck is
    /// nailed, and the wind leaves its share to few nails.
    ///
    /// ## Limits
    /// Forces are those of the linear frame, first order. A bay counts as a plate only when all its
    /// sheets lie nailed on fixed bars; a bay that does not counts as weight. Joints of the bars that
    /// frame the bay are not judged here. The least capacity of the bay's sheets counts.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(1). The notional lateral is the pack's.
    pub static DECK_SHEARED = {
        code: "SW222",
        name: "deck-sheared",
        summary: "a nailed deck that braces a bay carries more than its nails do",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    if !ctx.stage.nailed.iter().any(|&n| n) {
        return;
    }
    let at = At::of(ctx);
    let say = Sayings {
        over: Severity::Stop,
        near: true,
        cures: &[
            ("brace the line that hangs on the deck", &[RemedyKind::Brace]),
            ("nail closer, as the drawings say", &[]),
        ],
    };
    usage::of_members(ctx, "Strength of nailed decks", &say, out, |member| {
        let found = calc::deck(&mut Work::silent(), &at, member)?;
        Ok(found.map(|usage| ("shear of the bay's deck", usage)).into_iter().collect())
    });
}
