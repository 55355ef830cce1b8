//! The ground: a round that fades into the background, with a grid.

use crate::viewer::camera::{Eye, is_drawing};
use crate::viewer::members::Bodies;
use crate::viewer::theme::Palette;
use bevy::asset::RenderAssetUsages;
use bevy::light::{NotShadowCaster, NotShadowReceiver};
use bevy::mesh::PrimitiveTopology;
use bevy::prelude::*;
use std::f32::consts::TAU;

/// The ground and its grid.
#[derive(Component)]
pub struct Ground;

/// A round of ground that fades into the background, with a grid every metre or five.
pub(super) fn lay(
    commands: &mut Commands<'_, '_>,
    bodies: &Bodies,
    palette: &Palette,
    meshes: &mut Assets<Mesh>,
    assets: &mut Assets<StandardMaterial>,
) {
    let [low, high] = bodies.bounds.unwrap_or([Vec3::splat(-3.0), Vec3::splat(3.0)]);
    let level = low.y - 0.012;
    let middle = Vec3::new((low.x + high.x) * 0.5, level, (low.z + high.z) * 0.5);
    let reach = bodies.radius() * 2.4;
    let fade = |share: f32| (1.0 - share * share).clamp(0.0, 1.0);
    // Sorted by the middle of its entity, the ground lies below its lines.
    let sink = 2.0;
    let material = StandardMaterial {
        base_color: palette.ground.bevy(),
        alpha_mode: AlphaMode::Blend,
        perceptual_roughness: 1.0,
        reflectance: 0.0,
        ..default()
    };
    commands.spawn((
        Ground,
        Mesh3d(meshes.add(disc(reach, sink, fade))),
        MeshMaterial3d(assets.add(material)),
        Transform::from_translation(middle - Vec3::Y * sink),
        NotShadowCaster,
    ));
    let step = if reach < 45.0 { 1.0 } else { 5.0 };
    let ink = palette.ground_line.bevy().to_linear();
    let material = StandardMaterial {
        base_color: Color::WHITE,
        alpha_mode: AlphaMode::Blend,
        unlit: true,
        ..default()
    };
    commands.spawn((
        Ground,
        Mesh3d(meshes.add(grid(reach * 0.85, step, |share| {
            ink.with_alpha(0.8 * fade(share)).to_f32_array()
        }))),
        MeshMaterial3d(assets.add(material)),
        Transform::from_translation(middle + Vec3::Y * 0.004),
        NotShadowCaster,
        NotShadowReceiver,
    ));
}

fn disc(reach: f32, height: f32, fade: impl Fn(f32) -> f32) -> Mesh {
    let (rings, sides) = (10u32, 48u32);
    let mut positions = Vec::new();
    let mut colours = Vec::new();
    let mut indices = Vec::new();
    for ring in 0..=rings {
        let share = ring as f32 / rings as f32;
        for side in 0..=sides {
            let (sin, cos) = (TAU * side as f32 / sides as f32).sin_cos();
            positions.push([cos * reach * share, height, sin * reach * share]);
            colours.push([1.0, 1.0, 1.0, fade(share)]);
        }
    }
    for ring in 0..rings {
        for side in 0..sides {
            let a = ring * (sides + 1) + side;
            let b = a + sides + 1;
            indices.extend([a, a + 1, b, b, a + 1, b + 1]);
        }
    }
    let count = positions.len();
    Mesh::new(PrimitiveTopology::TriangleList, RenderAssetUsages::RENDER_WORLD)
        .with_inserted_attribute(Mesh::ATTRIBUTE_POSITION, positions)
        .with_inserted_attribute(Mesh::ATTRIBUTE_NORMAL, vec![[0.0, 1.0, 0.0]; count])
        .with_inserted_attribute(Mesh::ATTRIBUTE_COLOR, colours)
        .with_inserted_indices(bevy::mesh::Indices::U32(indices))
}

fn grid(reach: f32, step: f32, colour: impl Fn(f32) -> [f32; 4]) -> Mesh {
    let count = (reach / step).floor() as i32;
    let pieces = 12;
    let mut positions = Vec::new();
    let mut colours = Vec::new();
    for line in -count..=count {
        let at = line as f32 * step;
        let half = (reach * reach - at * at).max(0.0).sqrt();
        for piece in 0..pieces {
            for end in [piece, piece + 1] {
                let along = half * (2.0 * end as f32 / pieces as f32 - 1.0);
                let share = (at.hypot(along) / reach).min(1.0);
                for p in [[at, 0.0, along], [along, 0.0, at]] {
                    positions.push(p);
                    colours.push(colour(share));
                }
            }
            // Two lines were begun side by side: put each one's ends together.
            let n = positions.len();
            positions.swap(n - 3, n - 2);
            colours.swap(n - 3, n - 2);
        }
    }
    let count = positions.len();
    Mesh::new(PrimitiveTopology::LineList, RenderAssetUsages::RENDER_WORLD)
        .with_inserted_attribute(Mesh::ATTRIBUTE_POSITION, positions)
        .with_inserted_attribute(Mesh::ATTRIBUTE_NORMAL, vec![[0.0, 1.0, 0.0]; count])
        .with_inserted_attribute(Mesh::ATTRIBUTE_COLOR, colours)
}

/// In an elevation the ground is a line, which the floors and levels give already.
pub fn hide_in_elevations(
    eye: Res<'_, Eye>,
    mut grounds: Query<'_, '_, &mut Visibility, With<Ground>>,
) {
    let hidden = is_drawing(&eye.now) && eye.now.pitch < 0.3;
    for mut visible in &mut grounds {
        visible.set_if_neq(if hidden { Visibility::Hidden } else { Visibility::Inherited });
    }
}
