//! What can be left out of the picture, or done otherwise, one thing at a time: what a frame is then faster
//! by is what the thing costs.
//!
//! Panels and labels are left out by taking their triangles away. Their camera stays: the scene has the room
//! that the panels leave, and without that camera it has none and is not drawn at all.

use bevy::camera::visibility::VisibilitySystems;
use bevy::light::{CascadeShadowConfig, ShadowFilteringMethod};
use bevy::prelude::*;
use bevy_egui::EguiRenderOutput;
use bevy_egui::egui::{self, epaint};
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
    OneSample,
    FourSamples,
    NearShapes,
    Lines,
    Members,
    Ground,
    Labels,
    Panels,
    Written,
    AllBut,
}

impl LeftOut {
    pub const ALL: [Self; 13] = [
        Self::Anew,
        Self::Shadows,
        Self::SoftEdges,
        Self::OneSample,
        Self::FourSamples,
        Self::NearShapes,
        Self::Lines,
        Self::Members,
        Self::Ground,
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
            Self::OneSample => "one sample a pixel",
            Self::FourSamples => "four samples a pixel, as at rest",
            Self::NearShapes => "all shapes as from far off",
            Self::Lines => "without drawn edges",
            Self::Members => "without members' bodies",
            Self::Ground => "without the ground",
            Self::Labels => "without labels over the scene",
            Self::Panels => "without panels",
            Self::Written => "without panels and labels",
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
    mut samples: Query<'_, '_, &mut Msaa>,
    scene: Query<'_, '_, Entity, With<SceneCamera>>,
) {
    // Set every frame, as the window does before.
    let wanted = match *out {
        LeftOut::OneSample => Some(Msaa::Off),
        LeftOut::FourSamples => Some(Msaa::Sample4),
        _ => None,
    };
    for (mut msaa, wanted) in samples.iter_mut().zip(std::iter::repeat(wanted)) {
        if let Some(wanted) = wanted {
            *msaa = wanted;
        }
    }
    if !out.is_changed() {
        return;
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
