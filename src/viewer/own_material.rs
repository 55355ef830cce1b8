//! What every material of our own is set up with.

use bevy::mesh::{MeshVertexAttribute, MeshVertexBufferLayoutRef};
use bevy::prelude::*;
use bevy::render::RenderApp;
use bevy::render::render_resource::{RenderPipelineDescriptor, SpecializedMeshPipelineError};
use bevy::shader::Shader;
use std::hash::Hash;

/// The material, drawn where there is a renderer; whether there is one.
pub fn known<M: Material<Data: PartialEq + Eq + Hash + Clone>>(app: &mut App) -> bool {
    let drawn = app.get_sub_app(RenderApp).is_some();
    if drawn {
        app.add_plugins(MaterialPlugin::<M>::default());
    } else {
        app.init_asset::<M>();
    }
    drawn
}

/// Shaders by their handle: text, and the name that errors have.
pub fn shaders<const N: usize>(
    app: &mut App,
    texts: [(&Handle<Shader>, &'static str, &'static str); N],
) {
    if let Some(mut shaders) = app.world_mut().get_resource_mut::<Assets<Shader>>() {
        for (handle, text, name) in texts {
            let _ = shaders.insert(handle, Shader::from_wgsl(text, name));
        }
    }
}

/// A corner has these numbers, at the places 0, 1, …, and no others.
///
/// # Errors
/// Where the mesh lacks one.
pub fn corners(
    descriptor: &mut RenderPipelineDescriptor,
    layout: &MeshVertexBufferLayoutRef,
    numbers: &[MeshVertexAttribute],
) -> Result<(), SpecializedMeshPipelineError> {
    let places: Vec<_> =
        (0..).zip(numbers).map(|(place, number)| number.at_shader_location(place)).collect();
    descriptor.vertex.buffers = vec![layout.0.get_layout(&places)?];
    Ok(())
}
