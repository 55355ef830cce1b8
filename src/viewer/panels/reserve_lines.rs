//! The reserves over all stages as lines in the strip: each kind has a dash of its own and its name
//! at its end, so that colour never stands alone. A bound is drawn as one: a proof as an open mark
//! with a stroke upwards, what is unknown as a question mark, never as a height.

use super::View;
use crate::review::{Known, Review};
use crate::viewer::theme::Ink;
use egui::{Align2, FontId, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

/// Names on the switches and at the lines' ends, in the order of the kinds of reserve.
pub const NAMES: [&str; 4] = ["critical", "push", "post", "tipping"];

/// A reserve this high is at the top.
pub const FULL: f64 = 3.0;

/// Where a reserve lies; the limit is at a third.
#[must_use]
pub fn height(plot: Rect, reserve: f64) -> f32 {
    let share = (reserve / FULL).clamp(0.0, 1.0) as f32;
    plot.bottom() - share * plot.height()
}

/// One kind's line: dash and gap in points (no gap: solid), and its colour.
#[must_use]
pub fn look(view: &View<'_>, kind: usize) -> (f32, f32, Ink) {
    let p = view.palette;
    match kind {
        0 => (0.0, 0.0, p.accent),
        1 => (7.0, 3.0, p.brace),
        2 => (2.0, 3.0, p.text),
        _ => (11.0, 4.0, p.step),
    }
}

/// A run of stages with a number each, as points.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    pub points: Vec<Pos2>,
}

/// Lines through the stages that have a number, and the marks of those that have a bound or none.
pub struct Trace {
    pub runs: Vec<Run>,
    pub bounds: Vec<Pos2>,
    /// Proven to be below the point.
    pub below: Vec<Pos2>,
    pub unknown: Vec<f32>,
}

/// The trace of a kind, given where each stage's middle lies.
#[must_use]
pub fn trace(review: &Review, kind: usize, plot: Rect, middle: impl Fn(usize) -> f32) -> Trace {
    let mut out =
        Trace { runs: Vec::new(), bounds: Vec::new(), below: Vec::new(), unknown: Vec::new() };
    let mut run: Vec<Pos2> = Vec::new();
    for (stage, summary) in review.summaries.iter().enumerate() {
        let (_, of) = summary.reserves.kinds()[kind];
        let x = middle(stage);
        match &of.known {
            Known::Exactly(value) if value.is_finite() => {
                run.push(pos2(x, height(plot, *value)));
                continue;
            }
            Known::AtLeast(value) => out.bounds.push(pos2(x, height(plot, *value))),
            Known::Below(value) => out.below.push(pos2(x, height(plot, *value))),
            Known::Unknown(_) => out.unknown.push(x),
            // Infinite, nothing turns it; not a number cannot be drawn.
            Known::Exactly(value) if value.is_nan() => out.unknown.push(x),
            Known::Exactly(_) | Known::Nothing => {}
        }
        if !run.is_empty() {
            out.runs.push(Run { points: std::mem::take(&mut run) });
        }
    }
    if !run.is_empty() {
        out.runs.push(Run { points: run });
    }
    out
}

/// Draws the kinds that are switched on.
pub fn draw(
    painter: &Painter,
    view: &View<'_>,
    review: &Review,
    plot: Rect,
    each: f32,
    middle: impl Fn(usize) -> f32,
) {
    let painter = painter.with_clip_rect(plot.expand(2.0).intersect(painter.clip_rect()));
    for kind in (0..NAMES.len()).filter(|&k| !view.state.reserves_off[k]) {
        let (dash, gap, ink) = look(view, kind);
        let stroke = Stroke::new(1.6, ink.egui());
        let trace = trace(review, kind, plot, &middle);
        for run in &trace.runs {
            match run.points.as_slice() {
                [one] => {
                    painter.circle_filled(*one, 2.0, ink.egui());
                }
                points if gap > 0.0 => {
                    painter.extend(Shape::dashed_line(points, stroke, dash, gap));
                }
                points => {
                    painter.add(Shape::line(points.to_vec(), stroke));
                }
            }
        }
        // Marks stand as close as can be told apart.
        let mut free = f32::NEG_INFINITY;
        let apart = each.max(9.0);
        for at in &trace.bounds {
            if at.x - free >= apart {
                free = at.x;
                painter.circle_stroke(*at, 2.2, Stroke::new(1.2, ink.egui()));
                let up = [*at + vec2(0.0, -2.5), *at + vec2(0.0, -8.0)];
                painter.line_segment(up, Stroke::new(1.2, ink.egui()));
            }
        }
        for at in &trace.below {
            let down = [*at, *at + vec2(0.0, 7.0)];
            painter.line_segment(down, Stroke::new(2.0, ink.egui()));
        }
        let mut free = f32::NEG_INFINITY;
        for &x in &trace.unknown {
            if x - free >= apart {
                free = x;
                let at = pos2(x, plot.top() + 2.0 + 9.0 * kind as f32);
                let font = FontId::proportional(11.0);
                painter.text(at, Align2::CENTER_TOP, "?", font, view.palette.unknown.egui());
            }
        }
    }
}

/// A reserve in words, for a hint.
#[must_use]
pub fn words(view: &View<'_>, known: &Known) -> String {
    let ratio = |value: &f64| {
        if value.is_infinite() { "no demand".to_owned() } else { view.state.units.ratio(*value) }
    };
    match known {
        Known::Nothing => "nothing to judge".to_owned(),
        Known::Exactly(value) => ratio(value),
        Known::AtLeast(value) => format!("at least {}", ratio(value)),
        Known::Below(value) => format!("below {}", ratio(value)),
        Known::Unknown(why) => format!("unknown: {why}"),
    }
}
