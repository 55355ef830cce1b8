//! One system owns the window's root and hands its parts to the panels; the rest is the scene's.

use crate::viewer::camera::SceneRect;
use crate::viewer::idle::Wake;
use crate::viewer::panels::{View, card, finder, findings, help, status, strip, style, top, tried};
use crate::viewer::state::ViewerState;
use crate::viewer::theme::{Look, Theme};
use crate::viewer::vocab::Intent;
use bevy::prelude::*;
use bevy_egui::{EguiContexts, egui};

/// Lays the window out. egui may run it more than once a frame: it changes nothing itself.
pub fn lay_out(
    mut contexts: EguiContexts<'_, '_>,
    state: Res<'_, ViewerState>,
    theme: Res<'_, Theme>,
    mut rect: ResMut<'_, SceneRect>,
    mut intents: MessageWriter<'_, Intent>,
    mut wake: ResMut<'_, Wake>,
    bare: Option<Res<'_, crate::viewer::picture::Bare>>,
    mut styled: Local<'_, Option<Look>>,
    mut warm: Local<'_, bool>,
) -> Result {
    if bare.is_some() {
        return Ok(());
    }
    let ctx = contexts.ctx_mut()?.clone();
    let palette = theme.palette(state.look);
    if *styled != Some(state.look) {
        let first = styled.is_none();
        style::apply(&ctx, palette, &theme.text);
        *styled = Some(state.look);
        if first {
            // The typeface is there from the next pass on.
            style::set_fonts(&ctx);
            ctx.request_repaint();
            wake.ask();
            return Ok(());
        }
    }
    if !std::mem::replace(&mut *warm, true) {
        style::warm(&ctx, &theme.text);
    }
    let view = View { state: &state, palette, text: &theme.text };
    let mut out = Vec::new();
    let builder =
        egui::UiBuilder::new().layer_id(egui::LayerId::background()).max_rect(ctx.viewport_rect());
    let mut root = egui::Ui::new(ctx.clone(), egui::Id::new("root"), builder);
    let area = panels(&mut root, &view, &mut out);
    // Text can be made larger (Ctrl and + or -): panels then count in larger points.
    let zoom = ctx.zoom_factor();
    let scene = Rect::new(area.left(), area.top(), area.right(), area.bottom());
    let scene = Rect { min: scene.min * zoom, max: scene.max * zoom };
    if rect.set_if_neq(SceneRect(Some(scene))) {
        // What is shown near or from far off follows its room a frame later.
        wake.ask();
    }
    floating(&ctx, &view, area, &mut out);
    if !out.is_empty() {
        wake.ask();
        intents.write_batch(out);
    }
    Ok(())
}

/// The docked panels; gives back what is left for the scene.
pub fn panels(root: &mut egui::Ui, view: &View<'_>, out: &mut Vec<Intent>) -> egui::Rect {
    let fill = |deep: bool| {
        let ink = if deep { view.palette.panel_deep } else { view.palette.panel };
        egui::Frame::new().fill(ink.egui()).inner_margin(egui::Margin::symmetric(12, 6))
    };
    egui::Panel::top("top")
        .exact_size(46.0)
        .frame(fill(false))
        .show(root, |ui| top::ui(ui, view, out));
    let line = status::height(root, view, root.available_width() - 24.0);
    egui::Panel::bottom("status")
        .exact_size(line)
        .frame(
            egui::Frame::new()
                .fill(view.palette.panel_deep.egui())
                .inner_margin(egui::Margin::symmetric(12, 2)),
        )
        .show(root, |ui| status::ui(ui, view, out));
    // A lesson shows the stage of its card, and gives no answer away. On a projector a walk and a permit
    // have the whole height.
    let guide = &view.state.guide;
    let projected = guide.is_on() && view.state.look == Look::Contrast;
    if view.state.review.is_some() && !guide.teaches() && !projected {
        egui::Panel::bottom("stages")
            .exact_size(strip::height(root.available_height()))
            .frame(fill(false))
            .show(root, |ui| strip::ui(ui, view, out));
    }
    // A low window keeps its scene: the list is shown where there is room for both. What was tried on
    // another job has no place in a lesson.
    let tried = view.state.trying.is_of_interest() && !guide.teaches();
    if tried && root.available_height() > 330.0 {
        egui::Panel::bottom("tried")
            .exact_size(tried::HEIGHT)
            .frame(fill(false))
            .show(root, |ui| tried::ui(ui, view, out));
    }
    let wide = root.available_width();
    if guide.is_on() {
        egui::Panel::right("guide")
            .resizable(true)
            .default_size(480.0f32.min(wide * 0.42))
            .size_range(280.0f32.min(wide * 0.4)..=760.0f32.min(wide * 0.6))
            .frame(fill(false))
            .show(root, |ui| {
                ui.set_min_width(ui.available_width());
                crate::viewer::guide::ui(ui, view, out);
            });
        return root.available_rect_before_wrap();
    }
    egui::Panel::left("findings")
        .resizable(true)
        .default_size(330.0f32.min(wide * 0.3))
        .size_range(220.0f32.min(wide * 0.25)..=520.0f32.min(wide * 0.34))
        .frame(fill(false))
        .show(root, |ui| {
            within(ui, |ui| findings::ui(ui, view, out));
        });
    egui::Panel::right("card")
        .resizable(true)
        .default_size(330.0f32.min(wide * 0.3))
        .size_range(220.0f32.min(wide * 0.25)..=520.0f32.min(wide * 0.34))
        .frame(fill(false))
        .show(root, |ui| {
            within(ui, |ui| card::ui(ui, view, out));
        });
    root.available_rect_before_wrap()
}

/// What a panel shows, in its room and no more: with large text there is more than goes in, and the panel's
/// edge would be drawn over what lies below it.
fn within(ui: &mut egui::Ui, show: impl FnOnce(&mut egui::Ui)) {
    let room = ui.available_rect_before_wrap();
    ui.allocate_rect(room, egui::Sense::hover());
    let mut inner = ui.new_child(egui::UiBuilder::new().max_rect(room));
    inner.shrink_clip_rect(room.expand(4.0));
    show(&mut inner);
}

fn floating(ctx: &egui::Context, view: &View<'_>, area: egui::Rect, out: &mut Vec<Intent>) {
    if view.state.problem.is_some() {
        let width = (area.width() - 32.0).clamp(200.0, 720.0);
        egui::Area::new(egui::Id::new("problem"))
            .fixed_pos(egui::pos2(area.center().x - width / 2.0, area.top() + 14.0))
            .show(ctx, |ui| {
                ui.set_max_width(width);
                status::problem(ui, view, out);
            });
    }
    if status::reads_another(view) {
        let width = (area.width() - 32.0).clamp(200.0, 440.0);
        egui::Area::new(egui::Id::new("progress"))
            .fixed_pos(egui::pos2(area.center().x - width / 2.0, area.top() + area.height() * 0.3))
            .show(ctx, |ui| {
                ui.set_max_width(width);
                status::progress(ui, view, out);
            });
    }
    if view.state.asks_path {
        egui::Window::new("Open a scene")
            .collapsible(false)
            .resizable(false)
            .pivot(egui::Align2::CENTER_TOP)
            .fixed_pos(egui::pos2(area.center().x, area.top() + 40.0))
            .show(ctx, |ui| top::path(ui, view, out));
    }
    if view.state.asks_name {
        egui::Window::new("Go to a member")
            .collapsible(false)
            .resizable(false)
            .pivot(egui::Align2::CENTER_TOP)
            .fixed_pos(egui::pos2(area.center().x, area.top() + 40.0))
            .show(ctx, |ui| finder::ui(ui, view, out));
    }
    if view.state.help {
        egui::Window::new("Keys and marks")
            .collapsible(false)
            .resizable(false)
            .pivot(egui::Align2::CENTER_CENTER)
            .fixed_pos(ctx.content_rect().center())
            .show(ctx, |ui| help::ui(ui, view, out));
    }
}
