//! One layout for everything written over the scene: each label says where it would like to be,
//! first choice first, and the more important ones choose first. Nothing lies over anything else;
//! what finds no place is left out.
//!
//! Known to work by `tests/viewer/labels.rs`: over shipped jobs, in all views and at several window
//! sizes, no two labels touch, and no grid line loses its name.

use egui::{Painter, Pos2, Rect, Vec2, pos2, vec2};

/// A four-cornered plate, turned or not. Corners in order, around it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quad(pub [Pos2; 4]);

impl From<Rect> for Quad {
    fn from(r: Rect) -> Self {
        Self([r.left_top(), r.right_top(), r.right_bottom(), r.left_bottom()])
    }
}

impl Quad {
    /// A plate about its middle, turned by an angle in radians.
    #[must_use]
    pub fn turned(middle: Pos2, size: Vec2, angle: f32) -> Self {
        let turn = egui::emath::Rot2::from_angle(angle);
        let corner = |x: f32, y: f32| middle + turn * vec2(x * size.x, y * size.y);
        Self([corner(-0.5, -0.5), corner(0.5, -0.5), corner(0.5, 0.5), corner(-0.5, 0.5)])
    }

    #[must_use]
    pub fn bounds(&self) -> Rect {
        Rect::from_points(&self.0)
    }

    /// Whether two plates touch: they do not where a line along one of their edges keeps them apart.
    #[must_use]
    pub fn touches(&self, other: &Self) -> bool {
        if !self.bounds().intersects(other.bounds()) {
            return false;
        }
        let apart = |a: &Self, b: &Self| {
            (0..4).any(|i| {
                let edge = a.0[(i + 1) % 4] - a.0[i];
                let across = vec2(-edge.y, edge.x);
                let reach = |q: &Self| {
                    let along = q.0.map(|p| p.to_vec2().dot(across));
                    let low = along.into_iter().fold(f32::INFINITY, f32::min);
                    (low, along.into_iter().fold(f32::NEG_INFINITY, f32::max))
                };
                let ((a0, a1), (b0, b1)) = (reach(a), reach(b));
                a1 <= b0 || b1 <= a0
            })
        };
        !apart(self, other) && !apart(other, self)
    }
}

/// Which label chooses first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rank {
    /// What is found; the worst stands first among them.
    Sign,
    Held,
    Strip,
    Level,
    /// Whole lengths before bays, both before the names of lines, which can move out.
    Whole,
    Bay,
    Line,
}

/// Draws a label at one of its places, given by position.
pub type Draw<'a> = Box<dyn Fn(&Painter, usize) + 'a>;

/// A label with its places.
pub struct Label<'a> {
    pub rank: Rank,
    pub places: Vec<Quad>,
    pub draw: Draw<'a>,
}

/// The place each label gets, in the order given; none: it is left out. `blocked` is taken already.
#[must_use]
pub fn settle(area: Rect, blocked: &[Quad], labels: &[Label<'_>]) -> Vec<Option<usize>> {
    let mut order: Vec<usize> = (0..labels.len()).collect();
    order.sort_by_key(|&i| labels[i].rank);
    // With their bounds, which most of them are told apart by.
    let mut taken: Vec<(Rect, Quad)> = blocked.iter().map(|q| (q.bounds(), *q)).collect();
    let mut out = vec![None; labels.len()];
    for i in order {
        let free = |q: &Quad| {
            let bounds = q.bounds();
            bounds.is_finite()
                && area.contains_rect(bounds)
                && !taken.iter().any(|(about, t)| about.intersects(bounds) && t.touches(q))
        };
        out[i] = labels[i].places.iter().position(free);
        if let Some(place) = out[i] {
            let plate = labels[i].places[place];
            taken.push((plate.bounds(), plate));
        }
    }
    out
}

/// Which part of a line lies within a rectangle, as shares of its way; none: it runs past it, or has an
/// end that is no number or endless.
#[must_use]
pub fn share_within(area: Rect, from: Pos2, to: Pos2) -> Option<[f64; 2]> {
    let (mut enter, mut leave) = (0.0f64, 1.0f64);
    let sides =
        [(from.x, to.x, area.left(), area.right()), (from.y, to.y, area.top(), area.bottom())];
    for side in sides {
        let (start, end) = (f64::from(side.0), f64::from(side.1));
        let (low, high) = (f64::from(side.2), f64::from(side.3));
        let along = end - start;
        if !along.is_finite() {
            return None;
        }
        if along == 0.0 {
            if start < low || start > high {
                return None;
            }
            continue;
        }
        let (near, far) = ((low - start) / along, (high - start) / along);
        enter = enter.max(near.min(far));
        leave = leave.min(near.max(far));
    }
    (enter <= leave).then_some([enter, leave])
}

/// Whether a line from one point to another crosses a plate that is not turned.
#[must_use]
pub fn crosses(rect: Rect, from: Pos2, to: Pos2) -> bool {
    share_within(rect, from, to).is_some()
}

/// A square plate about a point.
#[must_use]
pub fn square(middle: Pos2, size: f32) -> Quad {
    Rect::from_center_size(pos2(middle.x, middle.y), Vec2::splat(size)).into()
}
