// How much of the sun reaches a point: from the near map of shadows where it lies in that, else from
// the whole one, and from both on the way from one to the other.

#define_import_path standwell::sunlight

#import bevy_pbr::{
    mesh_view_bindings::{directional_shadow_textures, lights},
    mesh_view_types::DIRECTIONAL_LIGHT_FLAGS_SHADOWS_ENABLED_BIT,
    shadow_sampling::sample_shadow_map_hardware,
    shadows::{sample_directional_cascade, world_to_directional_light_local},
}

fn sunlit(world: vec3<f32>, normal: vec3<f32>, pixel: vec2<f32>) -> f32 {
    let sun = &lights.directional_lights[0];
    if ((*sun).flags & DIRECTIONAL_LIGHT_FLAGS_SHADOWS_ENABLED_BIT) == 0u {
        return 1.0;
    }
    let off = abs(((*sun).cascades[0].clip_from_world * vec4(world, 1.0)).xy);
    let whole_share = saturate((max(off.x, off.y) - 0.86) * 10.0);
    var lit = 0.0;
    if whole_share < 1.0 {
        lit = by_map(0u, world, normal, pixel);
    }
    if whole_share > 0.0 {
        lit = mix(lit, by_map((*sun).num_cascades - 1u, world, normal, pixel), whole_share);
    }
    return lit;
}

fn by_map(map: u32, world: vec3<f32>, normal: vec3<f32>, pixel: vec2<f32>) -> f32 {
#ifdef SHADOW_FILTER_METHOD_GAUSSIAN
    let sun = &lights.directional_lights[0];
    let lifted = world
        + (*sun).shadow_normal_bias * (*sun).cascades[map].texel_size * normal
        + (*sun).shadow_depth_bias * (*sun).direction_to_light.xyz;
    let at = world_to_directional_light_local(0u, map, vec4(lifted, 1.0));
    if at.w == 0.0 {
        return 1.0;
    }
    return soft(at.xy, at.z, i32((*sun).depth_texture_base_index + map));
#else
    return sample_directional_cascade(0u, map, vec4(world, 1.0), normal, pixel);
#endif
}

// The mean of three by three points of the map about a place, each weighed by how much of it lies there: four
// looks at two by two points, as Castano describes for larger squares (The Witness, shadow mapping,
// 2013). Bevy's own takes nine looks at five by five.
fn soft(at: vec2<f32>, depth: f32, map: i32) -> f32 {
    let size = vec2<f32>(textureDimensions(directional_shadow_textures));
    let corner = floor(at * size + 0.5);
    let part = at * size + 0.5 - corner;
    let weight_low = 3.0 - 2.0 * part;
    let weight_high = 1.0 + 2.0 * part;
    let low = (corner - 0.5 + (2.0 - part) / weight_low - 1.0) / size;
    let high = (corner - 0.5 + part / weight_high + 1.0) / size;
    let sum = weight_low.x * weight_low.y * sample_shadow_map_hardware(low, depth, map)
        + weight_high.x * weight_low.y * sample_shadow_map_hardware(vec2(high.x, low.y), depth, map)
        + weight_low.x * weight_high.y * sample_shadow_map_hardware(vec2(low.x, high.y), depth, map)
        + weight_high.x * weight_high.y * sample_shadow_map_hardware(high, depth, map);
    return sum / 16.0;
}
