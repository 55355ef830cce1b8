//! A post head loaded beyond its capacity.

use super::support::usage::{self, Sayings};
use super::{Source, StageContext};
use crate::calc::{self, At};
use crate::capacity::Work;
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// What rests on each post's head at the stage against the capacity of the head, over the
    /// pack's factor on the basis of the post's data. A head that does not state it is unknown.
    ///
    /// ## Why it is dangerous
    /// A drop head carries on a wedge and a collar: it can shear off under a load that the post
    /// itself would carry.
    ///
    /// ## Example
    /// `tests/checks/head_overloaded/fires.ron`: a bundle over a head.
    ///
    /// ## Limits
    /// Loads beside the head's middle are not in it; the head's lock is `head-loaded-unlocked`.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(1), and 1926.703(b)(7) for loads beside the middle.
    pub static HEAD_OVERLOADED = {
        code: "SW216",
        name: "head-overloaded",
        summary: "a post head carries more than it may",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory },
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
            ("take load off, or set a post beside it", &[]),
            ("use a post with a stronger head", &[]),
        ],
    };
    usage::of_members_by_load(ctx, "Strength of heads", &say, out, |member| {
        if !member.is_post() || !ctx.stage.stands(member.id) {
            return Ok(Vec::new());
        }
        let usage = calc::head(&mut Work::silent(), &at, member).transpose()?;
        Ok(usage.map(|usage| ("load on its head", usage)).into_iter().collect())
    });
}
