//! Distances in plan, metres.

use crate::units::Length;

/// A point in plan.
pub type Plan = [f64; 2];

/// A corner pair as numbers.
#[must_use]
pub fn corners(from: (Length, Length), to: (Length, Length)) -> [Plan; 2] {
    let (x, y) = ((from.0.si(), to.0.si()), (from.1.si(), to.1.si()));
    [[x.0.min(x.1), y.0.min(y.1)], [x.0.max(x.1), y.0.max(y.1)]]
}

/// How far a point lies outside a rectangle; zero on and in it.
#[must_use]
pub fn outside(point: Plan, [low, high]: [Plan; 2]) -> f64 {
    let over = |d: usize| (low[d] - point[d]).max(point[d] - high[d]).max(0.0);
    over(0).hypot(over(1))
}

/// Distance of a point from the line between two others.
#[must_use]
pub fn from_line(point: Plan, a: Plan, b: Plan) -> f64 {
    let run = [b[0] - a[0], b[1] - a[1]];
    let square = run[0] * run[0] + run[1] * run[1];
    let along =
        ((point[0] - a[0]) * run[0] + (point[1] - a[1]) * run[1]) / square.max(f64::MIN_POSITIVE);
    let at = along.clamp(0.0, 1.0);
    (point[0] - a[0] - at * run[0]).hypot(point[1] - a[1] - at * run[1])
}

/// Whether a point lies in a polygon of whatever sense of turning; its border may count or not.
#[must_use]
pub fn inside(point: Plan, outline: &[Plan]) -> bool {
    let mut inside = false;
    for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        if (a[1] > point[1]) != (b[1] > point[1])
            && point[0] < (b[0] - a[0]) * (point[1] - a[1]) / (b[1] - a[1]) + a[0]
        {
            inside = !inside;
        }
    }
    inside
}

#[cfg(test)]
mod tests {
    use super::{from_line, inside, outside};

    #[test]
    fn three_four_five() {
        let rectangle = [[0.0, 0.0], [2.0, 1.0]];
        assert!((outside([5.0, 5.0], rectangle) - 5.0).abs() < 1e-12);
        assert!(outside([1.0, 0.5], rectangle) == 0.0);
        assert!((from_line([3.0, 4.0], [-1.0, 0.0], [0.0, 0.0]) - 5.0).abs() < 1e-12);
        assert!((from_line([0.5, 2.0], [0.0, 0.0], [1.0, 0.0]) - 2.0).abs() < 1e-12);
        let square = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
        assert!(inside([0.5, 0.5], &square) && !inside([1.5, 0.5], &square));
    }
}
