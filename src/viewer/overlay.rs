//! What is written over the scene: grid-line bubbles, level marks, north, signs at what findings
//! are about, hands at what is held, and the name under the pointer.

use crate::assembly::MemberId;
use crate::assembly::model::GridLine;
use crate::review::Review;
use crate::viewer::dimensions;
use crate::viewer::members::Bodies;
use crate::viewer::panels::{View, signs};
use crate::viewer::pose::Pose;
use crate::viewer::stage_paint::grades;
use crate::viewer::theme::Grade;
use crate::viewer::vocab::Item;
use bevy::prelude::Vec3;
use egui::{Align2, FontId, Painter, Pos2, Rect, Stroke, Vec2, pos2, vec2};
use std::collections::BTreeMap;

/// Where a world point is on the screen, if it is in front of the eye.
pub type Project<'a> = dyn Fn(Vec3) -> Option<Pos2> + 'a;

/// Everything the overlay reads.
pub struct Over<'a> {
    pub view: View<'a>,
    pub bodies: &'a Bodies,
    pub pose: Pose,
    pub area: Rect,
    pub project: &'a Project<'a>,
}

/// Rectangles already taken, so that nothing lies over anything.
#[derive(Default)]
pub(super) struct Taken(Vec<Rect>);

impl Taken {
    pub(super) fn take(&mut self, rect: Rect) -> bool {
        let free = !self.0.iter().any(|r| r.intersects(rect));
        if free {
            self.0.push(rect);
        }
        free
    }
}

/// Draws it all. The order is the order of importance: what comes first keeps its place.
pub fn draw(painter: &Painter, over: &Over<'_>) {
    let Some(review) = &over.view.state.review else { return };
    if over.bodies.revision != over.view.state.revision {
        return;
    }
    let mut taken = Taken::default();
    let corner = Rect::from_min_size(over.area.right_top() + vec2(-76.0, 8.0), Vec2::splat(68.0));
    taken.0.push(corner);
    if !over.view.state.guide.conceals() {
        hazards(painter, over, review, &mut taken);
    }
    held(painter, over, review, &mut taken);
    bubbles(painter, over, review, &mut taken);
    levels(painter, over, review, &mut taken);
    dimensions::draw(painter, over, review, &mut taken);
    measure(painter, over);
    hidden(painter, over, review);
    north(painter, over, corner.center());
    name_tag(painter, over, review);
}

/// A sign above everything a finding is about, worst first; where signs would cover one another,
/// the worst stays.
fn hazards(painter: &Painter, over: &Over<'_>, review: &Review, taken: &mut Taken) {
    let state = over.view.state;
    let palette = over.view.palette;
    let grades = grades(review, state.stage);
    let mut marked: Vec<(Grade, MemberId)> =
        (0..grades.len()).filter_map(|i| Some((grades[i]?, MemberId(i as u32)))).collect();
    marked.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    let subjects = state.finding().map(|(_, f)| &f.subjects);
    for (grade, id) in marked {
        let chosen = subjects.is_some_and(|s| s.iter().any(|n| n == review.assembly.name(id)));
        if subjects.is_some() && !chosen && grade < Grade::Stop {
            continue;
        }
        let Some(at) = sign_place(over, review, id) else { continue };
        let size = if chosen { 24.0 } else { 19.0 };
        let place = at - vec2(0.0, 26.0);
        let rect = Rect::from_center_size(place, Vec2::splat(size + 2.0));
        if !over.area.contains_rect(rect) || !taken.take(rect) {
            continue;
        }
        let ink = palette.grade(grade).egui();
        painter.line_segment([at, place], Stroke::new(1.5, ink));
        painter.circle_filled(at, 2.5, ink);
        signs::grade(painter, place, size, grade, palette);
    }
}

/// A post's head, the middle of anything else.
fn sign_place(over: &Over<'_>, review: &Review, id: MemberId) -> Option<Pos2> {
    let body = over.bodies.members.get(id.index())?;
    let point = if review.assembly.member(id).is_post() {
        body.ends[1] + Vec3::Y * 0.12
    } else {
        (body.ends[0] + body.ends[1]) * 0.5
    };
    (over.project)(point)
}

fn held(painter: &Painter, over: &Over<'_>, review: &Review, taken: &mut Taken) {
    let Some(stage) = review.sequence.stages.get(over.view.state.stage) else { return };
    for (i, state) in stage.members.iter().enumerate() {
        let crate::sequence::MemberState::Held(hands) = state else { continue };
        let Some(body) = over.bodies.members.get(i) else { continue };
        let at = body.ends[0].lerp(body.ends[1], 0.45);
        let Some(at) = (over.project)(at) else { continue };
        let place = at + vec2(16.0, 0.0);
        if !over.area.contains(place)
            || !taken.take(Rect::from_center_size(place, Vec2::splat(22.0)))
        {
            continue;
        }
        painter.line_segment([at, place], Stroke::new(1.5, over.view.palette.held.egui()));
        signs::hand(painter, place, 20.0, over.view.palette);
        if *hands > 1 {
            label(
                painter,
                over,
                place + vec2(13.0, 0.0),
                Align2::LEFT_CENTER,
                &format!("×{hands}"),
            );
        }
    }
}

/// Grid lines with their names in circles at the end nearer to the eye.
fn bubbles(painter: &Painter, over: &Over<'_>, review: &Review, taken: &mut Taken) {
    let palette = over.view.palette;
    let ink = Stroke::new(1.0, palette.text_soft.faint(0.75));
    let level = over.bodies.bounds.map_or(0.0, |b| b[0].y);
    // Blocks often share lines: the longest of each name is drawn.
    let mut longest: BTreeMap<&str, &GridLine> = BTreeMap::new();
    for line in &review.assembly.grid_lines {
        let there = longest.entry(&line.name).or_insert(line);
        if length(line) > length(there) {
            *there = line;
        }
    }
    for line in longest.into_values() {
        let ends = line.ends.map(|e| {
            let p = over.bodies.origin.point(e);
            Vec3::new(p.x, level, p.z)
        });
        let Some(way) = (ends[1] - ends[0]).try_normalize() else { continue };
        let out = [ends[0] - way * 1.3, ends[1] + way * 1.3];
        let eye = over.pose.transform().translation;
        let near = usize::from(out[1].distance(eye) < out[0].distance(eye));
        let (Some(tip), Some(foot)) = ((over.project)(out[near]), (over.project)(ends[near]))
        else {
            continue;
        };
        let away = (tip - foot).normalized();
        let radius = 9.0 + 3.0 * line.name.chars().count().clamp(1, 6) as f32;
        let centre = tip + away * radius;
        let rect = Rect::from_center_size(centre, Vec2::splat(2.0 * radius + 1.0));
        if !away.is_finite() || !over.area.contains_rect(rect) || !taken.take(rect) {
            continue;
        }
        painter.line_segment([foot, tip], ink);
        painter.circle(
            centre,
            radius,
            palette.panel.faint(0.9),
            Stroke::new(1.3, palette.text_soft.egui()),
        );
        let font = FontId::proportional(over.view.text.small);
        painter.text(centre, Align2::CENTER_CENTER, &line.name, font, palette.text.egui());
    }
}

fn length(line: &GridLine) -> f64 {
    (line.ends[1] - line.ends[0]).norm()
}

/// Floor and head levels at the left edge of what is built.
fn levels(painter: &Painter, over: &Over<'_>, review: &Review, taken: &mut Taken) {
    let Some([low, high]) = over.bodies.bounds else { return };
    let palette = over.view.palette;
    let mut marks: Vec<(f64, String)> =
        review.assembly.scene.floors.iter().map(|f| (f.level.si(), f.name.clone())).collect();
    marks.extend(
        review.assembly.scene.blocks.iter().map(|b| (b.head.si(), format!("{} heads", b.name))),
    );
    marks.extend(
        review.assembly.scene.slabs.iter().map(|s| (s.soffit.si(), format!("{} soffit", s.name))),
    );
    marks.sort_by(|a, b| a.0.total_cmp(&b.0));
    // From above, levels lie on one another.
    if over.pose.pitch > 1.2 {
        return;
    }
    // The corner of the bounds that is farthest left on the screen.
    let corners = [(low.x, low.z), (low.x, high.z), (high.x, low.z), (high.x, high.z)];
    for (level, name) in marks {
        let y = level as f32;
        if y < low.y - 5.0 || y > high.y + 5.0 {
            continue;
        }
        let points = corners.iter().filter_map(|&(x, z)| (over.project)(Vec3::new(x, y, z)));
        let Some(left) = points.min_by(|a, b| a.x.total_cmp(&b.x)) else { continue };
        let height =
            if level.abs() < 5e-4 { "±0".to_owned() } else { over.view.state.units.length(level) };
        let text = format!("{height}  {name}");
        let font = FontId::proportional(over.view.text.small);
        let galley = painter.layout_no_wrap(text, font, palette.text.egui());
        // Never cut off at the edge of the picture.
        let left = left.max(pos2(over.area.left() + galley.size().x + 48.0, 0.0));
        let end = left - vec2(34.0, 0.0);
        let rect = Rect::from_min_size(
            end - vec2(galley.size().x + 4.0, galley.size().y + 1.0),
            galley.size() + vec2(6.0, 2.0),
        );
        let whole = rect.union(Rect::from_min_max(rect.min, left - vec2(8.0, 0.0)));
        if !over.area.contains_rect(whole) || !taken.take(whole) {
            continue;
        }
        let line = Stroke::new(1.0, palette.text_soft.egui());
        painter.line_segment([pos2(rect.left(), end.y), pos2(left.x - 10.0, end.y)], line);
        let tip = pos2(left.x - 22.0, end.y);
        painter.add(egui::Shape::convex_polygon(
            vec![tip, tip + vec2(-5.0, -8.0), tip + vec2(5.0, -8.0)],
            palette.panel.egui(),
            line,
        ));
        painter.galley(rect.min + vec2(2.0, 0.0), galley, palette.text.egui());
    }
}

/// The direction of +y, in a small disc.
fn north(painter: &Painter, over: &Over<'_>, centre: Pos2) {
    let palette = over.view.palette;
    let tilt = tilt(&over.pose);
    let way = y_on_screen(&over.pose);
    let r = 21.0;
    let disc: Vec<Pos2> = (0..40)
        .map(|k| {
            let (sin, cos) = (std::f32::consts::TAU * k as f32 / 40.0).sin_cos();
            centre + vec2(cos, sin * tilt) * r
        })
        .collect();
    let ink = Stroke::new(1.2, palette.text_soft.egui());
    painter.add(egui::Shape::closed_line(disc, ink));
    let tip = centre + way * r * 1.15;
    let side = vec2(-way.y, way.x).normalized() * 4.5;
    let tail = centre - way * r * 0.75;
    painter.add(egui::Shape::convex_polygon(
        vec![tip, tail + side, centre - way * r * 0.4],
        palette.text.egui(),
        Stroke::NONE,
    ));
    painter.add(egui::Shape::convex_polygon(
        vec![tip, centre - way * r * 0.4, tail - side],
        palette.panel.egui(),
        Stroke::new(1.0, palette.text.egui()),
    ));
    let at = centre + way * (r * 1.15 + 9.0 / way.length().max(0.4));
    painter.text(
        at,
        Align2::CENTER_CENTER,
        "N",
        FontId::proportional(over.view.text.small),
        palette.text.egui(),
    );
}

/// Seen from the side a level circle has hardly any height: keep it readable.
fn tilt(pose: &Pose) -> f32 {
    pose.pitch.sin().abs().max(0.45)
}

/// Which way the model's +y goes on the screen, its height not below what can be read.
#[must_use]
pub fn y_on_screen(pose: &Pose) -> Vec2 {
    let (sin, cos) = pose.yaw.sin_cos();
    vec2(sin, -cos * tilt(pose))
}

/// The name of the hovered member beside it.
fn name_tag(painter: &Painter, over: &Over<'_>, review: &Review) {
    let state = over.view.state;
    let Some(Item::Member(id)) = state.selection.hovered else { return };
    let Some(member) = review.assembly.members.get(id.index()) else { return };
    let Some(body) = over.bodies.members.get(id.index()) else { return };
    let Some(at) = (over.project)((body.ends[0] + body.ends[1]) * 0.5) else { return };
    let text = format!("{}  {}", member.name, state.units.length(member.length()));
    label(painter, over, at + vec2(14.0, -14.0), Align2::LEFT_BOTTOM, &text);
}

/// The measured line with its length, and how far it runs in plan and rises.
fn measure(painter: &Painter, over: &Over<'_>) {
    let state = over.view.state;
    let Some(points) = &state.measure else { return };
    let ink = Stroke::new(2.0, over.view.palette.accent.egui());
    let at = |p: &crate::assembly::model::Point| (over.project)(over.bodies.origin.point(*p));
    for point in points.iter().filter_map(at) {
        painter.circle_stroke(point, 5.0, ink);
        painter.circle_filled(point, 1.5, ink.color);
    }
    if let [a, b] = points.as_slice() {
        let (Some(from), Some(to)) = (at(a), at(b)) else { return };
        painter.line_segment([from, to], ink);
        let run = b - a;
        let (plan, rise) = (run.x.hypot(run.y), run.z.abs());
        let length = |m: f64| state.units.length(m);
        let text =
            format!("{}   in plan {}   level {}", length(run.norm()), length(plan), length(rise));
        label(painter, over, from + (to - from) * 0.5, Align2::CENTER_BOTTOM, &text);
    } else {
        let text =
            if points.is_empty() { "Measure: the first end" } else { "Measure: the other end" };
        let at = over.area.center_top() + vec2(0.0, 8.0);
        label(painter, over, at, Align2::CENTER_TOP, text);
    }
}

/// What is not shown is said, above all where something was found about it.
fn hidden(painter: &Painter, over: &Over<'_>, review: &Review) {
    let state = over.view.state;
    if state.shown.is_all() {
        return;
    }
    let Some(stage) = review.sequence.stages.get(state.stage) else { return };
    let grades = grades(review, state.stage);
    let out = |i: &usize| {
        let member = &review.assembly.members[*i];
        stage.members[*i].is_there() && state.shown.of(member) == crate::viewer::shown::Drawn::Not
    };
    let hidden: Vec<usize> = (0..review.assembly.members.len()).filter(out).collect();
    let found = hidden.iter().filter(|&&i| grades[i].is_some()).count();
    if hidden.is_empty() {
        return;
    }
    let about = if found > 0 { format!(", {found} of them with findings") } else { String::new() };
    let text = format!("{} members are not shown{about}", hidden.len());
    label(painter, over, over.area.left_top() + vec2(10.0, 8.0), Align2::LEFT_TOP, &text);
}

fn label(painter: &Painter, over: &Over<'_>, at: Pos2, align: Align2, text: &str) {
    let palette = over.view.palette;
    let font = FontId::proportional(over.view.text.small);
    let galley = painter.layout_no_wrap(text.to_owned(), font, palette.text.egui());
    let rect = align.anchor_size(at, galley.size() + vec2(12.0, 6.0));
    let inside = over.area.shrink(4.0);
    let shift = vec2(
        (inside.right() - rect.right()).min(0.0) + (inside.left() - rect.left()).max(0.0),
        (inside.top() - rect.top()).max(0.0) + (inside.bottom() - rect.bottom()).min(0.0),
    );
    let rect = rect.translate(shift);
    painter.rect(
        rect,
        4.0,
        palette.panel.faint(0.94),
        Stroke::new(1.0, palette.line.egui()),
        egui::StrokeKind::Outside,
    );
    painter.galley(rect.min + vec2(6.0, 3.0), galley, palette.text.egui());
}
