// The ground: matt, in the sun and its shadows, and the background's colour where it fades.

#import bevy_pbr::{
    mesh_functions,
    mesh_view_bindings::view,
    view_transformations::position_world_to_clip,
}
#import standwell::sunlight::sunlit

@group(#{MATERIAL_BIND_GROUP}) @binding(0) var<uniform> tints: Tints;

struct Tints {
    ground: vec4<f32>,
    sky_top: vec4<f32>,
    sky_bottom: vec4<f32>,
    to_sun: vec4<f32>,
    sun: vec4<f32>,
    around: vec4<f32>,
    taller: vec4<f32>,
}

struct Corner {
    @builtin(instance_index) instance: u32,
    @location(0) position: vec3<f32>,
    // How much of it is left, in the last place.
    @location(1) fade: vec4<f32>,
}

struct Drawn {
    @builtin(position) position: vec4<f32>,
    @location(0) world: vec3<f32>,
    @location(1) fade: f32,
}

@vertex
fn vertex(in: Corner) -> Drawn {
    var out: Drawn;
    let place = mesh_functions::get_world_from_local(in.instance);
    out.world = (place * vec4(in.position, 1.0)).xyz;
    out.position = position_world_to_clip(out.world);
    out.fade = in.fade.w;
    return out;
}

@fragment
fn fragment(in: Drawn) -> @location(0) vec4<f32> {
    let up = vec3(0.0, 1.0, 0.0);
    // Matt after Burley, roughness 1, as members are.
    let to_eye = normalize(view.world_position - in.world);
    let to_sun = tints.to_sun.xyz;
    let facing = saturate(to_sun.y);
    let seen = max(to_eye.y, 0.0001);
    let half_way = saturate(dot(to_sun, normalize(to_sun + to_eye)));
    let grazing = 2.0 * half_way * half_way - 0.5;
    let burley = (1.0 + grazing * pow(1.0 - facing, 5.0)) * (1.0 + grazing * pow(1.0 - seen, 5.0));
    let lit = burley * facing * 0.318309886 * sunlit(in.world, up, in.position.xy);
    // From all round: the fitted reflectance of a matt surface.
    let around = max(tints.ground.rgb * 0.4524 - 0.0024, vec3(0.0)) * tints.around.rgb;
    let ground = (tints.ground.rgb * tints.sun.rgb * lit + around) * view.exposure;
    // The background there: from its bottom to its top, a little higher than the picture.
    let height = 0.5 - (in.position.y - view.viewport.y) / view.viewport.w;
    let sky = mix(tints.sky_bottom.rgb, tints.sky_top.rgb, height / tints.taller.x + 0.5);
    return vec4(mix(sky, ground, in.fade), 1.0);
}
