//! The ground: a round that fades into the background, with a grid.
//!
//! The round covers half of every picture. It is drawn as a solid with the background's colour mixed in
//! where it fades, not laid over it: so it is neither blended nor drawn where something stands on it.
//! Known to work by the reference pictures, which were drawn before by laying it over.

use crate::viewer::camera::{Eye, is_drawing};
use crate::viewer::members::Bodies;
use crate::viewer::own_material;
use crate::viewer::scenery;
use crate::viewer::sky;
use crate::viewer::theme::{Ink, Palette};
use bevy::asset::{RenderAssetUsages, uuid_handle};
use bevy::light::{NotShadowCaster, NotShadowReceiver};
use bevy::mesh::{MeshVertexBufferLayoutRef, PrimitiveTopology};
use bevy::pbr::{MaterialPipeline, MaterialPipelineKey};
use bevy::prelude::*;
use bevy::render::render_resource::{
    AsBindGroup, RenderPipelineDescriptor, ShaderType, SpecializedMeshPipelineError,
};
use bevy::shader::{Shader, ShaderRef};
use std::f32::consts::TAU;

/// The ground and its grid.
#[derive(Component)]
pub struct Ground;

const DRAWN: Handle<Shader> = uuid_handle!("6f0a9c5e-7d35-4a0e-9a59-6a4e3a6f2b03");

/// Matt ground in the sun that turns into the background.
#[derive(Asset, TypePath, AsBindGroup, Clone, Debug)]
pub struct GroundMaterial {
    #[uniform(0)]
    tints: GroundTints,
}

/// Linear colours: of the ground, of the background's top and bottom; the way to the sun; its light, lux;
/// the light from all round, candela a square metre.
#[derive(ShaderType, Clone, Debug)]
struct GroundTints {
    ground: Vec4,
    sky_top: Vec4,
    sky_bottom: Vec4,
    to_sun: Vec4,
    sun: Vec4,
    around: Vec4,
    /// How much higher the background is than the picture.
    taller: Vec4,
}

impl GroundMaterial {
    fn of(palette: &Palette) -> Self {
        let colour = |ink: Ink| ink.bevy().to_linear().to_vec4();
        Self {
            tints: GroundTints {
                ground: colour(palette.ground),
                sky_top: colour(palette.sky_top),
                sky_bottom: colour(palette.sky_bottom),
                to_sun: (-scenery::SUN).normalize().extend(0.0),
                sun: Vec4::splat(scenery::SUNLIGHT * palette.sun),
                around: Vec4::splat(scenery::AMBIENT * palette.fill),
                taller: Vec4::splat(sky::TALLER),
            },
        }
    }
}

impl Material for GroundMaterial {
    fn vertex_shader() -> ShaderRef {
        ShaderRef::Handle(DRAWN)
    }
    fn fragment_shader() -> ShaderRef {
        ShaderRef::Handle(DRAWN)
    }
    fn specialize(
        _: &MaterialPipeline,
        descriptor: &mut RenderPipelineDescriptor,
        layout: &MeshVertexBufferLayoutRef,
        _: MaterialPipelineKey<Self>,
    ) -> Result<(), SpecializedMeshPipelineError> {
        let numbers = [Mesh::ATTRIBUTE_POSITION, Mesh::ATTRIBUTE_COLOR];
        own_material::corners(descriptor, layout, &numbers)
    }
}

/// The shader, and the material where there is a renderer.
pub fn plugin(app: &mut App) {
    own_material::known::<GroundMaterial>(app);
    own_material::shaders(app, [(&DRAWN, include_str!("ground.wgsl"), "ground.wgsl")]);
}

/// A round of ground that fades into the background, with a grid every metre or five.
pub(super) fn lay(
    commands: &mut Commands<'_, '_>,
    bodies: &Bodies,
    palette: &Palette,
    meshes: &mut Assets<Mesh>,
    assets: &mut Assets<StandardMaterial>,
    grounds: &mut Assets<GroundMaterial>,
) {
    let [low, high] = bodies.bounds.unwrap_or([Vec3::splat(-3.0), Vec3::splat(3.0)]);
    let level = low.y - 0.012;
    let middle = Vec3::new((low.x + high.x) * 0.5, level, (low.z + high.z) * 0.5);
    let reach = bodies.radius() * 2.4;
    let fade = |share: f32| (1.0 - share * share).clamp(0.0, 1.0);
    commands.spawn((
        Ground,
        Mesh3d(meshes.add(disc(reach, fade))),
        MeshMaterial3d(grounds.add(GroundMaterial::of(palette))),
        Transform::from_translation(middle),
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

fn disc(reach: f32, fade: impl Fn(f32) -> f32) -> Mesh {
    let (rings, sides) = (10u32, 48u32);
    let mut positions = Vec::new();
    let mut colours = Vec::new();
    let mut indices = Vec::new();
    for ring in 0..=rings {
        let share = ring as f32 / rings as f32;
        for side in 0..=sides {
            let (sin, cos) = (TAU * side as f32 / sides as f32).sin_cos();
            positions.push([cos * reach * share, 0.0, sin * reach * share]);
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
