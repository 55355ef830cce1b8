//! Names of grid lines in circles, and marks of levels.

use crate::assembly::MemberId;
use crate::review::Review;
use crate::viewer::labels::{Label, Rank, square};
use crate::viewer::overlay::Over;
use crate::viewer::standing::Lines;
use bevy::prelude::Vec3;
use egui::{Align2, FontId, Painter, Pos2, Rect, Stroke, pos2, vec2};
use std::cell::OnceCell;

/// How far a circle may be pushed out along its line to find room, in steps of points.
const STEPS: usize = 6;
const STEP: f32 = 18.0;
/// Below this tilt of the eye, radians, the picture is a front or side view.
const LEVEL: f32 = 0.3;
/// How much of a line runs away from the eye, as a cosine: less, and it is seen across; more, and it
/// is seen end on.
const ACROSS: f32 = 0.35;
const INTO: f32 = 0.9;
/// From the feet down to the circles in a front view, in points.
const BELOW: f32 = 14.0;

/// Grid lines with their names in circles, at the end nearer to the eye where there is room.
pub(super) fn bubbles<'a>(over: &'a Over<'a>, built: &Built, out: &mut Vec<Label<'a>>) {
    let palette = over.view.palette;
    let outline = OnceCell::new();
    let level = over.bodies.bounds.map_or(0.0, |b| b[0].y);
    let eye = over.pose.transform();
    let flat = over.pose.pitch.abs() < LEVEL;
    let (ahead, eye) = (eye.forward().with_y(0.0).normalize_or_zero(), eye.translation);
    for line in &over.facts.lines {
        let ends = line.ends.map(|e| {
            let p = over.bodies.origin.point(e);
            Vec3::new(p.x, level, p.z)
        });
        let Some(way) = (ends[1] - ends[0]).try_normalize() else { continue };
        let into = way.dot(ahead).abs();
        // Seen level from the front, lines that run across lie on one another: theirs is the side view.
        if flat && into < ACROSS {
            continue;
        }
        let outer = [ends[0] - way * 1.3, ends[1] + way * 1.3];
        let near = usize::from(outer[1].distance(eye) < outer[0].distance(eye));
        let radius = 9.0 + 3.0 * line.name.chars().count().clamp(1, 6) as f32;
        let mut spots: Vec<[Pos2; 2]> = Vec::new();
        if flat && into > INTO {
            // In a row below the feet, as on a drawing of the front.
            let foot = (over.project)(ends[near]);
            let below = |foot: Pos2, k: usize| foot + vec2(0.0, BELOW + radius + STEP * k as f32);
            spots.extend(foot.iter().flat_map(|&f| (0..STEPS).map(move |k| [f, below(f, k)])));
        }
        let ends_to_try: &[usize] = if spots.is_empty() { &[near, 1 - near] } else { &[] };
        for &end in ends_to_try {
            let (Some(tip), Some(foot)) = ((over.project)(outer[end]), (over.project)(ends[end]))
            else {
                continue;
            };
            let away = (tip - foot).normalized();
            if !away.is_finite() {
                continue;
            }
            let at = |k: usize| tip + away * (radius + STEP * k as f32);
            // The far end is behind what is built: only where that leaves it clear.
            let clear = |spot: &[Pos2; 2]| {
                end == near || {
                    let plate = Rect::from_center_size(spot[1], vec2(2.0, 2.0) * radius);
                    let built = built.get_or_init(|| lines(over));
                    over.area.contains(spot[0])
                        && !outline
                            .get_or_init(|| corners(over))
                            .as_deref()
                            .is_none_or(|o| among(o, spot[1]))
                        && !built.meet(plate)
                }
            };
            spots.extend((0..STEPS).map(|k| [foot, at(k)]).filter(clear));
        }
        let places = spots.iter().map(|s| square(s[1], 2.0 * radius + 1.0)).collect();
        let draw = move |painter: &Painter, place: usize| {
            let [foot, centre] = spots[place];
            let edge = centre + (foot - centre).normalized() * radius;
            painter.line_segment([foot, edge], Stroke::new(1.0, palette.text_soft.faint(0.75)));
            let rim = Stroke::new(1.3, palette.text_soft.egui());
            painter.circle(centre, radius, palette.panel.faint(0.94), rim);
            let font = FontId::proportional(over.view.text.small);
            painter.text(centre, Align2::CENTER_CENTER, &line.name, font, palette.text.egui());
        };
        out.push(Label { rank: Rank::Line, places, draw: Box::new(draw) });
    }
}

/// The corners of the box about all that is or comes; none where one is behind the eye.
fn corners(over: &Over<'_>) -> Option<Vec<Pos2>> {
    let [a, b] = over.bodies.bounds?;
    let pick = |k: usize, bit: usize| if k >> bit & 1 == 0 { a } else { b };
    (0..8).map(|k| (over.project)(Vec3::new(pick(k, 0).x, pick(k, 1).y, pick(k, 2).z))).collect()
}

/// Whether a point lies within the outline of others: it does unless all of them are on one side.
#[must_use]
pub fn among(points: &[Pos2], at: Pos2) -> bool {
    use std::f32::consts::{PI, TAU};
    let mut angles: Vec<f32> = points.iter().map(|&p| (p - at).angle()).collect();
    angles.sort_by(f32::total_cmp);
    let around = angles.first().map(|first| first + TAU);
    let next = angles.iter().skip(1).copied().chain(around);
    !angles.is_empty() && !angles.iter().zip(next).any(|(a, b)| b - a >= PI)
}

/// Levels with their names.
fn named(over: &Over<'_>, review: &Review) -> Vec<(f64, String)> {
    let scene = &review.assembly.scene;
    let mut marks: Vec<(f64, String)> =
        scene.floors.iter().map(|f| (f.level.si(), f.name.clone())).collect();
    marks.extend(scene.blocks.iter().map(|b| (b.head.si(), format!("{} heads", b.name))));
    marks.extend(scene.slabs.iter().map(|s| (s.soffit.si(), format!("{} soffit", s.name))));
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    let words = |level: f64| {
        if level.abs() < 5e-4 { "±0".to_owned() } else { over.view.state.units.length(level) }
    };
    marks.into_iter().map(|(level, name)| (level, format!("{}  {name}", words(level)))).collect()
}

/// Floor and head levels beside what is built: at its left, or where the picture ends there at its
/// right; never over members.
pub(super) fn levels<'a>(
    painter: &Painter,
    over: &'a Over<'a>,
    review: &'a Review,
    built: &Built,
    out: &mut Vec<Label<'a>>,
) {
    let Some([low, high]) = over.bodies.bounds else { return };
    // From above, levels lie on one another.
    if over.pose.pitch > 1.2 {
        return;
    }
    let palette = over.view.palette;
    let corners = [(low.x, low.z), (low.x, high.z), (high.x, low.z), (high.x, high.z)];
    for (level, text) in named(over, review) {
        let y = level as f32;
        if y < low.y - 5.0 || y > high.y + 5.0 {
            continue;
        }
        let points: Vec<Pos2> =
            corners.iter().filter_map(|&(x, z)| (over.project)(Vec3::new(x, y, z))).collect();
        let by_x = |a: &&Pos2, b: &&Pos2| a.x.total_cmp(&b.x);
        let (Some(&left), Some(&right)) = (points.iter().min_by(by_x), points.iter().max_by(by_x))
        else {
            continue;
        };
        let font = FontId::proportional(over.view.text.small);
        let galley = painter.layout_no_wrap(text, font, palette.text.egui());
        let size = galley.size();
        let wide = size.x + 30.0;
        // The mark's tip, and whether the text lies at its left.
        let inside = over.area.shrink(6.0);
        let edge = |x: f32, at: Pos2| pos2(x, at.y);
        let tips = [
            (left - vec2(14.0, 0.0), true),
            (right + vec2(14.0, 0.0), false),
            (edge(inside.left() + wide, left), true),
            (edge(inside.right() - wide, right), false),
        ];
        let plate = move |(tip, leftwards): (Pos2, bool)| {
            let (from, to) = if leftwards { (tip.x - wide, tip.x) } else { (tip.x, tip.x + wide) };
            Rect::from_min_max(pos2(from, tip.y - size.y - 3.0), pos2(to, tip.y + 2.0))
        };
        let built = built.get_or_init(|| lines(over));
        let clear = |r: &Rect| !built.meet(r.expand(2.0));
        let tips: Vec<_> = tips.into_iter().filter(|t| clear(&plate(*t))).collect();
        let places = tips.iter().map(|t| plate(*t).into()).collect();
        let draw = move |painter: &Painter, place: usize| {
            let (tip, leftwards) = tips[place];
            let rect = plate(tips[place]);
            let line = Stroke::new(1.0, palette.text_soft.egui());
            painter.line_segment([pos2(rect.left(), tip.y), pos2(rect.right(), tip.y)], line);
            let mark = tip + vec2(if leftwards { -9.0 } else { 9.0 }, 0.0);
            painter.add(egui::Shape::convex_polygon(
                vec![mark, mark + vec2(-5.0, -8.0), mark + vec2(5.0, -8.0)],
                palette.panel.egui(),
                line,
            ));
            let from = if leftwards { rect.left() + 2.0 } else { rect.right() - size.x - 2.0 };
            let corner = pos2(from, tip.y - size.y - 1.0);
            painter.galley(corner, galley.clone(), palette.text.egui());
        };
        out.push(Label { rank: Rank::Level, places, draw: Box::new(draw) });
    }
}

/// What stands, as lines on the screen, once somebody asks.
pub(super) type Built = OnceCell<Lines>;

fn lines(over: &Over<'_>) -> Lines {
    let line = |id: &MemberId| {
        let [a, b] = over.bodies.members.get(id.index())?.ends;
        Some([(over.project)(a)?, (over.project)(b)?])
    };
    // A plate may reach a little over the edge.
    Lines::within(over.area.expand(STEP), over.facts.standing.iter().filter_map(line).collect())
}
