//! What can be left out of the picture, or done otherwise, one thing at a time: what a frame is then faster
//! by is what the thing costs.

use bevy::camera::visibility::VisibilitySystems;
use bevy::light::{CascadeShadowConfig, ShadowFilteringMethod};
use bevy::prelude::*;
use bevy::render::render_resource::TextureFormat;
use bevy::render::renderer::RenderAdapter;
use bevy_egui::egui::{self, epaint};
use bevy_egui::{EguiRenderOutput, PrimaryEguiContext};
use standwell::viewer::camera::SceneCamera;
use standwell::viewer::ground::Ground;
use standwell::viewer::members::Bodies;
use standwell::viewer::shade::Shade;

/// One thing that is left out, or made cheaper or dearer.
#[derive(Resource, Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LeftOut {
    #[default]
    Nothing,
    Anew,
    Shadows,
    SoftEdges,
    Samples,
    TwoSamples,
    NearShapes,
    Lines,
    Members,
    Ground,
    PanelCamera,
    Labels,
    Panels,
    Written,
    AllBut,
}

impl LeftOut {
    pub const ALL: [Self; 14] = [
        Self::Anew,
        Self::Shadows,
        Self::SoftEdges,
        Self::Samples,
        Self::TwoSamples,
        Self::NearShapes,
        Self::Lines,
        Self::Members,
        Self::Ground,
        Self::PanelCamera,
        Self::Labels,
        Self::Panels,
        Self::Written,
        Self::AllBut,
    ];

    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Nothing => "all drawn",
            Self::Anew => "shadow maps drawn every frame",
            Self::Shadows => "without shadows",
            Self::SoftEdges => "shadows without soft edges",
            Self::Samples => "one sample a pixel",
            Self::TwoSamples => "two samples a pixel, if it can",
            Self::NearShapes => "all shapes as from far off",
            Self::Lines => "without drawn edges",
            Self::Members => "without members' bodies",
            Self::Ground => "without the ground",
            Self::PanelCamera => "without panels and labels",
            Self::Labels => "without labels over the scene",
            Self::Panels => "without panels",
            Self::Written => "panels and labels empty",
            Self::AllBut => "nothing but panels and labels",
        }
    }
}

pub fn plugin(app: &mut App) {
    app.init_resource::<LeftOut>().init_resource::<Written>().add_systems(
        PostUpdate,
        (cameras, light, hide).before(VisibilitySystems::VisibilityPropagate),
    );
    app.add_systems(Last, written);
}

fn cameras(
    mut commands: Commands<'_, '_>,
    out: Res<'_, LeftOut>,
    adapter: Option<Res<'_, RenderAdapter>>,
    mut samples: Query<'_, '_, &mut Msaa>,
    mut panels: Query<'_, '_, &mut Camera, With<PrimaryEguiContext>>,
    scene: Query<'_, '_, Entity, With<SceneCamera>>,
) {
    // Set every frame, as the window does before.
    if *out == LeftOut::Samples {
        for mut msaa in &mut samples {
            *msaa = Msaa::Off;
        }
    }
    let two = |adapter: &RenderAdapter| {
        [TextureFormat::Rgba8UnormSrgb, TextureFormat::Depth32Float]
            .into_iter()
            .all(|f| adapter.get_texture_format_features(f).flags.sample_count_supported(2))
    };
    if *out == LeftOut::TwoSamples && adapter.is_some_and(|a| two(&a)) {
        for mut msaa in &mut samples {
            *msaa = Msaa::Sample2;
        }
    }
    if !out.is_changed() {
        return;
    }
    for mut camera in &mut panels {
        camera.is_active = *out != LeftOut::PanelCamera;
    }
    for camera in &scene {
        commands.entity(camera).insert(match *out {
            LeftOut::SoftEdges => ShadowFilteringMethod::Hardware2x2,
            _ => ShadowFilteringMethod::Gaussian,
        });
    }
}

/// What is drawn of the panels and over the scene: triangles, told apart by whose letters they use.
fn written(
    out: Res<'_, LeftOut>,
    mut outputs: Query<'_, '_, &mut EguiRenderOutput>,
    mut count: ResMut<'_, Written>,
) {
    for mut output in &mut outputs {
        *count = Written::default();
        for job in &output.paint_jobs {
            count.add(job);
        }
        output.paint_jobs.retain(|job| {
            let labels = is_label(job);
            match *out {
                LeftOut::Labels => !labels,
                LeftOut::Panels => labels,
                LeftOut::Written => false,
                _ => true,
            }
        });
    }
}

fn is_label(job: &epaint::ClippedPrimitive) -> bool {
    let epaint::Primitive::Mesh(mesh) = &job.primitive else { return false };
    matches!(mesh.texture_id, egui::TextureId::Managed(n) if n >= 1 << 32)
}

/// What was drawn of panels, then of labels.
#[derive(Resource, Clone, Copy, Default, Debug)]
pub struct Written {
    pub draws: [usize; 2],
    pub corners: [usize; 2],
    pub triangles: [usize; 2],
    /// What all triangles together cover, within their clip rectangles, points square.
    pub area: [f32; 2],
}

impl Written {
    fn add(&mut self, job: &epaint::ClippedPrimitive) {
        let epaint::Primitive::Mesh(mesh) = &job.primitive else { return };
        let k = usize::from(is_label(job));
        self.draws[k] += 1;
        self.corners[k] += mesh.vertices.len();
        self.triangles[k] += mesh.indices.len() / 3;
        let clip = job.clip_rect;
        for t in mesh.indices.chunks_exact(3) {
            let p = |i: usize| clip.clamp(mesh.vertices[t[i] as usize].pos);
            let (a, b) = (p(1) - p(0), p(2) - p(0));
            self.area[k] += 0.5 * (a.x * b.y - a.y * b.x).abs();
        }
    }
}

fn light(
    out: Res<'_, LeftOut>,
    mut shade: ResMut<'_, Shade>,
    mut suns: Query<'_, '_, &mut DirectionalLight, With<CascadeShadowConfig>>,
) {
    shade.always = *out == LeftOut::Anew;
    for mut sun in &mut suns {
        sun.shadow_maps_enabled = *out != LeftOut::Shadows;
    }
}

fn hide(
    out: Res<'_, LeftOut>,
    bodies: Res<'_, Bodies>,
    grounds: Query<'_, '_, Entity, With<Ground>>,
    mut visible: Query<'_, '_, &mut Visibility>,
) {
    let squares = bodies.squares.iter();
    let mut shown: Vec<Entity> = Vec::new();
    let hidden: Vec<Entity> = match *out {
        LeftOut::Ground => grounds.iter().collect(),
        LeftOut::Lines => squares.flat_map(|s| [s.near[1], s.far[1]]).collect(),
        LeftOut::Members => squares.flat_map(|s| [s.near[0], s.far[0]]).collect(),
        LeftOut::AllBut => {
            squares.flat_map(|s| s.near.into_iter().chain(s.far)).chain(&grounds).collect()
        }
        LeftOut::NearShapes => {
            shown = squares.clone().flat_map(|s| s.far).collect();
            squares.flat_map(|s| s.near).collect()
        }
        _ => Vec::new(),
    };
    for (entities, wanted) in [(shown, Visibility::Inherited), (hidden, Visibility::Hidden)] {
        for entity in entities {
            if let Ok(mut visible) = visible.get_mut(entity) {
                *visible = wanted;
            }
        }
    }
}
