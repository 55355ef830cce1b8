//! Deep beams filled in layers that are too tall for their side forms.

use super::support::{self, measure, placing, units};
use super::{Source, StageContext};
use crate::criteria::model::Seen;
use crate::findings::{Dimension, Group, Observation, Severity};
use crate::plan::{clip, rectangle, size_and_centre};
use crate::scene::model::{DropBeam, LoadPlace, Slab};

crate::declare_hazard! {
    /// ## What it checks
    /// The height of each layer of a drop beam below the slab's soffit, and of what a strip fills at
    /// once in the beams below it, against the pack's greatest layer.
    ///
    /// ## Why it is dangerous
    /// Fresh concrete presses on the side forms like a liquid, more with every inch of height. A side
    /// that opens drops its concrete and pulls the bearers and legs under it sideways.
    ///
    /// ## Example
    /// `tests/checks/layer_too_tall/fires.ron`: layers of two feet in a beam two feet deep.
    ///
    /// ## Limits
    /// The slab's own thickness above the beam is not counted. Side forms, ties and the time between
    /// layers are not known to the scene.
    ///
    /// ## Source
    /// Placing in even layers, ACI 309R (from memory). Liquid pressure is weight density times
    /// height.
    pub static LAYER_TOO_TALL = {
        code: "SW706",
        name: "layer-too-tall",
        summary: "a deep beam is filled in layers too tall for its side forms",
        severity: Severity::FixFirst,
        follows: [],
        sources: [Source { title: "ACI 309R, Guide for Consolidation of Concrete", locator: "placing in layers", seen: Seen::Memory }],
        check: check,
    }
}

fn check(ctx: &StageContext<'_>, out: &mut Vec<Observation>) {
    let limit = ctx.pack.layer_height.value.si();
    let scene = &ctx.assembly.scene;
    for load in placing::placed_now(ctx) {
        match &load.text.on {
            LoadPlace::Layer { beam, bottom, top, .. } => {
                let height = top.si() - bottom.si();
                if height > limit * (1.0 + 1e-9) {
                    out.push(observation(ctx, beam, height, limit));
                }
            }
            LoadPlace::Pour { slab, .. } => {
                let Some(slab) = scene.slabs.iter().find(|s| s.name == *slab) else { continue };
                for beam in &slab.drop_beams {
                    let height = left(ctx, slab, beam, &load.text.on);
                    if height > limit * (1.0 + 1e-9) {
                        out.push(observation(ctx, &beam.name, height, limit));
                    }
                }
            }
            _ => {}
        }
    }
}

/// Height that a strip of slab still fills of a beam below it: the drop less the tallest layer that
/// is on there; nothing where the beam is not below the strip.
fn left(ctx: &StageContext<'_>, slab: &Slab, beam: &DropBeam, on: &LoadPlace) -> f64 {
    let Some(rect) = placing::rect(on) else { return 0.0 };
    let point = |p: &(crate::units::Length, crate::units::Length)| [p.0.si(), p.1.si()];
    let strip = crate::plan::strip(point(&beam.from), point(&beam.to), beam.width.si());
    let below = strip.is_some_and(|(strip, _)| {
        let within = rectangle(rect[0], rect[1], [1.0, 0.0]);
        size_and_centre(&clip(&strip, &within)).0.abs() > 1e-6
    });
    if !below {
        return 0.0;
    }
    let filled = placing::concrete(&ctx.stage.loads)
        .filter_map(|l| match &l.text.on {
            LoadPlace::Layer { slab: s, beam: b, top, .. }
                if *s == slab.name
                    && *b == beam.name
                    && placing::rect(&l.text.on).is_some_and(|r| placing::meet(&r, &rect)) =>
            {
                Some(top.si())
            }
            _ => None,
        })
        .fold(0.0, f64::max);
    (beam.drop.si() - filled).max(0.0)
}

fn observation(ctx: &StageContext<'_>, beam: &str, height: f64, limit: f64) -> Observation {
    let unit = units(ctx);
    let mut seen = Observation::new(
        Severity::FixFirst,
        format!(
            "Beam {beam} is filled {} at once; layers of {} at most",
            unit.length(height),
            unit.length(limit)
        ),
        Vec::new(),
    );
    seen.group = Group::Widens(beam.to_owned());
    seen.evidence.measures.push(measure(
        "height of the layer",
        height,
        Some(limit),
        false,
        Dimension::Length,
    ));
    seen.evidence.measures.push(measure(
        "liquid pressure at its foot",
        ctx.pack.concrete.value.si() * height,
        None,
        false,
        Dimension::Pressure,
    ));
    seen.cures.push("fill the beam in lower layers before the slab above it".to_owned());
    seen.cures.push("show the side forms and ties for this height, on the drawing".to_owned());
    seen.sources.push(support::rule(ctx, &ctx.pack.layer_height));
    seen
}
