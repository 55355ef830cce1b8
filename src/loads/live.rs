//! People on the deck: where they may stand at a stage, and with how much load.
//!
//! While concrete goes in, the pack's live load lies on every sheet of the strip that is being
//! placed, and more where concrete and live load together would stay below the pack's least. On all
//! other sheets that are there, and on overhangs that a deck reaches, the access load. All of it may
//! be there or not, on any span of any member alone. Loads of kind *workers* that a step sets down
//! come on top: they are where somebody wrote that they are.

use super::ledge::Ledge;
use crate::assembly::{Assembly, Member};
use crate::criteria::Pack;
use crate::plan::{Plan, extent};
use crate::scene::model::{LoadKind, LoadPlace};
use crate::sequence::Stage;

/// What people may bring at a stage.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Live {
    access: f64,
    /// Plan rectangles of fresh concrete placed in this step, least and greatest corner, and the
    /// pressure of people there.
    placing: Vec<([Plan; 2], f64)>,
}

impl Live {
    /// Nobody anywhere.
    pub fn nobody() -> Self {
        Self { access: 0.0, placing: Vec::new() }
    }

    pub fn new(assembly: &Assembly, pack: &Pack, stage: &Stage) -> Self {
        let live = pack.live_load.value.si();
        let mut placing = Vec::new();
        for load in &stage.loads {
            if load.text.kind != LoadKind::Concrete || load.since_step != stage.index {
                continue;
            }
            let (from, to, depth) = match &load.text.on {
                LoadPlace::Pour { slab, from, to } => {
                    let slab = assembly.scene.slabs.iter().find(|s| s.name == *slab);
                    (*from, *to, slab.map_or(0.0, |s| s.thickness.si()))
                }
                LoadPlace::Layer { from, to, bottom, top, .. } => {
                    (*from, *to, top.si() - bottom.si())
                }
                LoadPlace::Area { from, to, .. } => (*from, *to, 0.0),
                _ => continue,
            };
            let (a, b) = ([from.0.si(), from.1.si()], [to.0.si(), to.1.si()]);
            let corner = |pick: fn(f64, f64) -> f64| [pick(a[0], b[0]), pick(a[1], b[1])];
            let least = pack.combined_minimum.value.si() - depth * pack.concrete.value.si();
            placing.push(([corner(f64::min), corner(f64::max)], live.max(least)));
        }
        Self { access: pack.access_load.value.si(), placing }
    }

    /// Pressure of people on a sheet, given by its outline.
    pub fn on(&self, outline: &[Plan]) -> f64 {
        if self.placing.is_empty() {
            return self.access;
        }
        let (x, y) = (extent(outline, [1.0, 0.0]), extent(outline, [0.0, 1.0]));
        self.placing
            .iter()
            .filter(|(rect, _)| {
                let over = |k: usize, (low, high): (f64, f64)| {
                    high.min(rect[1][k]) - low.max(rect[0][k]) > 1e-6
                };
                over(0, x) && over(1, y)
            })
            .map(|(_, pressure)| *pressure)
            .fold(self.access, f64::max)
    }

    /// Newtons of people on a sheet that spans a plan rectangle.
    pub fn on_sheet(&self, sheet: &Member, outline: &[Plan]) -> f64 {
        let area = crate::plan::size_and_centre(outline).0.abs();
        if sheet.weight.is_finite() { self.on(outline) * area } else { 0.0 }
    }

    /// Newtons of people on a beam's piece of a slab edge.
    pub fn on_ledge(&self, assembly: &Assembly, ledge: &Ledge<'_>) -> f64 {
        let outline = ledge.outline(assembly);
        self.on(&outline) * crate::plan::size_and_centre(&outline).0.abs()
    }
}
