//! A slab said to carry itself with nothing under it to carry it to.

use super::{Source, StageContext};
use crate::concrete::Released;
use crate::criteria::model::Seen;
use crate::findings::{Group, Observation};
use crate::loads::slab::permanent_points;
use crate::sequence::SlabNow;

crate::declare_hazard! {
    /// ## What it checks
    /// Whether a slab that has been released in the job has a column or wall of the permanent works
    /// under it in the scene, from below up to its soffit.
    ///
    /// ## Why it is dangerous
    /// Strength alone carries nothing: a slab without columns rests on the posts, whatever its
    /// concrete has reached, and so do the posts that are secured to it.
    ///
    /// ## Example
    /// `tests/checks/slab_on_nothing/fires.ron`: a slab released with no column in the scene.
    ///
    /// ## Limits
    /// One column or wall is enough for it to be silent: where they stand and whether the slab spans
    /// between them is the engineer's. A slab that says it was there before is taken at its word.
    ///
    /// ## Source
    /// BS 5975 on top restraint: it depends on the stability of the permanent works.
    pub static SLAB_ON_NOTHING = {
        code: "SW803",
        name: "slab-on-nothing",
        summary: "a released slab has no column or wall under it in the scene",
        severity: crate::findings::Severity::FixFirst,
        follows: [],
        sources: [Source { title: "BS 5975", locator: "foreword and 19, top restraint", seen: Seen::Print }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let assembly = ctx.assembly;
    for (index, slab) in assembly.scene.slabs.iter().enumerate() {
        let released = matches!(
            ctx.stage.strip.slab(index),
            SlabNow::Carries(Released::Strip | Released::Clear)
        );
        if !released || slab.there || !permanent_points(assembly, slab).is_empty() {
            continue;
        }
        let mut seen = Observation::unknown(
            format!("Nothing in the scene carries slab {} once its posts are gone", slab.name),
            Vec::new(),
        );
        seen.group = Group::Widens(format!("slab:{}", slab.name));
        seen.evidence.notes.push(
            "No column or wall of `permanent` reaches its soffit from below, so nobody knows what holds it up and sideways."
                .to_owned(),
        );
        seen.cures.push("lay out the columns and walls it rests on".to_owned());
        out.push(seen);
    }
}
