//! Dimension strings along a block's two near edges: bay by bay where there is room, runs of equal
//! bays together where there is not, and the whole length outside them.

use crate::review::Review;
use crate::scene::Grid;
use crate::scene::model::Block;
use crate::units::UnitSystem;
use crate::viewer::overlay::{Over, Taken};
use bevy::prelude::Vec3;
use egui::{FontId, Painter, Pos2, Rect, Shape, Stroke, Vec2, vec2};

/// How far outside the outer line the strings lie, metres; the whole length lies once more.
const OUT: f32 = 0.55;
/// Bays that differ by less are equal, metres.
const EQUAL: f64 = 1e-4;

/// What is written over a stretch of bays.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// First and last grid line, by position.
    pub from: usize,
    pub to: usize,
    pub text: String,
}

/// The stretches to write: each bay by itself, where `fits` says that there is room for its text,
/// else runs of equal bays as `4 × 6 ft`.
#[must_use]
pub fn spans(
    positions: &[f64],
    units: UnitSystem,
    fits: &dyn Fn(usize, usize, &str) -> bool,
) -> Vec<Span> {
    let bay = |i: usize| positions[i + 1] - positions[i];
    let single = |i: usize| Span { from: i, to: i + 1, text: units.length(bay(i)) };
    let bays = positions.len().saturating_sub(1);
    let all: Vec<Span> = (0..bays).map(single).collect();
    if all.iter().all(|s| fits(s.from, s.to, &s.text)) {
        return all;
    }
    let mut out: Vec<Span> = Vec::new();
    let mut from = 0;
    for i in 0..bays {
        if i + 1 < bays && (bay(i + 1) - bay(from)).abs() < EQUAL {
            continue;
        }
        let count = i + 1 - from;
        let length = units.length(bay(from));
        let text = if count == 1 { length } else { format!("{count} × {length}") };
        if fits(from, i + 1, &text) {
            out.push(Span { from, to: i + 1, text });
        }
        from = i + 1;
    }
    out
}

/// Draws the strings of the blocks.
pub(super) fn draw(painter: &Painter, over: &Over<'_>, review: &Review, taken: &mut Taken) {
    // Seen flat from the side they would lie on one another.
    if over.pose.pitch.abs() < 0.12 {
        return;
    }
    for block in &review.assembly.scene.blocks {
        let Ok(grid) = Grid::of(block) else { continue };
        edge(painter, over, review, block, &grid.x, &block.x.positions(), taken);
        edge(painter, over, review, block, &grid.y, &block.y.positions(), taken);
    }
}

/// The string along the near ends of one family of lines.
fn edge(
    painter: &Painter,
    over: &Over<'_>,
    review: &Review,
    block: &Block,
    names: &[String],
    positions: &[f64],
    taken: &mut Taken,
) {
    let find = |name: &String| {
        let of_block = |l: &&crate::assembly::model::GridLine| l.block == block.name;
        review.assembly.grid_lines.iter().filter(of_block).find(|l| l.name == *name)
    };
    let Some(lines) = names.iter().map(find).collect::<Option<Vec<_>>>() else { return };
    if lines.len() < 2 || lines.len() != positions.len() {
        return;
    }
    let level = over.bodies.bounds.map_or(0.0, |b| b[0].y);
    let flat = |p: crate::assembly::model::Point| {
        let p = over.bodies.origin.point(p);
        Vec3::new(p.x, level, p.z)
    };
    let eye = over.pose.transform().translation;
    let far = |end: usize| lines.iter().map(|l| flat(l.ends[end]).distance(eye)).sum::<f32>();
    let near = usize::from(far(1) < far(0));
    let first = lines[0];
    let Some(out) = (flat(first.ends[near]) - flat(first.ends[1 - near])).try_normalize() else {
        return;
    };
    let at = |i: usize, off: f32| (over.project)(flat(lines[i].ends[near]) + out * off);
    let font = FontId::proportional(over.view.text.small);
    let room = |from: usize, to: usize, text: &str| {
        let (Some(a), Some(b)) = (at(from, OUT), at(to, OUT)) else { return false };
        let width = text.chars().count() as f32 * font.size * 0.56 + 8.0;
        a.distance(b) > width
    };
    let units = over.view.state.units;
    let bays = spans(positions, units, &room);
    for span in &bays {
        string(painter, over, (at(span.from, OUT), at(span.to, OUT)), &span.text, taken);
    }
    let last = positions.len() - 1;
    // One bay is its own whole length.
    if last > 1 {
        let text = units.length(positions[last] - positions[0]);
        string(painter, over, (at(0, 2.0 * OUT), at(last, 2.0 * OUT)), &text, taken);
    }
}

/// A line with slanted ticks at its ends and its text in the middle, turned along it.
fn string(
    painter: &Painter,
    over: &Over<'_>,
    ends: (Option<Pos2>, Option<Pos2>),
    text: &str,
    taken: &mut Taken,
) {
    let (Some(a), Some(b)) = ends else { return };
    let palette = over.view.palette;
    let run = b - a;
    if run.length() < 12.0 || !run.length().is_finite() {
        return;
    }
    let font = FontId::proportional(over.view.text.small);
    let galley = painter.layout_no_wrap(text.to_owned(), font, palette.text.egui());
    let size = galley.size();
    if size.x + 6.0 > run.length() {
        return;
    }
    let middle = a + run * 0.5;
    let box_ = Rect::from_center_size(middle, turned_size(size, run));
    if !over.area.contains_rect(box_) || !taken.take(box_) {
        return;
    }
    let ink = Stroke::new(1.0, palette.text_soft.egui());
    let way = run.normalized();
    painter.line_segment([a, b], ink);
    let tick = vec2(way.x - way.y, way.x + way.y).normalized() * 5.0;
    for end in [a, b] {
        painter.line_segment([end - tick, end + tick], Stroke::new(1.5, palette.text.egui()));
    }
    // Read from below or from the right, as on a drawing.
    let mut angle = way.angle();
    if angle > std::f32::consts::FRAC_PI_2 + 0.01 || angle <= -std::f32::consts::FRAC_PI_2 + 0.01 {
        angle += std::f32::consts::PI;
    }
    let turn = egui::emath::Rot2::from_angle(angle);
    let corner = middle - turn * (size * 0.5);
    let plate =
        [vec2(-3.0, 0.0), vec2(size.x + 3.0, 0.0), size + vec2(3.0, 0.0), vec2(-3.0, size.y)]
            .map(|c| corner + turn * c);
    painter.add(Shape::convex_polygon(plate.to_vec(), palette.panel.faint(0.88), Stroke::NONE));
    let shape = egui::epaint::TextShape::new(corner, galley, palette.text.egui()).with_angle(angle);
    painter.add(shape);
}

/// Bounds of a text turned along a run.
fn turned_size(size: Vec2, run: Vec2) -> Vec2 {
    let way = run.normalized();
    let (c, s) = (way.x.abs(), way.y.abs());
    vec2(size.x * c + size.y * s, size.x * s + size.y * c)
}
