//! Writes signs, labels and dimension strings over the scene: in every frame, since they follow the eye,
//! and in a context of their own, so that the panels need not be laid out anew with them.
//!
//! They lie over the scene and below everything of the panels. Known to work by `tests/viewer/passes.rs`, and by the
//! reference pictures, in which every label lies where its camera shows what it names.

use crate::viewer::camera::{Eye, SceneCamera, SceneRect};
use crate::viewer::clear::InSight;
use crate::viewer::facts::Facts;
use crate::viewer::members::Bodies;
use crate::viewer::overlay::{self, Over};
use crate::viewer::panel_pass::PanelPass;
use crate::viewer::panels::{View, style};
use crate::viewer::picture::Bare;
use crate::viewer::sight::Sight;
use crate::viewer::stage_paint::Painted;
use crate::viewer::state::ViewerState;
use crate::viewer::theme::{Look, Theme};
use bevy::camera::CameraUpdateSystems;
use bevy::prelude::*;
use bevy_egui::{
    EguiContext, EguiPostUpdateSet, EguiRenderOutput, PrimaryEguiContext,
    egui::{self, TextureId, epaint},
};

/// Textures of this context are told from the panels' by adding so much to their numbers.
const OWN: u64 = 1 << 32;

/// The context of what is written over the scene, and what is kept of the panels.
#[derive(Resource, Default)]
pub struct Overlay {
    ctx: egui::Context,
    styled: Option<Look>,
    facts: Facts,
    in_sight: InSight,
    /// What was last drawn of the panels: the renderer takes away what it is given.
    panels: Vec<egui::ClippedPrimitive>,
    passes: u64,
}

pub fn plugin(app: &mut App) {
    app.init_resource::<Overlay>().add_systems(
        PostUpdate,
        write
            .after(EguiPostUpdateSet::ProcessOutput)
            .after(CameraUpdateSystems)
            .after(TransformSystems::Propagate)
            .before(EguiPostUpdateSet::PostProcessOutput),
    );
}

/// Puts what is written over the scene and what is drawn of the panels together.
fn write(
    mut overlay: ResMut<'_, Overlay>,
    pass: Res<'_, PanelPass>,
    mut contexts: Query<
        '_,
        '_,
        (&mut EguiContext, &mut EguiRenderOutput),
        With<PrimaryEguiContext>,
    >,
    cameras: Query<'_, '_, (&Camera, &GlobalTransform), With<SceneCamera>>,
    state: Res<'_, ViewerState>,
    theme: Res<'_, Theme>,
    eye: Res<'_, Eye>,
    bodies: Res<'_, Bodies>,
    painted: Res<'_, Painted>,
    rect: Res<'_, SceneRect>,
    bare: Option<Res<'_, Bare>>,
) {
    let Ok((mut context, mut output)) = contexts.single_mut() else { return };
    let overlay = &mut *overlay;
    if overlay.passes != pass.passes() {
        overlay.passes = pass.passes();
        overlay.panels = std::mem::take(&mut output.paint_jobs);
    }
    let panels = context.get_mut();
    let asked = overlay.passes > 0 && bare.is_none_or(|b| b.labels);
    let camera = cameras.single().ok().filter(|(camera, _)| asked && camera.is_active);
    let written = match (camera.and_then(|(camera, eye)| Sight::of(camera, eye)), rect.0) {
        (Some(sight), Some(rect)) => {
            let zoom = panels.zoom_factor();
            let point = |v: Vec2| egui::pos2(v.x / zoom, v.y / zoom);
            let project = |p: Vec3| sight.at(p).map(point);
            let area = egui::Rect::from_min_max(point(rect.min), point(rect.max));
            let palette = theme.palette(state.look);
            let view = View { state: &state, palette, text: &theme.text };
            let mut facts = std::mem::take(&mut overlay.facts);
            if let Some(review) = &state.review {
                facts.follow(review, state.revision, state.stage);
            }
            let (bodies, pose) = (&*bodies, eye.now);
            // While something is flown to it may be out of sight for a moment.
            let empty = !eye.is_moving()
                && bodies.revision == state.revision
                && overlay.in_sight.is_empty(&sight, bodies, &painted.paints);
            let over = Over { view, facts: &facts, bodies, pose, area, project: &project, empty };
            let written = overlay.pass(panels, &over);
            overlay.facts = facts;
            written
        }
        _ => egui::FullOutput::default(),
    };
    let egui::FullOutput { mut textures_delta, shapes, pixels_per_point, .. } = written;
    let mut jobs = Vec::new();
    if !shapes.is_empty() {
        jobs = overlay.ctx.tessellate(shapes, pixels_per_point);
    }
    for job in &mut jobs {
        if let epaint::Primitive::Mesh(mesh) = &mut job.primitive {
            mesh.texture_id = own(mesh.texture_id);
        }
    }
    let mut set: Vec<_> = textures_delta.set.drain().collect();
    set.sort_by_key(|(id, _)| *id);
    for (id, deltas) in set {
        for delta in deltas {
            output.textures_delta.push(own(id), delta);
        }
    }
    output.textures_delta.free.extend(textures_delta.free.drain().map(own));
    jobs.extend_from_slice(&overlay.panels);
    output.paint_jobs = jobs;
}

fn own(id: TextureId) -> TextureId {
    match id {
        TextureId::Managed(n) => TextureId::Managed(n + OWN),
        other @ TextureId::User(_) => other,
    }
}

impl Overlay {
    /// Draws it all, on the same screen and at the same scale as the panels.
    fn pass(&mut self, panels: &egui::Context, over: &Over<'_>) -> egui::FullOutput {
        let (ctx, look) = (&self.ctx, over.view.state.look);
        let first = self.styled.is_none();
        if self.styled != Some(look) {
            if first {
                style::set_fonts(ctx);
            }
            style::apply(ctx, over.view.palette, over.view.text);
            self.styled = Some(look);
        }
        ctx.set_zoom_factor(panels.zoom_factor());
        let mut input = egui::RawInput { screen_rect: Some(panels.viewport_rect()), ..default() };
        let viewport = input.viewports.entry(egui::ViewportId::ROOT).or_default();
        viewport.native_pixels_per_point = panels.native_pixels_per_point();
        ctx.begin_pass(input);
        if first {
            style::warm_small(ctx, over.view.text);
        }
        let painter = ctx.layer_painter(egui::LayerId::background()).with_clip_rect(over.area);
        overlay::draw(&painter, over);
        ctx.end_pass()
    }
}
