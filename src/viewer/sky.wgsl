// The background: the colours of its corners.

#import bevy_pbr::{mesh_functions, view_transformations::position_world_to_clip}

struct Corner {
    @builtin(instance_index) instance: u32,
    @location(0) position: vec3<f32>,
    @location(1) colour: vec4<f32>,
}

struct Drawn {
    @builtin(position) position: vec4<f32>,
    @location(0) colour: vec3<f32>,
}

@vertex
fn vertex(in: Corner) -> Drawn {
    var out: Drawn;
    let place = mesh_functions::get_world_from_local(in.instance);
    out.position = position_world_to_clip((place * vec4(in.position, 1.0)).xyz);
    out.colour = in.colour.rgb;
    return out;
}

@fragment
fn fragment(in: Drawn) -> @location(0) vec4<f32> {
    return vec4(in.colour, 1.0);
}
