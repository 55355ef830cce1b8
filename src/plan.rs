//! Plan areas: polygons clipped by convex ones, their size and centre.

/// A point in plan, metres.
pub type Plan = [f64; 2];

/// Signed area, anticlockwise positive, and centroid.
#[must_use]
pub fn size_and_centre(polygon: &[Plan]) -> (f64, Plan) {
    let Some(&origin) = polygon.first() else { return (0.0, [0.0; 2]) };
    let (mut area, mut x, mut y) = (0.0, 0.0, 0.0);
    for (i, a) in polygon.iter().enumerate() {
        let b = polygon[(i + 1) % polygon.len()];
        let (ax, ay) = (a[0] - origin[0], a[1] - origin[1]);
        let (bx, by) = (b[0] - origin[0], b[1] - origin[1]);
        let cross = ax * by - bx * ay;
        area += cross;
        x += (ax + bx) * cross;
        y += (ay + by) * cross;
    }
    if area.abs() < 1e-15 {
        return (0.0, origin);
    }
    (0.5 * area, [origin[0] + x / (3.0 * area), origin[1] + y / (3.0 * area)])
}

/// Part of a polygon on the side of a line where `normal · p <= limit` (Sutherland and Hodgman).
#[must_use]
pub fn half_plane(polygon: &[Plan], normal: Plan, limit: f64) -> Vec<Plan> {
    let depth = |p: &Plan| normal[0] * p[0] + normal[1] * p[1] - limit;
    let mut out = Vec::with_capacity(polygon.len() + 2);
    for (i, a) in polygon.iter().enumerate() {
        let b = &polygon[(i + 1) % polygon.len()];
        let (da, db) = (depth(a), depth(b));
        if da <= 0.0 {
            out.push(*a);
        }
        if (da < 0.0 && db > 0.0) || (da > 0.0 && db < 0.0) {
            let t = da / (da - db);
            out.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
        }
    }
    out
}

/// Part of any polygon inside a convex one that runs anticlockwise.
#[must_use]
pub fn clip(polygon: &[Plan], convex: &[Plan]) -> Vec<Plan> {
    let mut out = polygon.to_vec();
    for (i, a) in convex.iter().enumerate() {
        if out.is_empty() {
            break;
        }
        let b = convex[(i + 1) % convex.len()];
        // Outward normal of an anticlockwise edge.
        let normal = [b[1] - a[1], a[0] - b[0]];
        out = half_plane(&out, normal, normal[0] * a[0] + normal[1] * a[1]);
    }
    out
}

/// The same polygon, anticlockwise.
#[must_use]
pub fn anticlockwise(mut polygon: Vec<Plan>) -> Vec<Plan> {
    if size_and_centre(&polygon).0 < 0.0 {
        polygon.reverse();
    }
    polygon
}

/// A rectangle between two opposite corners, its sides along `axis` and square to it.
#[must_use]
pub fn rectangle(a: Plan, b: Plan, axis: Plan) -> Vec<Plan> {
    let across = [-axis[1], axis[0]];
    let diagonal = [b[0] - a[0], b[1] - a[1]];
    let along = diagonal[0] * axis[0] + diagonal[1] * axis[1];
    let side = diagonal[0] * across[0] + diagonal[1] * across[1];
    let corner =
        |u: f64, v: f64| [a[0] + u * axis[0] + v * across[0], a[1] + u * axis[1] + v * across[1]];
    anticlockwise(vec![
        corner(0.0, 0.0),
        corner(along, 0.0),
        corner(along, side),
        corner(0.0, side),
    ])
}

/// Least and greatest coordinate along a direction.
#[must_use]
pub fn extent(polygon: &[Plan], direction: Plan) -> (f64, f64) {
    polygon.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| {
        let s = p[0] * direction[0] + p[1] * direction[1];
        (low.min(s), high.max(s))
    })
}

/// The strip of a width about the line from `a` to `b`, anticlockwise, and the line's direction; none
/// for a line without length.
#[must_use]
pub fn strip(a: Plan, b: Plan, width: f64) -> Option<(Vec<Plan>, Plan)> {
    let run = (b[0] - a[0]).hypot(b[1] - a[1]);
    if run.is_nan() || run <= 0.0 {
        return None;
    }
    let axis = [(b[0] - a[0]) / run, (b[1] - a[1]) / run];
    let half = 0.5 * width;
    let side = [-axis[1] * half, axis[0] * half];
    let corner = |p: Plan, s: f64| [p[0] + s * side[0], p[1] + s * side[1]];
    Some((rectangle(corner(a, -1.0), corner(b, 1.0), axis), axis))
}

/// A regular polygon of sixteen sides with the area of a circle, anticlockwise.
#[must_use]
pub fn round(middle: Plan, radius: f64) -> Vec<Plan> {
    const SIDES: u32 = 16;
    let step = std::f64::consts::TAU / f64::from(SIDES);
    // Area of the polygon is half its sides times r² sin of the step; that of the circle pi r².
    let r = radius * (std::f64::consts::TAU / (f64::from(SIDES) * step.sin())).sqrt();
    (0..SIDES)
        .map(|i| {
            let angle = f64::from(i) * step;
            [middle[0] + r * angle.cos(), middle[1] + r * angle.sin()]
        })
        .collect()
}
