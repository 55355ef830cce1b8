//! Concrete placed without the inspection before it, or left without the one after it.

use super::support::placing;
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Whether a hold point was released, by somebody and on evidence, between the last change to
    /// what stands and the first concrete; and whether another was met after the last concrete
    /// before the sequence goes on or ends.
    ///
    /// ## Why it is dangerous
    /// What was right last week has been borrowed, knocked and washed out since. After placing, a
    /// post that has settled or a lock that has sprung is seen only by somebody who looks.
    ///
    /// ## Example
    /// `tests/checks/hold_point_missing/fires.ron`: a hold point that was met and that nobody
    /// released.
    ///
    /// ## Limits
    /// It knows that somebody put a name to it, not whether anybody looked.
    ///
    /// ## Source
    /// 29 CFR 1926.703(b)(3): erected shoring inspected immediately prior to, during, and immediately
    /// after concrete placement.
    pub static HOLD_POINT_MISSING = {
        code: "SW704",
        name: "hold-point-missing",
        summary: "concrete is placed without a released hold point before it, or none after it",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "29 CFR 1926 Subpart Q", locator: "1926.703(b)(3)", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let stages = &ctx.sequence.stages;
    let Some(first) = placing::concrete(&ctx.stage.loads).map(|l| l.since_step).min() else {
        return;
    };
    let holds = &ctx.stage.placing.holds;
    // The last step before the concrete that touched what stands.
    let changed = stages
        .iter()
        .take(first)
        .rev()
        .find(|s| !s.touched.is_empty() || !s.placing.jacked.is_empty());
    let since = changed.map_or(0, |s| s.index);
    let released = holds.iter().any(|h| h.text.is_released() && (since..=first).contains(&h.step));
    if !released {
        let met = holds.iter().rev().find(|h| h.step <= first);
        let why = match met {
            Some(h) if !h.text.is_released() => {
                format!("The hold point {} was met; nobody released it on evidence.", h.text.name)
            }
            Some(h) => format!(
                "The hold point {} was released before what stands was changed once more.",
                h.text.name
            ),
            None => "No hold point was met before it.".to_owned(),
        };
        let headline = "Concrete is placed without a released hold point before it";
        let mut seen = Observation::new(Severity::FixFirst, headline, Vec::new());
        seen.group = Group::Widens("before".to_owned());
        seen.evidence.notes.push(why);
        seen.cures
            .push("have the shoring looked over and released before the first concrete".to_owned());
        out.push(seen);
    }
    // At the end, or at the first change to what stands after the concrete.
    let last = placing::concrete(&ctx.stage.loads).map(|l| l.since_step).max().unwrap_or(first);
    let goes_on =
        ctx.stage.index > last && (!ctx.stage.touched.is_empty() || !ctx.stage.removed.is_empty());
    if !(goes_on || ctx.stage.index + 1 == stages.len()) {
        return;
    }
    // In the step of the last concrete it may have come before it.
    if holds.iter().any(|h| h.text.is_released() && h.step > last) {
        return;
    }
    let headline = "The shoring is not looked over and released after placing";
    let mut seen = Observation::new(Severity::Watch, headline, Vec::new());
    seen.group = Group::Widens("after".to_owned());
    seen.cures.push("add a hold point after the last concrete".to_owned());
    out.push(seen);
}
