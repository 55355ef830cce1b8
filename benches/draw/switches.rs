//! What can be left out of the picture, or done otherwise, one thing at a time: what a frame is then faster
//! by is what the thing costs.

use bevy::camera::visibility::VisibilitySystems;
use bevy::light::{CascadeShadowConfig, ShadowFilteringMethod};
use bevy::prelude::*;
use bevy_egui::PrimaryEguiContext;
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
    NearShapes,
    Lines,
    Members,
    Ground,
    PanelCamera,
    AllBut,
}

impl LeftOut {
    pub const ALL: [Self; 10] = [
        Self::Anew,
        Self::Shadows,
        Self::SoftEdges,
        Self::Samples,
        Self::NearShapes,
        Self::Lines,
        Self::Members,
        Self::Ground,
        Self::PanelCamera,
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
            Self::NearShapes => "all shapes as from far off",
            Self::Lines => "without drawn edges",
            Self::Members => "without members' bodies",
            Self::Ground => "without the ground",
            Self::PanelCamera => "without panels and labels",
            Self::AllBut => "nothing but panels and labels",
        }
    }
}

pub fn plugin(app: &mut App) {
    app.init_resource::<LeftOut>().add_systems(
        PostUpdate,
        (cameras, light, hide).before(VisibilitySystems::VisibilityPropagate),
    );
}

fn cameras(
    mut commands: Commands<'_, '_>,
    out: Res<'_, LeftOut>,
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
