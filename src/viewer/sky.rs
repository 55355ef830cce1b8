//! The background: one colour above, another below, filling the view behind everything.
//!
//! It is drawn after what is solid, so that it costs nothing where something stands before it. Known to
//! work by the reference pictures.

use crate::viewer::camera::Eye;
use crate::viewer::members::Bodies;
use crate::viewer::own_material;
use crate::viewer::theme::{Ink, Palette};
use bevy::asset::{RenderAssetUsages, uuid_handle};
use bevy::camera::visibility::NoFrustumCulling;
use bevy::light::{NotShadowCaster, NotShadowReceiver};
use bevy::mesh::{MeshVertexBufferLayoutRef, PrimitiveTopology};
use bevy::pbr::{MaterialPipeline, MaterialPipelineKey};
use bevy::prelude::*;
use bevy::render::render_resource::{
    AsBindGroup, RenderPipelineDescriptor, SpecializedMeshPipelineError,
};
use bevy::shader::{Shader, ShaderRef};

/// The background behind everything, a child of the camera.
#[derive(Component)]
pub struct Backdrop;

/// How much higher the background is than the picture, so that no edge of it shows.
pub(super) const TALLER: f32 = 1.05;

const DRAWN: Handle<Shader> = uuid_handle!("6f0a9c5e-7d35-4a0e-9a59-6a4e3a6f2b05");

/// The colour of its corners, and nothing else.
#[derive(Asset, TypePath, AsBindGroup, Clone, Debug, Default)]
pub struct SkyMaterial {}

impl Material for SkyMaterial {
    fn vertex_shader() -> ShaderRef {
        ShaderRef::Handle(DRAWN)
    }
    fn fragment_shader() -> ShaderRef {
        ShaderRef::Handle(DRAWN)
    }
    /// Nothing shines through, but what is drawn this way comes last, the farthest first.
    fn alpha_mode(&self) -> AlphaMode {
        AlphaMode::Blend
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
    own_material::known::<SkyMaterial>(app);
    own_material::shaders(app, [(&DRAWN, include_str!("sky.wgsl"), "sky.wgsl")]);
}

/// A square from the upper colour to the lower, one metre high.
#[must_use]
pub fn backdrop(palette: &Palette) -> Mesh {
    let colour = |ink: Ink| ink.bevy().to_linear().to_f32_array();
    let (top, bottom) = (colour(palette.sky_top), colour(palette.sky_bottom));
    Mesh::new(PrimitiveTopology::TriangleList, RenderAssetUsages::RENDER_WORLD)
        .with_inserted_attribute(
            Mesh::ATTRIBUTE_POSITION,
            vec![[-0.5, -0.5, 0.0], [0.5, -0.5, 0.0], [0.5, 0.5, 0.0], [-0.5, 0.5, 0.0]],
        )
        .with_inserted_attribute(Mesh::ATTRIBUTE_COLOR, vec![bottom, bottom, top, top])
        .with_inserted_indices(bevy::mesh::Indices::U32(vec![0, 1, 2, 0, 2, 3]))
}

/// The entity of the background, to hang on the camera.
pub fn backdrop_bundle(
    palette: &Palette,
    meshes: &mut Assets<Mesh>,
    assets: &mut Assets<SkyMaterial>,
) -> impl Bundle {
    (
        Backdrop,
        Mesh3d(meshes.add(backdrop(palette))),
        MeshMaterial3d(assets.add(SkyMaterial {})),
        Transform::default(),
        NoFrustumCulling,
        NotShadowCaster,
        NotShadowReceiver,
    )
}

/// Keeps the background filling the view.
pub fn follow_eye(
    eye: Res<'_, Eye>,
    bodies: Res<'_, Bodies>,
    mut backdrops: Query<'_, '_, &mut Transform, With<Backdrop>>,
) {
    if !(eye.is_changed() || bodies.is_changed()) {
        return;
    }
    let far = eye.now.distance() * 4.0 + bodies.radius() * 30.0;
    let tall = 2.0 * far * (eye.now.lens / 2.0).tan() * TALLER;
    for mut transform in &mut backdrops {
        // Wide enough for any window.
        *transform =
            Transform::from_xyz(0.0, 0.0, -far).with_scale(Vec3::new(tall * 6.0, tall, 1.0));
    }
}
