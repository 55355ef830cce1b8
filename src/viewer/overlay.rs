//! What is written over the scene: grid-line bubbles, level marks, north, signs at what findings
//! are about, hands at what is held, and the name under the pointer.

use crate::assembly::MemberId;
use crate::review::Review;
use crate::viewer::facts::Facts;
use crate::viewer::labels::{self, Label, Quad, Rank, square};
use crate::viewer::members::Bodies;
use crate::viewer::panels::{View, signs};
use crate::viewer::pose::Pose;
use crate::viewer::stage_paint::grades;
use crate::viewer::theme::Grade;
use crate::viewer::vocab::Item;
use crate::viewer::{dimensions, site_marks, strip_marks};
use bevy::prelude::Vec3;
use egui::{Align2, FontId, Painter, Pos2, Rect, Stroke, Vec2, vec2};

/// Where a world point is on the screen, if it is in front of the eye.
pub type Project<'a> = dyn Fn(Vec3) -> Option<Pos2> + 'a;

/// Everything the overlay reads.
pub struct Over<'a> {
    pub view: View<'a>,
    /// Of the stage on screen.
    pub facts: &'a Facts,
    pub bodies: &'a Bodies,
    pub pose: Pose,
    pub area: Rect,
    pub project: &'a Project<'a>,
    /// Nothing of the job is in sight, though there is something to be drawn.
    pub empty: bool,
}

/// Said instead of an empty scene.
const OUT_OF_SIGHT: &str = "Nothing of the job is in sight. F shows all of it.";

/// Draws it all. What stands fast comes first; every other label chooses its place among what is
/// left, the more important ones before the others.
pub fn draw(painter: &Painter, over: &Over<'_>) {
    placed(painter, over);
}

/// As [`draw`]; gives back what was drawn where, for tests.
pub fn placed(painter: &Painter, over: &Over<'_>) -> Vec<(Rank, Quad)> {
    let Some(review) = &over.view.state.review else { return Vec::new() };
    if over.bodies.revision != over.view.state.revision {
        return Vec::new();
    }
    let stage = review.sequence.stages.get(over.view.state.stage);
    let corner = Rect::from_min_size(over.area.right_top() + vec2(-76.0, 8.0), Vec2::splat(68.0));
    let mut fast: Vec<Rect> = vec![corner];
    fast.extend(measure(painter, over));
    fast.extend(hidden(painter, over, review));
    if over.empty {
        let at = over.area.center();
        fast.push(label(painter, over, at, Align2::CENTER_CENTER, OUT_OF_SIGHT));
    }
    fast.extend(stage.and_then(|_| strip_marks::key(painter, over)));
    north(painter, over, corner.center());
    let mut labels = Vec::new();
    if !over.view.state.guide.conceals() {
        hazards(over, review, &mut labels);
    }
    if stage.is_some() {
        held(painter, over, &mut labels);
        strip_marks::labels(over, review, &mut labels);
    }
    let built = site_marks::Built::new();
    site_marks::levels(painter, over, review, &built, &mut labels);
    dimensions::labels(painter, over, &mut labels);
    site_marks::bubbles(over, &built, &mut labels);
    let fast: Vec<Quad> = fast.into_iter().map(Quad::from).collect();
    let places = labels::settle(over.area, &fast, &labels);
    let mut out = Vec::new();
    // What chose last is drawn first, so that a leader never crosses a sign.
    let mut order: Vec<usize> = (0..labels.len()).collect();
    order.sort_by_key(|&i| std::cmp::Reverse(labels[i].rank));
    for i in order {
        if let Some(place) = places[i] {
            (labels[i].draw)(painter, place);
            out.push((labels[i].rank, labels[i].places[place]));
        }
    }
    name_tag(painter, over, review);
    out
}

/// A sign above everything a finding is about, worst first.
fn hazards<'a>(over: &'a Over<'a>, review: &Review, out: &mut Vec<Label<'a>>) {
    let state = over.view.state;
    let palette = over.view.palette;
    let subjects = state.finding().map(|(_, f)| &f.subjects);
    for &(grade, id) in &over.facts.graded {
        let chosen = subjects.is_some_and(|s| s.iter().any(|n| n == review.assembly.name(id)));
        if subjects.is_some() && !chosen && grade < Grade::Stop {
            continue;
        }
        let Some(at) = sign_place(over, review, id) else { continue };
        let size = if chosen { 24.0 } else { 19.0 };
        let spots = [vec2(0.0, -26.0), vec2(18.0, -26.0), vec2(-18.0, -26.0)].map(|by| at + by);
        let draw = move |painter: &Painter, place: usize| {
            let ink = palette.grade(grade).egui();
            painter.line_segment([at, spots[place]], Stroke::new(1.5, ink));
            painter.circle_filled(at, 2.5, ink);
            signs::grade(painter, spots[place], size, grade, palette);
        };
        let places = spots.iter().map(|&s| square(s, size + 2.0)).collect();
        out.push(Label { rank: Rank::Sign, places, draw: Box::new(draw) });
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

/// A hand beside everything that is held, with their number where there are more than one.
fn held<'a>(painter: &Painter, over: &'a Over<'a>, out: &mut Vec<Label<'a>>) {
    let palette = over.view.palette;
    for (id, hands) in &over.facts.held {
        let Some(body) = over.bodies.members.get(id.index()) else { continue };
        let Some(at) = (over.project)(body.ends[0].lerp(body.ends[1], 0.45)) else { continue };
        let count = (*hands > 1).then(|| {
            let font = FontId::proportional(over.view.text.small);
            painter.layout_no_wrap(format!("×{hands}"), font, palette.text.egui())
        });
        let wide = count.as_ref().map_or(0.0, |g| g.size().x + 4.0);
        let spots = [vec2(16.0, 0.0), vec2(-16.0 - wide, 0.0), vec2(16.0, 24.0), vec2(16.0, -24.0)]
            .map(|by| at + by);
        let plate =
            |s: &Pos2| Rect::from_min_size(*s - Vec2::splat(11.0), vec2(22.0 + wide, 22.0)).into();
        let places = spots.iter().map(plate).collect();
        let draw = move |painter: &Painter, place: usize| {
            let spot = spots[place];
            painter.line_segment([at, spot], Stroke::new(1.5, palette.held.egui()));
            if let Some(count) = &count {
                let size = count.size();
                let plate = Rect::from_min_size(spot - vec2(0.0, 9.0), vec2(15.0 + size.x, 18.0));
                painter.rect_filled(plate, 4.0, palette.panel.faint(0.94));
                let corner = spot + vec2(12.0, -size.y / 2.0);
                painter.galley(corner, count.clone(), palette.text.egui());
            }
            signs::hand(painter, spot, 20.0, palette);
        };
        out.push(Label { rank: Rank::Held, places, draw: Box::new(draw) });
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
    // Clear of the disc, however flat it is seen.
    let at = centre + way * (r * 1.15) + way.normalized() * 9.0;
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
fn measure(painter: &Painter, over: &Over<'_>) -> Option<Rect> {
    let state = over.view.state;
    let points = state.measure.as_ref()?;
    let ink = Stroke::new(2.0, over.view.palette.accent.egui());
    let at = |p: &crate::assembly::model::Point| (over.project)(over.bodies.origin.point(*p));
    for point in points.iter().filter_map(at) {
        painter.circle_stroke(point, 5.0, ink);
        painter.circle_filled(point, 1.5, ink.color);
    }
    if let [a, b] = points.as_slice() {
        let (Some(from), Some(to)) = (at(a), at(b)) else { return None };
        painter.line_segment([from, to], ink);
        let run = b - a;
        let (plan, rise) = (run.x.hypot(run.y), run.z.abs());
        let length = |m: f64| state.units.length(m);
        let text =
            format!("{}   in plan {}   level {}", length(run.norm()), length(plan), length(rise));
        Some(label(painter, over, from + (to - from) * 0.5, Align2::CENTER_BOTTOM, &text))
    } else {
        let text =
            if points.is_empty() { "Measure: the first end" } else { "Measure: the other end" };
        let at = over.area.center_top() + vec2(0.0, 8.0);
        Some(label(painter, over, at, Align2::CENTER_TOP, text))
    }
}

/// What is not shown is said, above all where something was found about it.
fn hidden(painter: &Painter, over: &Over<'_>, review: &Review) -> Option<Rect> {
    let state = over.view.state;
    if state.shown.is_all() {
        return None;
    }
    let stage = review.sequence.stages.get(state.stage)?;
    let grades = grades(review, state.stage);
    let out = |i: &usize| {
        let member = &review.assembly.members[*i];
        stage.members[*i].is_there() && state.shown.of(member) == crate::viewer::shown::Drawn::Not
    };
    let hidden: Vec<usize> = (0..review.assembly.members.len()).filter(out).collect();
    let found = hidden.iter().filter(|&&i| grades[i].is_some()).count();
    if hidden.is_empty() {
        return None;
    }
    let about = if found > 0 { format!(", {found} of them with findings") } else { String::new() };
    let text = format!("{} members are not shown{about}", hidden.len());
    Some(label(painter, over, over.area.left_top() + vec2(10.0, 8.0), Align2::LEFT_TOP, &text))
}

fn label(painter: &Painter, over: &Over<'_>, at: Pos2, align: Align2, text: &str) -> Rect {
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
    rect
}
