//! How posts and sheets stand while a slab is stripped: a small drawing each, of the slab as a bar
//! and the post below it, and a key of those on the screen. Shape tells them apart, not colour.

use crate::assembly::MemberId;
use crate::review::Review;
use crate::sequence::Stage;
use crate::viewer::labels::{Label, Rank, square};
use crate::viewer::overlay::Over;
use crate::viewer::theme::{Ink, Palette};
use egui::{FontId, Painter, Pos2, Rect, Stroke, StrokeKind, Vec2, pos2, vec2};

/// How a member stands under a slab that carries itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// A sheet pulled in this step from between a tight post and the slab.
    Trapped,
    /// Secured to the slab, and undisturbed since it was cast.
    Kept,
    Secured,
    Undisturbed,
    Snugged,
    BackedOff,
    Taken,
}

impl Mark {
    pub const ALL: [Self; 7] = [
        Self::Kept,
        Self::Undisturbed,
        Self::Secured,
        Self::Snugged,
        Self::BackedOff,
        Self::Taken,
        Self::Trapped,
    ];

    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Trapped => "sheet trapped by a tight post",
            Self::Kept => "left in, undisturbed and secured",
            Self::Secured => "secured to the slab",
            Self::Undisturbed => "left in, undisturbed",
            Self::Snugged => "snugged up again",
            Self::BackedOff => "backed off",
            Self::Taken => "taken away",
        }
    }
}

/// Members with a mark at a stage, in the order of members.
#[must_use]
pub fn marks(review: &Review, stage: &Stage) -> Vec<(MemberId, Mark)> {
    let strip = &stage.strip;
    let sets = [&strip.out, &strip.secured, &strip.snugged, &strip.undisturbed];
    if strip.trapped.is_empty() && sets.iter().all(|s| s.is_empty()) {
        return Vec::new();
    }
    let of = |id: MemberId| {
        if strip.trapped.iter().any(|(sheet, _)| *sheet == id) {
            Some(Mark::Trapped)
        } else if strip.out.contains(&id) {
            Some(if stage.state(id).is_there() { Mark::BackedOff } else { Mark::Taken })
        } else if !stage.state(id).is_there() {
            None
        } else if strip.secured.contains(&id) {
            let kept = strip.undisturbed.contains(&id);
            Some(if kept { Mark::Kept } else { Mark::Secured })
        } else if strip.snugged.contains(&id) {
            Some(Mark::Snugged)
        } else {
            strip.undisturbed.contains(&id).then_some(Mark::Undisturbed)
        }
    };
    review.assembly.members.iter().filter_map(|m| Some((m.id, of(m.id)?))).collect()
}

/// The mark of one member.
#[must_use]
pub fn of(review: &Review, stage: &Stage, id: MemberId) -> Option<Mark> {
    marks(review, stage).into_iter().find(|(m, _)| *m == id).map(|(_, mark)| mark)
}

/// A plate with the drawing, `size` across.
pub fn draw(painter: &Painter, at: Pos2, size: f32, mark: Mark, palette: &Palette) {
    let k = size / 20.0;
    let ink = if mark == Mark::Trapped { palette.stop } else { palette.text };
    let plate = Rect::from_center_size(at, Vec2::splat(size));
    painter.rect(
        plate,
        3.0 * k,
        palette.panel.faint(0.94),
        Stroke::new(1.0, ink.egui()),
        StrokeKind::Inside,
    );
    let p = |x: f32, y: f32| at + vec2(x, y) * k;
    let line = |a: (f32, f32), b: (f32, f32), wide: f32, ink: Ink| {
        painter.line_segment([p(a.0, a.1), p(b.0, b.1)], Stroke::new(wide * k, ink.egui()));
    };
    line((-6.5, -6.0), (6.5, -6.0), 2.4, ink);
    let post = |top: f32| line((0.0, top), (0.0, 6.0), 2.2, ink);
    let foot = || line((-3.5, 6.5), (3.5, 6.5), 1.6, ink);
    let bolt = || {
        painter.circle(p(0.0, -3.2), 3.0 * k, ink.egui(), Stroke::new(k, palette.panel.egui()));
    };
    match mark {
        Mark::Undisturbed => {
            post(-6.0);
            foot();
        }
        Mark::Secured => {
            post(-6.0);
            foot();
            bolt();
        }
        // As if grown together: bolted above, and a full bar below.
        Mark::Kept => {
            post(-6.0);
            line((-6.5, 6.4), (6.5, 6.4), 2.4, ink);
            bolt();
        }
        Mark::Snugged => {
            post(-6.0);
            foot();
            line((-4.5, 1.5), (0.0, -3.0), 1.6, ink);
            line((4.5, 1.5), (0.0, -3.0), 1.6, ink);
        }
        Mark::BackedOff => {
            post(1.0);
            foot();
            line((-3.5, -2.6), (0.0, 0.9), 1.6, ink);
            line((3.5, -2.6), (0.0, 0.9), 1.6, ink);
        }
        Mark::Taken => {
            line((0.0, -3.0), (0.0, -0.5), 1.6, ink);
            line((0.0, 2.0), (0.0, 4.5), 1.6, ink);
            line((-5.0, 6.0), (5.0, -2.5), 1.4, ink);
        }
        Mark::Trapped => {
            post(-1.0);
            foot();
            let sheet = Rect::from_min_max(p(-6.5, -4.2), p(6.5, -1.2));
            painter.rect_filled(sheet, 0.0, ink.egui());
        }
    }
}

/// Labels for the marks of a stage.
pub(super) fn labels<'a>(over: &'a Over<'a>, review: &'a Review, out: &mut Vec<Label<'a>>) {
    const SIZE: f32 = 20.0;
    let palette = over.view.palette;
    for &(id, mark) in &over.facts.strip {
        // While a question is open, what is wrong is not said.
        if mark == Mark::Trapped && over.view.state.guide.conceals() {
            continue;
        }
        let Some(body) = over.bodies.members.get(id.index()) else { continue };
        let point = if review.assembly.member(id).is_post() {
            body.ends[1]
        } else {
            (body.ends[0] + body.ends[1]) * 0.5
        };
        let Some(at) = (over.project)(point) else { continue };
        let spots = [vec2(0.0, -24.0), vec2(20.0, -14.0), vec2(-20.0, -14.0), vec2(0.0, 24.0)];
        let spots = spots.map(|by| at + by);
        let draw = move |painter: &Painter, place: usize| {
            let ink = Stroke::new(1.2, palette.text_soft.egui());
            painter.line_segment([at, spots[place]], ink);
            draw(painter, spots[place], SIZE, mark, palette);
        };
        out.push(Label {
            rank: Rank::Strip,
            places: spots.iter().map(|&s| square(s, SIZE + 2.0)).collect(),
            draw: Box::new(draw),
        });
    }
}

/// The key of the marks on the screen, in the lower left corner; gives back the room it takes.
pub(super) fn key(painter: &Painter, over: &Over<'_>) -> Option<Rect> {
    const ROW: f32 = 24.0;
    let palette = over.view.palette;
    let all = &over.facts.strip;
    let conceals = over.view.state.guide.conceals();
    let rows: Vec<(Mark, usize)> = Mark::ALL
        .into_iter()
        .filter(|mark| *mark != Mark::Trapped || !conceals)
        .map(|mark| (mark, all.iter().filter(|(_, m)| *m == mark).count()))
        .filter(|(_, count)| *count > 0)
        .collect();
    if rows.is_empty() {
        return None;
    }
    let font = FontId::proportional(over.view.text.small);
    let lines: Vec<_> = rows
        .iter()
        .map(|(mark, count)| {
            let text = format!("{}  ×{count}", mark.words());
            painter.layout_no_wrap(text, font.clone(), palette.text.egui())
        })
        .collect();
    let wide = lines.iter().map(|g| g.size().x).fold(0.0, f32::max);
    let size = vec2(wide + 46.0, rows.len() as f32 * ROW + 8.0);
    let rect = Rect::from_min_size(over.area.left_bottom() + vec2(10.0, -size.y - 10.0), size);
    if !over.area.contains_rect(rect) {
        return None;
    }
    painter.rect(
        rect,
        4.0,
        palette.panel.faint(0.94),
        Stroke::new(1.0, palette.line.egui()),
        StrokeKind::Outside,
    );
    for (k, ((mark, _), line)) in rows.iter().zip(lines).enumerate() {
        let middle = rect.top() + 4.0 + (k as f32 + 0.5) * ROW;
        draw(painter, pos2(rect.left() + 20.0, middle), 18.0, *mark, palette);
        let at = pos2(rect.left() + 36.0, middle - line.size().y / 2.0);
        painter.galley(at, line, palette.text.egui());
    }
    Some(rect)
}
