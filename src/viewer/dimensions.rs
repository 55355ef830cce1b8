//! Dimension strings along a block's two near edges: bay by bay where there is room, runs of equal
//! bays together where there is not, and the whole length outside them.

use crate::units::UnitSystem;
use crate::viewer::facts::Family;
use crate::viewer::labels::{Label, Quad, Rank};
use crate::viewer::overlay::Over;
use crate::viewer::site_marks::among;
use bevy::prelude::Vec3;
use egui::{FontId, Painter, Pos2, Shape, Stroke, vec2};

/// How far outside the outer line the strings lie, metres; the whole length lies once more.
const OUT: f32 = 0.55;
/// How far within the edges of what is built a string lies amid it, metres: farther than edges run out.
const WITHIN: f32 = 1.8;
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

/// The strings of the blocks.
pub(super) fn labels<'a>(painter: &Painter, over: &'a Over<'a>, out: &mut Vec<Label<'a>>) {
    // Seen flat from the side they would lie on one another.
    if over.pose.pitch.abs() < 0.12 {
        return;
    }
    for family in &over.facts.families {
        edge(painter, over, family, out);
    }
}

/// The corners of the floor that is built over, well within its edges.
fn inner(over: &Over<'_>) -> Option<[Pos2; 4]> {
    let [a, b] = over.bodies.bounds?;
    let (low, high) = (a.min(b), a.max(b));
    let at = |x: f32, z: f32| (over.project)(Vec3::new(x, low.y, z));
    let (left, right) = (low.x + WITHIN, high.x - WITHIN);
    let (back, front) = (low.z + WITHIN, high.z - WITHIN);
    if left >= right || back >= front {
        return None;
    }
    Some([at(left, back)?, at(right, back)?, at(right, front)?, at(left, front)?])
}

/// The string along the near ends of one family of lines.
fn edge<'a>(painter: &Painter, over: &'a Over<'a>, family: &Family, out: &mut Vec<Label<'a>>) {
    let (lines, positions) = (&family.lines, family.positions.as_slice());
    let level = over.bodies.bounds.map_or(0.0, |b| b[0].y);
    let flat = |p: crate::assembly::model::Point| {
        let p = over.bodies.origin.point(p);
        Vec3::new(p.x, level, p.z)
    };
    let eye = over.pose.transform().translation;
    let far = |end: usize| lines.iter().map(|l| flat(l.ends[end]).distance(eye)).sum::<f32>();
    let near = usize::from(far(1) < far(0));
    let Some(first) = lines.first() else { return };
    let Some(away) = (flat(first.ends[near]) - flat(first.ends[1 - near])).try_normalize() else {
        return;
    };
    let at = |i: usize, off: f32| (over.project)(flat(lines[i].ends[near]) + away * off);
    // The string of a block amid others would lie over what is built there.
    let last = positions.len() - 1;
    if let (Some(from), Some(to), Some(floor)) = (at(0, OUT), at(last, OUT), inner(over))
        && among(&floor, from + (to - from) * 0.5)
    {
        return;
    }
    let font = FontId::proportional(over.view.text.small);
    let room = |from: usize, to: usize, text: &str| {
        let (Some(a), Some(b)) = (at(from, OUT), at(to, OUT)) else { return false };
        let width = text.chars().count() as f32 * font.size * 0.56 + 8.0;
        a.distance(b) > width
    };
    let units = over.view.state.units;
    let bays = spans(positions, units, &room);
    // One bay is its own whole length.
    if last > 1 {
        let text = units.length(positions[last] - positions[0]);
        let ends = (at(0, 2.0 * OUT), at(last, 2.0 * OUT));
        out.extend(string(painter, over, ends, &text, Rank::Whole));
    }
    for span in &bays {
        let ends = (at(span.from, OUT), at(span.to, OUT));
        out.extend(string(painter, over, ends, &span.text, Rank::Bay));
    }
}

/// A line with slanted ticks at its ends and its text in the middle, or as near to it as there is
/// room, turned along it.
fn string<'a>(
    painter: &Painter,
    over: &'a Over<'a>,
    ends: (Option<Pos2>, Option<Pos2>),
    text: &str,
    rank: Rank,
) -> Option<Label<'a>> {
    let (Some(a), Some(b)) = ends else { return None };
    let palette = over.view.palette;
    let run = b - a;
    if run.length() < 12.0 || !run.length().is_finite() {
        return None;
    }
    let font = FontId::proportional(over.view.text.small);
    let galley = painter.layout_no_wrap(text.to_owned(), font, palette.text.egui());
    let size = galley.size();
    if size.x + 6.0 > run.length() {
        return None;
    }
    let way = run.normalized();
    // Read from below or from the right, as on a drawing.
    let mut angle = way.angle();
    if angle > std::f32::consts::FRAC_PI_2 + 0.01 || angle <= -std::f32::consts::FRAC_PI_2 + 0.01 {
        angle += std::f32::consts::PI;
    }
    let plate = size + vec2(6.0, 0.0);
    let apart = plate + vec2(4.0, 6.0);
    let free = (run.length() - plate.x) / 2.0;
    let middles: Vec<Pos2> =
        [0.0, 0.35, -0.35, 0.7, -0.7].map(|k| a + run * 0.5 + way * (free * k)).to_vec();
    let places = middles.iter().map(|&m| Quad::turned(m, apart, angle)).collect();
    let draw = move |painter: &Painter, place: usize| {
        let ink = Stroke::new(1.0, palette.text_soft.egui());
        painter.line_segment([a, b], ink);
        let tick = vec2(way.x - way.y, way.x + way.y).normalized() * 5.0;
        for end in [a, b] {
            painter.line_segment([end - tick, end + tick], Stroke::new(1.5, palette.text.egui()));
        }
        let quad = Quad::turned(middles[place], plate, angle);
        let fill = palette.panel.faint(0.88);
        painter.add(Shape::convex_polygon(quad.0.to_vec(), fill, Stroke::NONE));
        let corner = middles[place] - egui::emath::Rot2::from_angle(angle) * (size * 0.5);
        let ink = palette.text.egui();
        let shape = egui::epaint::TextShape::new(corner, galley.clone(), ink).with_angle(angle);
        painter.add(shape);
    };
    Some(Label { rank, places, draw: Box::new(draw) })
}
