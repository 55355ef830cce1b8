// Shadows of members: those that are not there cast none.

#import bevy_pbr::{
    mesh_functions,
    prepass_io::VertexOutput,
    view_transformations::position_world_to_clip,
}

// A number a member, in rows of 1024: a picture, since every adapter can read one here.
@group(#{MATERIAL_BIND_GROUP}) @binding(0) var looks: texture_2d<u32>;

struct Corner {
    @builtin(instance_index) instance: u32,
    @location(0) position: vec3<f32>,
    @location(1) member: u32,
}

@vertex
fn vertex(in: Corner) -> VertexOutput {
    var out: VertexOutput;
    let number_of_look = in.member >> 2u;
    let look = textureLoad(looks, vec2(number_of_look & 1023u, number_of_look >> 10u), 0).x;
    let place = mesh_functions::get_world_from_local(in.instance);
    out.world_position = place * vec4(in.position, 1.0);
    out.position = position_world_to_clip(out.world_position.xyz);
#ifdef UNCLIPPED_DEPTH_ORTHO_EMULATION
    out.unclipped_depth = out.position.z;
    out.position.z = min(out.position.z, 1.0);
#endif
#ifdef VERTEX_OUTPUT_INSTANCE_INDEX
    out.instance_index = in.instance;
#endif
    if (look & 255u) == 0u || ((look >> 16u) & 1u) != ((in.member >> 1u) & 1u) {
        out.position = vec4(2.0, 2.0, 0.5, 1.0);
    }
    return out;
}
