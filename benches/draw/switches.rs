//! What can be left out of the picture, one thing at a time: what a frame is then faster by is what the
//! thing costs.

use bevy::camera::visibility::VisibilitySystems;
use bevy::light::{CascadeShadowConfig, CascadeShadowConfigBuilder, DirectionalLightShadowMap};
use bevy::prelude::*;
use bevy_egui::PrimaryEguiContext;
use standwell::viewer::ground::Ground;
use standwell::viewer::members::Bodies;

/// One thing that is left out, or made cheaper.
#[derive(Resource, Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LeftOut {
    #[default]
    Nothing,
    Shadows,
    LargeMaps,
    SecondMap,
    Samples,
    Lines,
    Members,
    Ground,
    PanelCamera,
}

impl LeftOut {
    pub const ALL: [Self; 8] = [
        Self::Shadows,
        Self::LargeMaps,
        Self::SecondMap,
        Self::Samples,
        Self::Lines,
        Self::Members,
        Self::Ground,
        Self::PanelCamera,
    ];

    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Nothing => "all drawn",
            Self::Shadows => "without shadows",
            Self::LargeMaps => "shadow maps of 2048",
            Self::SecondMap => "one shadow map of 4096",
            Self::Samples => "one sample a pixel",
            Self::Lines => "without drawn edges",
            Self::Members => "without members' bodies",
            Self::Ground => "without the ground",
            Self::PanelCamera => "without panels and labels",
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
    out: Res<'_, LeftOut>,
    mut samples: Query<'_, '_, &mut Msaa>,
    mut panels: Query<'_, '_, &mut Camera, With<PrimaryEguiContext>>,
) {
    // Set every frame, as the window does before.
    if *out == LeftOut::Samples {
        for mut msaa in &mut samples {
            *msaa = Msaa::Off;
        }
    }
    for mut camera in panels.iter_mut().filter(|_| out.is_changed()) {
        camera.is_active = *out != LeftOut::PanelCamera;
    }
}

fn light(
    out: Res<'_, LeftOut>,
    mut map: ResMut<'_, DirectionalLightShadowMap>,
    mut suns: Query<'_, '_, (&mut DirectionalLight, &mut CascadeShadowConfig)>,
) {
    if *out == LeftOut::LargeMaps {
        map.size = 2048;
    }
    for (mut sun, mut config) in &mut suns {
        sun.shadow_maps_enabled = *out != LeftOut::Shadows;
        if *out == LeftOut::SecondMap
            && let Some(&far) = config.bounds.last()
        {
            *config = CascadeShadowConfigBuilder {
                num_cascades: 1,
                minimum_distance: config.minimum_distance,
                maximum_distance: far,
                first_cascade_far_bound: far,
                overlap_proportion: config.overlap_proportion,
            }
            .build();
        }
    }
}

fn hide(
    out: Res<'_, LeftOut>,
    bodies: Res<'_, Bodies>,
    grounds: Query<'_, '_, Entity, With<Ground>>,
    mut visible: Query<'_, '_, &mut Visibility>,
) {
    let all: Vec<Entity> = match *out {
        LeftOut::Ground => grounds.iter().collect(),
        LeftOut::Lines => bodies.squares.iter().flat_map(|s| [s.near[1], s.far[1]]).collect(),
        LeftOut::Members => bodies.squares.iter().flat_map(|s| [s.near[0], s.far[0]]).collect(),
        _ => Vec::new(),
    };
    for entity in all {
        if let Ok(mut visible) = visible.get_mut(entity) {
            *visible = Visibility::Hidden;
        }
    }
}
