//! On the thread that draws: leaves the drawing of the maps out where they hold already what was asked for.
//! Their picture is one that Bevy hands out anew every frame; it is the same as long as nobody else
//! wants one of its size, and where it is another one the maps are drawn.

use super::{Shade, Told};
use bevy::pbr::{Shadow, ViewLightEntities, ViewShadowBindings};
use bevy::prelude::*;
use bevy::render::render_phase::ViewBinnedRenderPhases;
use bevy::render::render_resource::{PipelineCache, TextureId};
use bevy::render::{Extract, ExtractSchedule, Render, RenderApp, RenderSystems};
use std::sync::atomic::Ordering;

/// What is asked for, and what the maps are of.
#[derive(Resource, Default)]
struct Kept {
    asked: u64,
    near: bool,
    told: Told,
    drawn: Option<(u64, TextureId)>,
}

pub fn plugin(app: &mut App) {
    let Some(render) = app.get_sub_app_mut(RenderApp) else { return };
    render.init_resource::<Kept>().add_systems(ExtractSchedule, take_over).add_systems(
        Render,
        keep.after(RenderSystems::PrepareBindGroups).before(RenderSystems::Render),
    );
}

fn take_over(shade: Extract<'_, '_, Res<'_, Shade>>, mut kept: ResMut<'_, Kept>) {
    kept.asked = shade.asked;
    kept.near = shade.fit.is_some_and(|f| f.near.is_some());
    kept.told = shade.told.clone();
}

/// A camera whose maps hold what was asked for has none to draw.
fn keep(
    mut kept: ResMut<'_, Kept>,
    phases: Res<'_, ViewBinnedRenderPhases<Shadow>>,
    pipelines: Res<'_, PipelineCache>,
    mut views: Query<'_, '_, (&mut ViewLightEntities, &ViewShadowBindings)>,
) {
    for (mut maps, there) in &mut views {
        if maps.lights.is_empty() {
            continue;
        }
        let wanted = (kept.asked, there.directional_light_depth_texture.id());
        if kept.drawn == Some(wanted) {
            maps.lights.clear();
            continue;
        }
        if !kept.near && maps.lights.len() > 1 {
            maps.lights.remove(0);
        }
        kept.told.drawn.fetch_add(maps.lights.len(), Ordering::AcqRel);
        let ready = |id| pipelines.get_render_pipeline(id).is_some();
        let all = phases.0.values().all(|p| {
            p.multidrawable_meshes.keys().all(|k| ready(k.pipeline))
                && p.batchable_meshes.keys().all(|(k, _)| ready(k.pipeline))
                && p.unbatchable_meshes.keys().all(|(k, _)| ready(k.pipeline))
        });
        kept.drawn = all.then_some(wanted);
        if !all {
            kept.told.late.store(true, Ordering::Release);
        }
    }
}
