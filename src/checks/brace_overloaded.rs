//! A brace or its coupler loaded beyond its capacity.

use super::support::usage::{self, Sayings};
use super::{Source, StageContext};
use crate::calc::{self, At};
use crate::capacity::Work;
use crate::criteria::model::Seen;
use crate::findings::{Observation, RemedyKind, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// For each cross brace and plan brace, the greatest pull and push of the load cases of the
    /// stage's frame against its capacity in tension and in compression, and the greater of both
    /// against its coupler; over the pack's factor on their basis.
    ///
    /// ## Why it is dangerous
    /// The brace is what keeps a line of posts from racking: when it slips or buckles all of them
    /// go together.
    ///
    /// ## Example
    /// `tests/checks/brace_overloaded/fires.ron`: a tower under a load whose notional share its
    /// couplers only just carry.
    ///
    /// ## Limits
    /// Forces are those of the linear frame, first order. A brace that acts in tension only is not
    /// asked for compression. Posts and joints that take the brace's force are not judged here.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(1). The notional lateral is the pack's.
    pub static BRACE_OVERLOADED = {
        code: "SW215",
        name: "brace-overloaded",
        summary: "a cross brace or its coupler carries more than it may",
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
            ("brace more bays of the line", &[RemedyKind::Brace]),
            ("use a stronger brace and coupler", &[]),
        ],
    };
    usage::of_members(ctx, "Strength of braces", &say, out, |member| {
        let found = match ctx.stage.stands(member.id) {
            true => calc::brace(&mut Work::silent(), &at, member)?,
            false => None,
        };
        Ok(found.map_or_else(Vec::new, |brace| {
            let mut uses = Vec::with_capacity(3);
            uses.push(("force in its coupler", brace.coupler));
            uses.extend(brace.tension.map(|usage| ("pull", usage)));
            uses.extend(brace.compression.map(|usage| ("push", usage)));
            uses
        }))
    });
}
