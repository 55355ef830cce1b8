//! A member's reserve over the whole sequence, with the present stage marked. Click to go there.

use super::{View, lanes, style};
use crate::assembly::MemberId;
use crate::review::Review;
use crate::viewer::vocab::Intent;
use egui::{Rect, Sense, Shape, Stroke, Ui, pos2, vec2};

const HEIGHT: f32 = 46.0;

/// Capacity over load of a post, or tipping factor over the required one of a beam that runs on,
/// at each stage that has one.
#[must_use]
pub fn of_member(review: &Review, id: MemberId) -> Vec<Option<f64>> {
    if review.assembly.member(id).is_post() {
        let of = |s: &crate::review::StageSummary| {
            s.reserves.posts.iter().find(|(post, _)| *post == id).map(|(_, r)| f64::from(*r))
        };
        return review.summaries.iter().map(of).collect();
    }
    let of = |judged: &crate::review::JudgedStage| {
        let tips = judged.equilibrium.tipping.iter().filter(|t| t.member == id);
        tips.map(|t| t.factor / t.required).min_by(f64::total_cmp)
    };
    review.stages.iter().map(of).collect()
}

pub fn ui(ui: &mut Ui, view: &View<'_>, review: &Review, id: MemberId, out: &mut Vec<Intent>) {
    let all = of_member(review, id);
    let known = || all.iter().enumerate().filter_map(|(i, r)| Some((i, (*r)?)));
    let finite = || known().filter(|(_, r)| r.is_finite());
    let Some((worst, least)) = finite().min_by(|a, b| a.1.total_cmp(&b.1)) else { return };
    style::heading(ui, view, "Its reserve over the stages");
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), HEIGHT), Sense::click());
    let palette = view.palette;
    let plot = rect.shrink2(vec2(2.0, 4.0));
    let count = all.len().max(1);
    let x = |stage: usize| plot.left() + plot.width() * (stage as f32 + 0.5) / count as f32;
    let painter = ui.painter();
    painter.rect_filled(rect, 3.0, palette.panel_deep.egui());
    let limit = lanes::height(plot, 1.0);
    painter.extend(Shape::dashed_line(
        &[pos2(plot.left(), limit), pos2(plot.right(), limit)],
        Stroke::new(1.0, palette.text.faint(0.55)),
        4.0,
        3.0,
    ));
    let mut run = Vec::new();
    let ink = Stroke::new(1.6, palette.accent.egui());
    for (stage, reserve) in all.iter().enumerate() {
        match reserve.filter(|r| r.is_finite()) {
            Some(r) => run.push(pos2(x(stage), lanes::height(plot, r))),
            None if run.len() > 1 => {
                painter.add(Shape::line(std::mem::take(&mut run), ink));
            }
            None => run.clear(),
        }
    }
    if run.len() > 1 {
        painter.add(Shape::line(run, ink));
    }
    let mark = |stage: usize, reserve: f64| {
        painter.circle(
            pos2(x(stage), lanes::height(plot, reserve)),
            3.5,
            if reserve < 1.0 { palette.stop.egui() } else { palette.accent.egui() },
            Stroke::new(1.0, palette.panel.egui()),
        );
    };
    mark(worst, least);
    let now = view.state.stage;
    let line =
        Rect::from_min_max(pos2(x(now) - 0.8, rect.top()), pos2(x(now) + 0.8, rect.bottom()));
    painter.rect_filled(line, 0.0, palette.text.faint(0.8));
    if let Some(reserve) = all.get(now).copied().flatten().filter(|r| r.is_finite()) {
        mark(now, reserve);
    }
    let ratio = |r: f64| view.state.units.ratio(r);
    let at_now = match all.get(now).copied().flatten() {
        Some(r) if r.is_finite() => format!("now {}", ratio(r)),
        Some(_) => "no demand now".to_owned(),
        None => "no number now".to_owned(),
    };
    let text = format!("{at_now}; least {} at stage {worst}; the broken line is 1", ratio(least));
    ui.label(style::soft(view, text));
    if let Some(pointer) = response.interact_pointer_pos().filter(|_| response.clicked()) {
        let share = ((pointer.x - plot.left()) / plot.width().max(1.0)).clamp(0.0, 0.9999);
        out.push(Intent::GoToStage((share * count as f32) as usize));
    }
}
