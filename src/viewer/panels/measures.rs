//! Numbers against their limits, as bars with a mark at the limit.

use super::{View, style};
use crate::findings::Measure;
use crate::report::words;
use crate::viewer::theme::Grade;
use egui::{Rect, Sense, Stroke, Ui, pos2, vec2};

/// How a number stands to its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    NoLimit,
    Kept,
    Broken,
    /// Not a number: never shown as kept.
    Unknown,
}

#[must_use]
pub fn standing(measure: &Measure) -> Standing {
    let Some(limit) = measure.limit else { return Standing::NoLimit };
    if measure.measured.is_nan() || limit.is_nan() {
        Standing::Unknown
    } else if measure.at_least && measure.measured >= limit
        || !measure.at_least && measure.measured <= limit
    {
        Standing::Kept
    } else {
        Standing::Broken
    }
}

/// One number with its bar.
pub fn bar(ui: &mut Ui, view: &View<'_>, measure: &Measure) {
    let palette = view.palette;
    let units = view.state.units;
    let stands = standing(measure);
    let value = words::value(units, measure.measured, measure.dimension);
    ui.horizontal_wrapped(|ui| {
        ui.label(&measure.what);
        ui.label(egui::RichText::new(value).family(style::strong()));
    });
    let Some(limit) = measure.limit else { return };
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), 16.0), Sense::hover());
    let line = Rect::from_min_max(
        pos2(rect.left(), rect.top() + 3.0),
        pos2(rect.right(), rect.bottom() - 3.0),
    );
    let (ink, word) = match stands {
        Standing::Broken => (palette.grade(Grade::Stop), "✖"),
        Standing::Unknown => (palette.grade(Grade::Unknown), "?"),
        _ => (palette.step, "✔"),
    };
    let top = measure.measured.abs().max(limit.abs()) * 1.25;
    let share = |v: f64| {
        if top > 0.0 && v.is_finite() { (v.abs() / top).clamp(0.0, 1.0) as f32 } else { 1.0 }
    };
    let painter = ui.painter();
    painter.rect_filled(line, 2.0, palette.panel_deep.egui());
    if stands != Standing::Unknown {
        let to = line.left() + line.width() * share(measure.measured);
        painter.rect_filled(Rect::from_min_max(line.min, pos2(to, line.bottom())), 2.0, ink.egui());
    }
    let x = line.left() + line.width() * share(limit);
    painter.line_segment(
        [pos2(x, rect.top()), pos2(x, rect.bottom())],
        Stroke::new(2.0, palette.text.egui()),
    );
    let must = if measure.at_least { "must be at least" } else { "may be at most" };
    let limit = words::value(units, limit, measure.dimension);
    ui.horizontal_wrapped(|ui| {
        ui.label(
            egui::RichText::new(word)
                .size(view.text.small)
                .family(style::strong())
                .color(ink.egui()),
        );
        ui.label(style::soft(view, format!("{must} {limit}")));
    });
}
