//! A jack loaded beyond its capacity.

use super::support::usage::{self, Heavy, Sayings};
use super::{Source, StageContext};
use crate::assembly::MemberId;
use crate::calc::{self, At};
use crate::capacity::{Missing, Work};
use crate::criteria::model::Seen;
use crate::findings::{Observation, Severity};
use std::collections::BTreeMap;

crate::declare_hazard! {
    /// ## What it checks
    /// The load of each post that stands on a jack against the jack's capacity at its extension:
    /// the row for it or the next longer one, over the pack's factor on the basis. An extension
    /// beyond the table is unknown.
    ///
    /// ## Why it is dangerous
    /// A screw drawn out bends like a thin post of its own under the thick one, and gives without
    /// warning.
    ///
    /// ## Example
    /// `tests/checks/jack_overloaded/fires.ron`: a bundle over a post on a jack.
    ///
    /// ## Limits
    /// Axial load alone. How far it may be drawn out is `jack-beyond-extension`.
    ///
    /// ## Source
    /// 29 CFR 1926.703(a)(1) and (b)(6), adjustment screws.
    pub static JACK_OVERLOADED = {
        code: "SW217",
        name: "jack-overloaded",
        summary: "a screw jack carries more than it may at its extension",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(a)(1)", seen: Seen::Memory },
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(6)", seen: Seen::Memory },
        ],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let at = At::of(ctx);
    let (mut found, mut missing) = (Vec::new(), BTreeMap::<Missing, Vec<MemberId>>::new());
    for post in super::support::standing_posts(ctx.assembly, ctx.stage) {
        let Some((part, _)) = &post.jack else { continue };
        match calc::jack(&mut Work::silent(), &at, post) {
            Some(Ok(usage)) => {
                found.push(Heavy { member: post.id, part, respect: "load on its jack", usage });
            }
            Some(Err(why)) => missing.entry(why).or_default().push(post.id),
            None => {}
        }
    }
    let say = Sayings {
        over: Severity::Stop,
        near: true,
        cures: &[
            ("take load off, or set a post beside it", &[]),
            ("draw the jack out less and the post out more", &[]),
        ],
    };
    usage::report(ctx, found, &say, out);
    usage::unknown(ctx, missing, "Strength of jacks", out);
}
