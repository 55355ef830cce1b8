//! A part marked as damaged is in place.

use super::support;
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Whether a part that the scene marks as damaged is in place.
    ///
    /// ## Why it is dangerous
    /// How much a bent post or a cracked coupler still carries is anybody's guess. Everything that
    /// leans on it leans on that guess.
    ///
    /// ## Example
    /// `tests/checks/damaged_part_in_use/fires.ron`: a brace of the tower is marked.
    ///
    /// ## Limits
    /// It knows only of damage that somebody wrote down.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(2): damaged equipment shall not be used; (b)(4): damaged after erection,
    /// reinforced at once.
    pub static DAMAGED_PART_IN_USE = {
        code: "SW510",
        name: "damaged-part-in-use",
        summary: "a part marked as damaged is in place",
        severity: Severity::FixFirst,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(2)", seen: Seen::Memory },
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(4)", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for member in assembly.members.iter().filter(|m| m.damaged) {
        if !ctx.stage.state(member.id).is_there() {
            continue;
        }
        let mut seen = Observation::new(
            Severity::FixFirst,
            format!(
                "{} is marked as damaged and is in place",
                support::words::sentence(&support::beam(assembly, member.id))
            ),
            vec![member.name.clone()],
        );
        seen.cures.push("replace it by a sound one, or reinforce it at once".to_owned());
        out.push(seen);
    }
}
