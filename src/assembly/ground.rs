//! Floors under points, and the corners of flat things.

use super::model::Point;
use crate::scene::Scene;
use crate::scene::model::Floor;

/// Level of a floor at a plan point, its slope counted from the scene's origin, in metres.
pub(crate) fn level(floor: &Floor, [x, y]: [f64; 2]) -> f64 {
    floor.level.si() + floor.slope.0 * x + floor.slope.1 * y
}

/// Whether a floor reaches under a plan point; its edge counts as floor, an empty outline is
/// everywhere.
pub(crate) fn is_under(floor: &Floor, [x, y]: [f64; 2]) -> bool {
    if floor.outline.is_empty() {
        return true;
    }
    let corner = |i: usize| {
        let (x, y) = &floor.outline[i % floor.outline.len()];
        (x.si(), y.si())
    };
    let mut inside = false;
    for i in 0..floor.outline.len() {
        let ((ax, ay), (bx, by)) = (corner(i), corner(i + 1));
        let along = ((x - ax) * (bx - ax) + (y - ay) * (by - ay))
            / ((bx - ax).powi(2) + (by - ay).powi(2)).max(f64::MIN_POSITIVE);
        let near = along.clamp(0.0, 1.0);
        if (x - ax - near * (bx - ax)).hypot(y - ay - near * (by - ay)) <= 1e-6 {
            return true;
        }
        if (ay > y) != (by > y) && x < (bx - ax) * (y - ay) / (by - ay) + ax {
            inside = !inside;
        }
    }
    inside
}

/// The floor whose surface lies within a tolerance of a point, the nearest one first.
pub(crate) fn at<'s>(scene: &'s Scene, point: &Point, within: f64) -> Option<&'s Floor> {
    let plan = [point.x, point.y];
    scene
        .floors
        .iter()
        .filter(|floor| is_under(floor, plan))
        .map(|floor| ((level(floor, plan) - point.z).abs(), floor))
        .filter(|(gap, _)| *gap <= within)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, floor)| floor)
}

/// Upward normal of the floor under a foot, which may stand on a sill up to `within` thick.
pub(crate) fn normal(scene: &Scene, foot: &Point, within: f64) -> Option<super::model::Vector> {
    let floor = at(scene, foot, within)?;
    Some(super::model::Vector::new(-floor.slope.0, -floor.slope.1, 1.0).normalize())
}
