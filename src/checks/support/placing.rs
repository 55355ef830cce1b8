//! What the checks of placing concrete share.

use super::super::StageContext;
use crate::assembly::Assembly;
use crate::scene::model::{LoadKind, LoadPlace};
use crate::sequence::model::StageLoad;
use crate::units::Length;

/// Least and greatest corner in plan, metres.
pub type Rect = [[f64; 2]; 2];

/// Fresh concrete set down in the step of the stage.
pub fn placed_now<'a>(ctx: &'a StageContext<'_>) -> impl Iterator<Item = &'a StageLoad> {
    let index = ctx.stage.index;
    concrete(&ctx.stage.loads).filter(move |l| l.since_step == index)
}

/// All fresh concrete among loads.
pub fn concrete(loads: &[StageLoad]) -> impl Iterator<Item = &StageLoad> {
    loads.iter().filter(|l| l.text.kind == LoadKind::Concrete)
}

/// Plan rectangle of an area, pour, layer or heap; none for a load on a member.
#[must_use]
pub fn rect(on: &LoadPlace) -> Option<Rect> {
    let of = |a: (Length, Length), b: (Length, Length)| {
        let (x, y) = ((a.0.si(), b.0.si()), (a.1.si(), b.1.si()));
        [[x.0.min(x.1), y.0.min(y.1)], [x.0.max(x.1), y.0.max(y.1)]]
    };
    match on {
        LoadPlace::Area { from, to, .. }
        | LoadPlace::Pour { from, to, .. }
        | LoadPlace::Layer { from, to, .. } => Some(of(*from, *to)),
        LoadPlace::Heap { at, across, .. } => {
            let half = 0.5 * across.si();
            Some([[at.0.si() - half, at.1.si() - half], [at.0.si() + half, at.1.si() + half]])
        }
        _ => None,
    }
}

/// Lowest level of what the load lies on, for the question of who is below: the soffit of its slab,
/// or of the lowest slab there is.
#[must_use]
pub fn level(assembly: &Assembly, on: &LoadPlace) -> f64 {
    let slabs = &assembly.scene.slabs;
    let own = crate::sequence::placing::slab_of(on)
        .and_then(|name| slabs.iter().find(|s| s.name == name))
        .map(|s| s.soffit.si());
    own.unwrap_or_else(|| slabs.iter().map(|s| s.soffit.si()).fold(f64::INFINITY, f64::min))
}

/// Whether a plan point lies in a rectangle grown by a distance.
#[must_use]
pub fn holds(rect: &Rect, point: [f64; 2], more: f64) -> bool {
    (0..2).all(|k| (rect[0][k] - more..=rect[1][k] + more).contains(&point[k]))
}

/// Whether two rectangles share some area.
#[must_use]
pub fn meet(a: &Rect, b: &Rect) -> bool {
    (0..2).all(|k| a[1][k].min(b[1][k]) - a[0][k].max(b[0][k]) > 1e-6)
}
