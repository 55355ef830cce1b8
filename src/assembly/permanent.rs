//! Faces of walls and columns.

use super::model::Point;
use crate::scene::model::{Permanent, PermanentKind};

/// A wall or column in plan: middle, direction of its first side, half sizes.
struct Plan {
    middle: [f64; 2],
    along: [f64; 2],
    half: [f64; 2],
}

fn plan(permanent: &Permanent) -> Plan {
    match &permanent.kind {
        PermanentKind::Column { at, size } => Plan {
            middle: [at.0.si(), at.1.si()],
            along: [1.0, 0.0],
            half: [size.0.si() / 2.0, size.1.si() / 2.0],
        },
        PermanentKind::Wall { from, to, thickness } => {
            let (dx, dy) = (to.0.si() - from.0.si(), to.1.si() - from.1.si());
            let length = dx.hypot(dy);
            let along = if length > 0.0 { [dx / length, dy / length] } else { [1.0, 0.0] };
            Plan {
                middle: [(from.0.si() + to.0.si()) / 2.0, (from.1.si() + to.1.si()) / 2.0],
                along,
                half: [length / 2.0, thickness.si() / 2.0],
            }
        }
    }
}

/// The point of a wall's or column's face that is nearest in plan to a point, at a level.
pub(super) fn nearest(permanent: &Permanent, toward: [f64; 2], level: f64) -> Point {
    let plan = plan(permanent);
    let across = [-plan.along[1], plan.along[0]];
    let from = [toward[0] - plan.middle[0], toward[1] - plan.middle[1]];
    let dot = |a: [f64; 2], b: [f64; 2]| a[0] * b[0] + a[1] * b[1];
    let (u, v) = (dot(from, plan.along), dot(from, across));
    let (hu, hv) = (plan.half[0], plan.half[1]);
    let inside = u.abs() < hu && v.abs() < hv;
    let (u, v) = if !inside {
        (u.clamp(-hu, hu), v.clamp(-hv, hv))
    } else if hu - u.abs() < hv - v.abs() {
        (hu.copysign(u), v)
    } else {
        (u, hv.copysign(v))
    };
    Point::new(
        plan.middle[0] + u * plan.along[0] + v * across[0],
        plan.middle[1] + u * plan.along[1] + v * across[1],
        level,
    )
}

/// Distance in metres from a point to the nearest face, or to the nearest edge of it where the
/// point lies above or below.
pub(super) fn gap(permanent: &Permanent, point: &Point) -> f64 {
    let (low, high) = (permanent.from.si(), permanent.to.si());
    let level = point.z.clamp(low.min(high), high.max(low));
    (nearest(permanent, [point.x, point.y], level) - point).norm()
}
