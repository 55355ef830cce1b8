//! A height that the wind needs is not in the scene.

use super::support::words;
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation, Severity};

crate::declare_hazard! {
    /// ## What it checks
    /// Whether the scene says how high stacked material and edge forms stand. Where it does not, the
    /// wind is reckoned with a height on the safe side, and this says which.
    ///
    /// ## Why it is dangerous
    /// It is not, as long as the height taken is more than the real one. Nobody should have to guess
    /// what a verdict rests on.
    ///
    /// ## Example
    /// `tests/checks/wind_height_assumed/fires.ron`: a bundle of sheets without its height.
    ///
    /// ## Limits
    /// A stack is taken as loose timber of 300 kg/m³ over the area it lies on, or as a cube where no
    /// area is given; an edge form as half a metre high. Both are choices of this project.
    ///
    /// ## Source
    /// EN 1991-1-4 7.4.3, force coefficient of flat boards. The heights are choices of this project.
    pub static WIND_HEIGHT_ASSUMED = {
        code: "SW305",
        name: "wind-height-assumed",
        summary: "the wind is reckoned with a height that the scene does not give",
        severity: Severity::Note,
        follows: [],
        sources: [Source { title: "EN 1991-1-4", locator: "7.4.3", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let Some(first) = ctx.loads.assumed.first() else { return };
    let mut seen = Observation::new(
        Severity::Note,
        "The wind is reckoned with a height that the scene does not give",
        Vec::new(),
    );
    seen.group = Group::Widens(format!("wind: {first}"));
    seen.evidence.notes = ctx.loads.assumed.iter().map(|why| words::sentence(why)).collect();
    seen.cures.push("write `stack: (height: …)` beside the load, `height` in the edge form".into());
    out.push(seen);
}
