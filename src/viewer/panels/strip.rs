//! The strip of all stages: a band marked by the worst of each, lanes with its reserves above it.
//! Click or drag to go to a stage; the wheel looks closer.

use super::lanes::{self, Bin};
use super::strip_words::{header, hint};
use super::{View, signs};
use crate::review::Review;
use crate::viewer::theme::Grade;
use crate::viewer::vocab::Intent;
use egui::{Align2, FontId, Pos2, Rect, Sense, Stroke, StrokeKind, Ui, pos2, vec2};

const LANE: f32 = 19.0;
const GAP: f32 = 2.0;
const BAND: f32 = 15.0;
const AXIS: f32 = 19.0;
/// Room for the names of the lanes at their left.
const NAMES: f32 = 186.0;
/// A sign over the band takes so much, points.
const SIGN: f32 = 15.0;
/// No closer look than at so many stages.
const FEWEST: f64 = 8.0;

/// What is above and about lanes, band and axis.
const HEAD: f32 = 52.0;
/// A window that leaves less than this for the scene and the strip together shows the band alone.
const LOW: f32 = 470.0;

/// Height of the strip with all that belongs to it.
pub const HEIGHT: f32 = 4.0 * (LANE + GAP) + BAND + AXIS + HEAD;

/// The same without the lanes.
const HEIGHT_OF_BAND: f32 = BAND + AXIS + HEAD;

/// How high it is in a window that has so much left, points. A low one, or one with large text, keeps
/// its scene: the lanes go, the band with the worst of every stage stays.
#[must_use]
pub fn height(left: f32) -> f32 {
    if left < LOW { HEIGHT_OF_BAND } else { HEIGHT }
}

/// The stretch of stages that is shown, counted in stages.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    pub from: f64,
    pub to: f64,
}

impl Span {
    #[must_use]
    pub fn all(count: usize) -> Self {
        Self { from: 0.0, to: count.max(1) as f64 }
    }

    /// Closer (or farther, below 1) by a factor about a stage that stays where it is.
    #[must_use]
    pub fn closer(self, factor: f64, about: f64, count: usize) -> Self {
        let all = count.max(1) as f64;
        let wide = ((self.to - self.from) / factor).clamp(FEWEST.min(all), all);
        let share = (about - self.from) / (self.to - self.from).max(1e-9);
        Self { from: about - share * wide, to: about + (1.0 - share) * wide }.within(all)
    }

    /// Moved so that a stage is in it.
    #[must_use]
    pub fn with(self, stage: usize, count: usize) -> Self {
        let (low, high) = (stage as f64, stage as f64 + 1.0);
        if low >= self.from && high <= self.to {
            return self;
        }
        let half = (self.to - self.from) / 2.0;
        Self { from: low + 0.5 - half, to: low + 0.5 + half }.within(count.max(1) as f64)
    }

    fn within(self, all: f64) -> Self {
        let wide = (self.to - self.from).min(all);
        let from = self.from.clamp(0.0, all - wide);
        Self { from, to: from + wide }
    }
}

/// What the strip remembers: of which review, the stage when it was last drawn, and the stretch.
type Kept = (u64, usize, Span);

pub fn ui(ui: &mut Ui, view: &View<'_>, out: &mut Vec<Intent>) {
    let Some(review) = &view.state.review else { return };
    let count = review.sequence.stages.len();
    if count == 0 {
        return;
    }
    let id = ui.id().with("stretch of stages");
    let kept: Option<Kept> = ui.data(|d| d.get_temp(id));
    let mut span = match kept {
        Some((revision, stage, span)) if revision == view.state.revision => {
            if stage == view.state.stage { span } else { span.with(view.state.stage, count) }
        }
        _ => Span::all(count),
    };
    let lanes = ui.available_height() > HEIGHT_OF_BAND;
    header(ui, view, review, &mut span, out);
    let width = ui.available_width();
    let high = if lanes { 4.0 * (LANE + GAP) + BAND } else { BAND };
    let (rect, response) =
        ui.allocate_exact_size(vec2(width, high + AXIS), Sense::click_and_drag());
    response.widget_info(|| egui::WidgetInfo::slider(true, view.state.stage as f64, "stages"));
    let bars =
        Rect::from_min_max(rect.min + vec2(NAMES, 0.0), pos2(rect.right(), rect.top() + high));
    names(ui, view, review, Rect::from_min_size(rect.min, vec2(NAMES - 10.0, high)), lanes, out);
    let plot = Plot { bars, span, lanes };
    if let Some(pointer) = response.interact_pointer_pos()
        && (response.clicked() || response.dragged())
        && pointer.x >= bars.left() - 4.0
    {
        let stage = stage_at(bars, span, pointer, count);
        if stage != view.state.stage {
            out.push(Intent::GoToStage(stage));
        }
    }
    if let Some(pointer) = response.hover_pos().filter(|p| bars.contains(*p)) {
        let turned = ui.input(|i| i.smooth_scroll_delta().y);
        if turned != 0.0 {
            let about = plot.stage(pointer.x);
            span = span.closer(f64::from(turned / 120.0).exp2(), about, count);
        }
    }
    ui.data_mut(|d| d.insert_temp::<Kept>(id, (view.state.revision, view.state.stage, span)));
    let plot = Plot { bars, span, lanes };
    if ui.is_rect_visible(rect) {
        draw(ui, view, review, &plot);
    }
    if let Some(pointer) = response.hover_pos().filter(|p| bars.contains(*p)) {
        let stage = stage_at(bars, span, pointer, count);
        let ink = Stroke::new(1.0, view.palette.text.egui());
        ui.painter().rect_stroke(plot.cell(stage, stage + 1), 1.0, ink, StrokeKind::Outside);
        response.on_hover_ui_at_pointer(|ui| hint(ui, view, review, stage));
    }
}

/// The lanes' names with their switches, and what is known of each at the present stage.
fn names(
    ui: &mut Ui,
    view: &View<'_>,
    review: &Review,
    rect: Rect,
    lanes: bool,
    out: &mut Vec<Intent>,
) {
    let reserves = review.summaries.get(view.state.stage).map(|s| s.reserves.kinds());
    for (kind, name) in lanes::NAMES.into_iter().enumerate().filter(|_| lanes) {
        let row = Rect::from_min_size(
            rect.min + vec2(0.0, kind as f32 * (LANE + GAP)),
            vec2(rect.width(), LANE),
        );
        let mut on = !view.state.reserves_off[kind];
        let builder = egui::UiBuilder::new()
            .max_rect(row)
            .layout(egui::Layout::left_to_right(egui::Align::Center));
        let mut ui = ui.new_child(builder);
        ui.spacing_mut().item_spacing.x = 5.0;
        ui.spacing_mut().icon_width = 13.0;
        let text = egui::RichText::new(name).size(view.text.small);
        let hint = format!("{}; off: its lane is left empty", lanes::MEANINGS[kind]);
        if ui.checkbox(&mut on, text).on_hover_text(hint).changed() {
            out.push(Intent::Reserve(kind, on));
        }
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            if let Some((_, of)) = reserves.map(|r| r[kind]) {
                let words = lanes::own_words(view, kind, of);
                let text = egui::RichText::new(words).size(view.text.small);
                ui.add(egui::Label::new(text).truncate());
            }
        });
    }
    let font = FontId::proportional(view.text.small);
    let at = pos2(rect.left(), rect.bottom() - BAND / 2.0);
    ui.painter().text(
        at,
        Align2::LEFT_CENTER,
        if lanes { "worst found; – – – is the limit" } else { "worst found" },
        font,
        view.palette.text_soft.egui(),
    );
}

/// Where stages lie on the screen.
struct Plot {
    bars: Rect,
    span: Span,
    /// There is room for the lanes.
    lanes: bool,
}

impl Plot {
    fn x(&self, stage: f64) -> f32 {
        let share = (stage - self.span.from) / (self.span.to - self.span.from).max(1e-9);
        self.bars.left() + self.bars.width() * share as f32
    }
    fn stage(&self, x: f32) -> f64 {
        let share = f64::from((x - self.bars.left()) / self.bars.width().max(1.0));
        self.span.from + share * (self.span.to - self.span.from)
    }
    fn cell(&self, from: usize, to: usize) -> Rect {
        let (left, right) = (self.x(from as f64), self.x(to as f64));
        Rect::from_min_max(pos2(left, self.bars.top()), pos2(right, self.bars.bottom()))
    }
    fn band(&self) -> Rect {
        Rect::from_min_max(pos2(self.bars.left(), self.bars.bottom() - BAND), self.bars.max)
    }
    fn lane(&self, kind: usize) -> Rect {
        let top = self.bars.top() + kind as f32 * (LANE + GAP);
        Rect::from_min_max(pos2(self.bars.left(), top), pos2(self.bars.right(), top + LANE))
    }
}

/// Which stage lies under a point.
#[must_use]
pub fn stage_at(bars: Rect, span: Span, at: Pos2, count: usize) -> usize {
    let stage = Plot { bars, span, lanes: false }.stage(at.x);
    (stage.floor().max(0.0) as usize).min(count.saturating_sub(1))
}

fn draw(ui: &Ui, view: &View<'_>, review: &Review, plot: &Plot) {
    let palette = view.palette;
    let bins = lanes::bins(review, plot.span, plot.bars.width());
    let x = |stage: f64| plot.x(stage);
    for kind in 0..lanes::NAMES.len() {
        if view.state.reserves_off[kind] || !plot.lanes {
            continue;
        }
        lanes::draw(ui.painter(), view, &bins, kind, plot.lane(kind), x);
    }
    let clip = plot.bars.expand2(vec2(3.0, 3.0)).intersect(ui.clip_rect());
    let painter = ui.painter().with_clip_rect(clip);
    let band = plot.band();
    for bin in &bins {
        let cell = plot.cell(bin.from, bin.to);
        let gap = if cell.width() > 6.0 { 1.0 } else { 0.0 };
        let part = Rect::from_min_max(
            pos2(cell.left(), band.top()),
            pos2(cell.right() - gap, band.bottom()),
        );
        let ink = bin.grade.map_or(palette.calm, |g| palette.grade(g));
        painter.rect_filled(part, 0.0, ink.egui());
        hatch(&painter, part, bin.grade, view);
    }
    for (from, to, grade) in signed(&bins, |stage| plot.x(stage as f64), SIGN) {
        let middle = (plot.x(from as f64) + plot.x(to as f64)) * 0.5;
        signs::grade(&painter, pos2(middle, band.center().y), 12.0, grade, palette);
    }
    if let Some(pinned) = view.state.pinned {
        let c = plot.cell(pinned, pinned + 1);
        let flag = [pos2(c.center().x, c.top()), pos2(c.center().x, c.bottom())];
        let ink = Stroke::new(1.5, palette.text.egui());
        painter.extend(egui::Shape::dashed_line(&flag, ink, 3.0, 2.0));
        let font = FontId::proportional(view.text.small * 0.85);
        let at = pos2(c.center().x + 3.0, c.top());
        painter.text(at, Align2::LEFT_TOP, "compared", font, palette.text.egui());
    }
    now(ui, view, plot);
    axis(ui, view, plot, review.sequence.stages.len());
}

/// Stretches of the band that get a sign: runs of one grade that are wide enough, and what lies
/// between them together, under the worst of it. Notes get none.
#[must_use]
pub fn signed(bins: &[Bin], x: impl Fn(usize) -> f32, room: f32) -> Vec<(usize, usize, Grade)> {
    let mut runs: Vec<(usize, usize, Option<Grade>)> = Vec::new();
    for bin in bins {
        let grade = bin.grade.filter(|g| *g > Grade::Note);
        match runs.last_mut() {
            Some((_, to, last)) if *last == grade => *to = bin.to,
            _ => runs.push((bin.from, bin.to, grade)),
        }
    }
    let wide = |from: usize, to: usize| x(to) - x(from) >= room;
    let mut out: Vec<(usize, usize, Grade)> = Vec::new();
    let mut rest: Option<(usize, usize, Option<Grade>)> = None;
    let mut close = |rest: &mut Option<(usize, usize, Option<Grade>)>| {
        if let Some((from, to, Some(grade))) = rest.take() {
            out.push((from, to, grade));
        }
    };
    for (from, to, grade) in runs {
        if wide(from, to) {
            close(&mut rest);
            rest = Some((from, to, grade));
            close(&mut rest);
            continue;
        }
        let (begin, _, worst) = rest.unwrap_or((from, to, None));
        rest = Some((begin, to, worst.max(grade)));
        if wide(begin, to) {
            close(&mut rest);
        }
    }
    close(&mut rest);
    // The last one may be too narrow: it joins the one before it, where that lies close.
    let mut apart: Vec<(usize, usize, Grade)> = Vec::new();
    for (from, to, grade) in out {
        let middle = |a: usize, b: usize| (x(a) + x(b)) * 0.5;
        match apart.last_mut() {
            Some(last) if middle(from, to) - middle(last.0, last.1) < room => {
                *last = (last.0, to, last.2.max(grade));
            }
            _ => apart.push((from, to, grade)),
        }
    }
    apart
}

/// Slanted lines for stop, dots for unknown: it reads without its colour.
pub(super) fn hatch(painter: &egui::Painter, part: Rect, grade: Option<Grade>, view: &View<'_>) {
    let painter = painter.with_clip_rect(part.intersect(painter.clip_rect()));
    match grade {
        Some(Grade::Stop) => {
            let ink = Stroke::new(1.2, view.palette.on_stop.faint(0.55));
            // Counted from the edge of the window, so that neighbours join up.
            let first = (part.left() / 7.0).floor() as i32 - 2;
            let last = (part.right() / 7.0).ceil() as i32 + 1;
            for k in first..=last {
                let x = k as f32 * 7.0;
                painter.line_segment(
                    [pos2(x, part.bottom()), pos2(x + part.height(), part.top())],
                    ink,
                );
            }
        }
        Some(Grade::Unknown) => {
            let first = (part.left() / 6.0).floor() as i32;
            let last = (part.right() / 6.0).ceil() as i32;
            for k in first..=last {
                let y = part.top() + if k % 2 == 0 { 4.0 } else { 10.0 };
                let ink = view.palette.on_unknown.faint(0.8);
                painter.circle_filled(pos2(k as f32 * 6.0, y), 1.2, ink);
            }
        }
        _ => {}
    }
}

fn now(ui: &Ui, view: &View<'_>, plot: &Plot) {
    let c = plot.cell(view.state.stage, view.state.stage + 1);
    let (x, bars) = (c.center().x, plot.bars);
    if x < bars.left() || x > bars.right() {
        return;
    }
    let frame = Rect::from_min_max(
        pos2(c.left().min(x - 2.0), bars.top() - 2.0),
        pos2(c.right().max(x + 2.0), bars.bottom() + 2.0),
    );
    let ink = view.palette.text.egui();
    ui.painter().rect_stroke(frame, 2.0, Stroke::new(2.0, ink), StrokeKind::Outside);
    let foot = bars.bottom();
    ui.painter().add(egui::Shape::convex_polygon(
        vec![pos2(x, foot + 3.0), pos2(x + 5.0, foot + 10.0), pos2(x - 5.0, foot + 10.0)],
        ink,
        Stroke::NONE,
    ));
}

fn axis(ui: &Ui, view: &View<'_>, plot: &Plot, count: usize) {
    let font = FontId::proportional(view.text.small);
    let bars = plot.bars;
    let room = bars.width() / (plot.span.to - plot.span.from).max(1.0) as f32;
    let every = [1usize, 2, 5, 10, 20, 50, 100, 200, 500, 1000]
        .into_iter()
        .find(|&n| n as f32 * room >= 46.0)
        .unwrap_or(2000);
    let middle = |stage: usize| plot.x(stage as f64 + 0.5);
    let now = middle(view.state.stage);
    let (from, to) = (plot.span.from.floor() as usize, plot.span.to.ceil() as usize);
    for number in (from..to.min(count)).filter(|n| n % every == 0) {
        let x = middle(number);
        // Where the number of the present stage stands, no other does.
        let ahead = if now + 40.0 < bars.right() { x - now } else { now - x };
        if (-22.0..48.0).contains(&ahead) || x < bars.left() || x > bars.right() - 8.0 {
            continue;
        }
        let ink = view.palette.text_soft.egui();
        let at = pos2(x, bars.bottom() + 3.0);
        ui.painter().text(at, Align2::CENTER_TOP, number.to_string(), font.clone(), ink);
    }
    if now < bars.left() || now > bars.right() {
        return;
    }
    let number = view.state.stage.to_string();
    let (at, align) = if now + 40.0 < bars.right() {
        (pos2(now + 8.0, bars.bottom() + 3.0), Align2::LEFT_TOP)
    } else {
        (pos2(now - 8.0, bars.bottom() + 3.0), Align2::RIGHT_TOP)
    };
    ui.painter().text(at, align, number, font, view.palette.text.egui());
}
