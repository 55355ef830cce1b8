//! The reserves over all stages, a lane for each kind. Where more stages than can be told apart lie
//! side by side they share a bin, which shows the worst of them: nothing is left out.
//!
//! A number is a filled column; a proof is filled up to the bound and open above it; what is short
//! of the limit is hatched from the number up to the limit; what is unknown is a question mark over
//! the whole height and never a height. Known to work by `tests/viewer/lanes.rs`.

use super::View;
use super::strip::{Span, hatch};
use crate::review::{Known, ReserveOf, Review};
use crate::viewer::state::grade_of_stage;
use crate::viewer::theme::Grade;
use egui::{Align2, FontId, Painter, Rect, Shape, Stroke, pos2, vec2};

/// Names of the kinds of reserve, in their order.
pub const NAMES: [&str; 4] = ["critical", "push", "post", "tipping"];

/// What they are, in words.
pub const MEANINGS: [&str; 4] = [
    "critical load factor: how many times the present loads until the stage becomes unstable",
    "the least push at a head that topples it",
    "capacity over load of the post that is used the most",
    "what holds over what tips or slides, at the worst place",
];

/// A reserve this high is at the top of its lane.
pub const FULL: f64 = 3.0;

/// Stages narrower than this share a bin, points.
const NARROWEST: f32 = 4.0;

/// Stages that are drawn as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Bin {
    /// First stage, and the one after the last.
    pub from: usize,
    pub to: usize,
    /// Worst of what was found at them.
    pub grade: Option<Grade>,
    /// The least of each kind of reserve.
    pub least: [Known; 4],
}

/// The less of two: what is unknown is less than any number, and nothing to judge is no number.
#[must_use]
pub fn less(a: Known, b: Known) -> Known {
    use Known::{AtLeast, Below, Exactly, Nothing, Unknown};
    let nan = |k: &Known| matches!(k, Exactly(v) | AtLeast(v) | Below(v) if v.is_nan());
    match (a, b) {
        (a, _) if nan(&a) => Unknown("not a number".to_owned()),
        (_, b) if nan(&b) => Unknown("not a number".to_owned()),
        (Unknown(why), _) | (_, Unknown(why)) => Unknown(why),
        (Nothing, other) | (other, Nothing) => other,
        (Exactly(a), Exactly(b)) => Exactly(a.min(b)),
        (AtLeast(a), AtLeast(b)) => AtLeast(a.min(b)),
        (Below(a), Below(b)) => Below(a.min(b)),
        (Exactly(v), AtLeast(bound)) | (AtLeast(bound), Exactly(v)) => {
            if v <= bound {
                Exactly(v)
            } else {
                AtLeast(bound)
            }
        }
        // Below a number is worse than any number that is not below it too.
        (Below(bound), Exactly(v)) | (Exactly(v), Below(bound)) => {
            if v < bound {
                Exactly(v)
            } else {
                Below(bound)
            }
        }
        (Below(bound), AtLeast(_)) | (AtLeast(_), Below(bound)) => Below(bound),
    }
}

/// The stages of a stretch in bins no narrower than can be told apart.
#[must_use]
pub fn bins(review: &Review, span: Span, width: f32) -> Vec<Bin> {
    let count = review.sequence.stages.len();
    let each = width / (span.to - span.from).max(1.0) as f32;
    let together = (NARROWEST / each.max(1e-6)).ceil().max(1.0) as usize;
    let first = (span.from.floor().max(0.0) as usize).min(count) / together * together;
    let last = (span.to.ceil() as usize).min(count);
    let mut out = Vec::new();
    let mut from = first;
    while from < last {
        let to = (from + together).min(count);
        let mut bin = Bin { from, to, grade: None, least: Default::default() };
        for stage in from..to {
            bin.grade = bin.grade.max(grade_of_stage(review, stage));
            let Some(summary) = review.summaries.get(stage) else { continue };
            for (least, (_, of)) in bin.least.iter_mut().zip(summary.reserves.kinds()) {
                *least = less(std::mem::take(least), of.known.clone());
            }
        }
        out.push(bin);
        from = to;
    }
    out
}

/// Where a reserve lies in its lane; the limit is at a third.
#[must_use]
pub fn height(lane: Rect, reserve: f64) -> f32 {
    let share = (reserve / FULL).clamp(0.0, 1.0) as f32;
    lane.bottom() - share * lane.height()
}

/// What is drawn of a number, from the bottom up, as heights in the lane.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Marks {
    /// Filled up to here.
    pub filled: Option<f32>,
    /// Open from the filled part on: it may be more.
    pub open: bool,
    /// Hatched from here up to the limit: so much is missing.
    pub short: Option<f32>,
    pub unknown: bool,
}

/// What is drawn of what is known.
#[must_use]
pub fn marks(lane: Rect, known: &Known) -> Marks {
    let of = |v: f64| height(lane, v);
    let short = |v: f64| (v < 1.0).then(|| of(v));
    match known {
        Known::Nothing => Marks::default(),
        Known::Unknown(_) => Marks { unknown: true, ..Marks::default() },
        Known::Exactly(v) | Known::AtLeast(v) | Known::Below(v) if v.is_nan() => {
            Marks { unknown: true, ..Marks::default() }
        }
        Known::Exactly(v) => Marks { filled: Some(of(*v)), short: short(*v), ..Marks::default() },
        Known::AtLeast(v) => Marks { filled: Some(of(*v)), open: true, ..Marks::default() },
        // How far below is not known: all of it counts as missing.
        Known::Below(_) => Marks { short: Some(of(0.0)), ..Marks::default() },
    }
}

/// Draws one kind's lane.
pub fn draw(
    painter: &Painter,
    view: &View<'_>,
    bins: &[Bin],
    kind: usize,
    lane: Rect,
    x: impl Fn(f64) -> f32,
) {
    let palette = view.palette;
    let painter =
        painter.with_clip_rect(lane.expand2(vec2(0.0, 1.0)).intersect(painter.clip_rect()));
    painter.rect_filled(lane, 2.0, palette.panel_deep.egui());
    let body = palette.accent.faint(0.30);
    let edge = Stroke::new(1.6, palette.accent.egui());
    let mut asked = f32::NEG_INFINITY;
    let mut before: Option<(f32, f32)> = None;
    for bin in bins {
        let (left, right) = (x(bin.from as f64), x(bin.to as f64));
        let m = marks(lane, &bin.least[kind]);
        let column =
            |top: f32, bottom: f32| Rect::from_min_max(pos2(left, top), pos2(right, bottom));
        if let Some(top) = m.filled {
            painter.rect_filled(column(top, lane.bottom()), 0.0, body);
            if m.open {
                painter.rect_filled(column(lane.top(), top), 0.0, palette.accent.faint(0.10));
                painter.extend(Shape::dashed_line(
                    &[pos2(left, top), pos2(right, top)],
                    edge,
                    3.0,
                    2.0,
                ));
            } else {
                painter.line_segment([pos2(left, top), pos2(right, top)], edge);
            }
            if let Some((x, y)) = before.filter(|(_, y)| (y - top).abs() > 0.5) {
                painter.line_segment([pos2(x, y), pos2(left, top)], Stroke::new(1.0, edge.color));
            }
            before = Some((right, top));
        } else {
            before = None;
        }
        if let Some(from) = m.short {
            let gap = column(height(lane, 1.0), from);
            painter.rect_filled(gap, 0.0, palette.stop.egui());
            hatch(&painter, gap, Some(Grade::Stop), view);
        }
        if m.unknown {
            painter.rect_filled(
                column(lane.top(), lane.bottom()),
                0.0,
                palette.unknown.faint(0.35),
            );
            let at = (left + right) * 0.5;
            if at - asked >= 12.0 {
                asked = at;
                let font = FontId::proportional(12.0);
                painter.text(
                    pos2(at, lane.center().y),
                    Align2::CENTER_CENTER,
                    "?",
                    font,
                    palette.text.egui(),
                );
            }
        }
    }
    let limit = height(lane, 1.0);
    painter.extend(Shape::dashed_line(
        &[pos2(lane.left(), limit), pos2(lane.right(), limit)],
        Stroke::new(1.0, palette.text.faint(0.55)),
        4.0,
        3.0,
    ));
}

/// A reserve in words, as a share of what is required.
#[must_use]
pub fn words(view: &View<'_>, known: &Known) -> String {
    said(known, |v| view.state.units.ratio(v))
}

/// A reserve in its own measure: a factor, a force, or a share.
#[must_use]
pub fn own_words(view: &View<'_>, kind: usize, of: &ReserveOf) -> String {
    let units = view.state.units;
    said(&of.known, |v| match kind {
        0 => units.ratio(v * of.required),
        1 => units.force(v * of.required),
        _ => units.ratio(v),
    })
}

fn said(known: &Known, number: impl Fn(f64) -> String) -> String {
    match known {
        Known::Exactly(v) | Known::AtLeast(v) if *v == f64::INFINITY => "no demand".to_owned(),
        Known::Nothing => "nothing to judge".to_owned(),
        Known::Exactly(value) => number(*value),
        Known::AtLeast(value) => format!("at least {}", number(*value)),
        Known::Below(value) => format!("below {}", number(*value)),
        Known::Unknown(why) => format!("unknown: {why}"),
    }
}
