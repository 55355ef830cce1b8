//! A jack drawn out beyond its limits.

use super::support::{self, measure, standing_posts, units};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// The extension of each jack under a post with its hands off, as the scene sets it with
    /// `jack_out`, against the least and the greatest extension of its part.
    ///
    /// ## Why it is dangerous
    /// Beyond its mark a screw has too little thread or tube left to hold it straight: it folds at
    /// the nut.
    ///
    /// ## Example
    /// `tests/checks/jack_beyond_extension/fires.ron`: a jack set an inch past its greatest
    /// extension.
    ///
    /// ## Limits
    /// Where the scene does not set a jack it is drawn out as little as will do, and a height
    /// beyond reach is `layout-problem`. Wear and a loose fit are not seen.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(6): extension devices in firm contact and secured. The limits are the
    /// supplier's.
    pub static JACK_BEYOND_EXTENSION = {
        code: "SW521",
        name: "jack-beyond-extension",
        summary: "a jack is drawn out further than it may be, or not enough",
        severity: Severity::Stop,
        follows: [],
        sources: [
            Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(6)", seen: Seen::Memory },
        ],
        check: check,
    }
}

/// A tenth of a millimetre: no jack is set closer.
const CLOSE: f64 = 1e-4;

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    let unit = units(ctx);
    for post in standing_posts(assembly, ctx.stage) {
        let Some((name, extension)) = &post.jack else { continue };
        let Some(jack) = assembly.library.jacks.get(name) else { continue };
        let (least, most) = (jack.extension.0.si(), jack.extension.1.si());
        let (severity, words, limit, at_least) = if *extension > most + CLOSE {
            (Severity::Stop, "more than", most, false)
        } else if *extension < least - CLOSE {
            (Severity::FixFirst, "less than", least, true)
        } else {
            continue;
        };
        let mut seen = Observation::new(
            severity,
            format!(
                "Jack of post {} drawn out {}, {words} the {} of {name}",
                support::short(assembly, post.id),
                unit.length(*extension),
                unit.length(limit)
            ),
            vec![post.name.clone()],
        );
        seen.group = Group::Fixed;
        let what = "extension of the jack";
        seen.evidence.measures.push(measure(
            what,
            *extension,
            Some(limit),
            at_least,
            Dimension::Length,
        ));
        seen.sample_data = assembly.library.is_sample(name);
        seen.cures.push("draw the post out further, or use a longer one".to_owned());
        out.push(seen);
    }
}
