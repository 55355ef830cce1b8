// How much of the sun reaches a point: from the near map of shadows where it lies in that, else from
// the whole one, and from both on the way from one to the other.

#define_import_path standwell::sunlight

#import bevy_pbr::{
    mesh_view_bindings::lights,
    mesh_view_types::DIRECTIONAL_LIGHT_FLAGS_SHADOWS_ENABLED_BIT,
    shadows::sample_directional_cascade,
}

fn sunlit(world: vec3<f32>, normal: vec3<f32>, pixel: vec2<f32>) -> f32 {
    let sun = &lights.directional_lights[0];
    if ((*sun).flags & DIRECTIONAL_LIGHT_FLAGS_SHADOWS_ENABLED_BIT) == 0u {
        return 1.0;
    }
    let point = vec4(world, 1.0);
    let off = abs(((*sun).cascades[0].clip_from_world * point).xy);
    let whole_share = saturate((max(off.x, off.y) - 0.86) * 10.0);
    var lit = 0.0;
    if whole_share < 1.0 {
        lit = sample_directional_cascade(0u, 0u, point, normal, pixel);
    }
    if whole_share > 0.0 {
        let whole = (*sun).num_cascades - 1u;
        lit = mix(lit, sample_directional_cascade(0u, whole, point, normal, pixel), whole_share);
    }
    return lit;
}
